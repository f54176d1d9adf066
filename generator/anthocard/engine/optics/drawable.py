"""Which glasses can be drawn, and what an author is told of those that cannot.

Belongs here: the warning of a glass that is none, and the plain one that stands in for it. Does not
belong here: what is wrong with a line (outline.py).
"""

from __future__ import annotations

from anthocard.diagnostics.diagnostic import MistakeLog
from anthocard.engine.optics.outline import defects, plain
from anthocard.engine.optics.walls import wall_mm
from anthocard.house.collection import Collection
from anthocard.house.settings import Glass


def drawable(glass: Glass) -> Glass:
    """The glass itself, or the plain one of its kind where its outline cannot be one."""
    return plain(glass) if defects(glass, wall_mm(glass)) else glass


def check_glasses(collection: Collection, log: MistakeLog) -> None:
    """Warn of every glass of the house that is drawn as a plain one, and why."""
    for name, glass in collection.house.glasses.items():
        for defect in defects(glass, wall_mm(glass)):
            thick = defect.kind == "wall-too-thick"
            part = ("wall",) if thick else ("outline", defect.at)
            log.add(
                defect.kind,
                f"{defect.why}; drinks in the {name} are shown in a plain glass",
                collection.at(collection.house, ("glasses", name, *part)),
                defect.mend,
                "warning",
            )
