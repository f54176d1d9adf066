"""The door of a build, under the name it had; see anthocard.disk.swap."""

from anthocard.disk.refused import Busy
from anthocard.disk.swap import Scratch, alone, scratch_beside
from anthocard.disk.whole import write_whole

__all__ = ["Busy", "Scratch", "alone", "scratch_beside", "write_whole"]
