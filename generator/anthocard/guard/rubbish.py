"""How often Python looks for rubbish.

Belongs here: the one figure, for every process that reads a house or sets its papers. Does not
belong here: when all of it may go at once (cli.py, press/build/preload.py).
"""

from __future__ import annotations

import gc

#: New values after which Python looks among them for some that only name one another. A house is
#: read into many small values that stay, and a page is laid out in boxes that go all at once: after
#: every 700, as Python has it, that takes a tenth of a run; 50,000 are still but a few MB. Chosen.
SELDOM = 50_000


def look_seldom() -> None:
    """Let this process look for rubbish after every SELDOM new values."""
    gc.set_threshold(SELDOM)
