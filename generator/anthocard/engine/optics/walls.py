"""The outside of a glass, from what is known of its inside: wall, rim, base, stem and foot.

Belongs here: one line from the axis under the glass up to its rim; which glasses have none, what
an author is told of those, and the plain one that stands in for each. Does not belong here: what is
wrong with a line (outline.py), what stands in a glass (scene.py). Lengths in cm.
"""

from __future__ import annotations

import numpy as np

from anthocard.diagnostics.diagnostic import MistakeLog
from anthocard.diagnostics.tables import read_table
from anthocard.engine.optics.outline import defects, glass_profile, plain
from anthocard.facts.chemistry.liquid import Floats
from anthocard.house.collection import Collection
from anthocard.house.settings import Glass

RISING_CM = 3e-4  # every line of a glass rises at least so much from point to point


def wall_mm(glass: Glass) -> float:
    """How thick the glass is, mm: the house's own figure, or that of the table."""
    return float(_row("wall")["mm"]) if glass.wall is None else glass.wall


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


def inside_cm(glass: Glass) -> Floats:
    """The inside as (n, 2) of radius and height, cm, from the axis to the rim, heights rising."""
    points = np.array(glass_profile(glass)) / 10.0
    points = points[np.r_[True, np.hypot(*np.diff(points, axis=0).T) > 1e-3]]
    for i in range(1, len(points)):
        points[i, 1] = max(points[i, 1], points[i - 1, 1] + RISING_CM)
    return points


def outside_cm(glass: Glass, inside: Floats) -> Floats:
    """The outside as (n, 2), cm, from the axis underneath over the wall to the inside's rim."""
    wall = wall_mm(glass) / 10.0
    along = np.gradient(inside, axis=0)
    normal = np.stack([along[:, 1], -along[:, 0]], axis=1)
    moved = inside + wall * normal / np.linalg.norm(normal, axis=1, keepdims=True)
    stood = _stemmed(moved, glass) if glass.stem else _based(moved, inside)
    turn = np.linspace(0.0, np.pi, 6)[1:]
    middle, half = (moved[-1] + inside[-1]) / 2, (moved[-1] - inside[-1]) / 2
    rim = middle + np.cos(turn)[:, np.newaxis] * half
    rim[:, 1] += np.sin(turn) * float(np.linalg.norm(half))
    return np.concatenate([stood, rim])


def foot_radius_cm(inside: Floats, glass: Glass) -> float:
    """How far the glass reaches out where it stands."""
    widest = float(inside[:, 0].max())
    if not glass.stem:
        return widest
    return glass.foot / 20.0 if glass.foot else float(_row("foot")["of_bowl"]) * widest


def _stemmed(moved: Floats, glass: Glass) -> Floats:
    """A bowl on a stem on a foot."""
    thick = float(_row("stem")["mm"]) / 10.0
    stem = glass.stem / 10.0
    foot = foot_radius_cm(moved, glass)
    bowl = moved[np.maximum.accumulate(moved[:, 0]) > 1.9 * thick]
    joint = float(bowl[0, 1])
    curve = [
        (foot, -stem + 0.10), (foot * 0.55, -stem + 0.22), (1.7 * thick, -stem + 0.5),
        (1.1 * thick, -stem + min(1.4, 0.3 * stem)), (0.94 * thick, -stem * 0.55),
        (thick, joint - min(0.9, 0.25 * stem)), (1.27 * thick, joint - 0.25), tuple(bowl[0]),
    ]  # fmt: skip
    under = [(0.0, -stem + 0.03), (foot - 0.1, -stem), (foot - 0.02, -stem + 0.03)]
    return np.concatenate([np.array(under), _rounded(np.array(curve)), bowl[1:]])


def _based(moved: Floats, inside: Floats) -> Floats:
    """A tumbler on a thick base."""
    row = _row("base")
    widest = float(inside[:, 0].max())
    base = float(row["mm"] if widest * 10.0 > row["from_radius_mm"] else row["small_mm"]) / 10.0
    start = float(moved[1 : max(2, len(moved) // 5), 0].max())
    wall = moved[(moved[:, 1] > 0.35) & (moved[:, 0] > 0.8 * start)]
    inset = min(0.45, 0.3 * start)
    foot = wall[0] - (0.02, 0.35 + 0.5 * base)
    curve = [
        (start - inset, -base + 0.02),
        (start - 0.27 * inset, -base),
        tuple(foot),
        tuple(wall[0]),
    ]
    return np.concatenate([[[0.0, -base + 0.04]], _rounded(np.array(curve)), wall[1:]])


def _rounded(line: Floats, times: int = 2) -> Floats:
    """Cut every corner at a quarter, twice over (Chaikin 1974); the ends stay."""
    for _ in range(times):
        near, far = 0.75 * line[:-1] + 0.25 * line[1:], 0.25 * line[:-1] + 0.75 * line[1:]
        between = np.stack([near, far], axis=1).reshape(-1, 2)[1:-1]
        line = np.concatenate([line[:1], between, line[-1:]])
    return line


def _row(key: str) -> dict[str, float]:
    row: dict[str, float] = read_table("anthocard.engine.optics", "optics.yaml")["glass"][key]
    return row
