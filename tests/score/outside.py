"""Our figure beside an outside one: what is scored, what is held apart, how a row of the table is made.

Belongs here: the types of the score and the random third. Does not belong here: any value (each area
has a module and a table of its own), nor the engine.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from math import sqrt
from pathlib import Path
from tempfile import TemporaryDirectory

from anthocard.engine.compute import compute
from anthocard.engine.findings import Spread
from anthocard.engine.results import Computed
from anthocard.house.reader import read_house

from tests.engine.conftest import HOUSE, write_house

LEAST = 15  # values an area needs before its share inside says anything
SHARE = (0.85, 0.95)  # of the published values that p5-p95 should hold


def held(key: str) -> bool:
    """Whether an outside value belongs to the third that no fit may use: by its name's digest,
    so that nobody chose it and it never changes.
    """
    return hashlib.sha256(key.encode()).digest()[0] % 3 == 0


@dataclass(frozen=True, slots=True)
class Scored:
    """One published value beside our figure and its p5-p95; `fitted` where some fit used the value."""

    key: str
    published: float
    ours: float
    p5: float
    p95: float
    fitted: bool = False

    @classmethod
    def of(
        cls, key: str, published: float, ours: float, spread: Spread, fitted: bool = False
    ) -> Scored:
        """With the spread the engine gives."""
        return cls(key, published, ours, spread.p5, spread.p95, fitted)

    @property
    def error(self) -> float:
        """Ours minus the published one."""
        return self.ours - self.published

    @property
    def inside(self) -> bool:
        """Whether p5-p95 holds the published value."""
        return self.p5 <= self.published <= self.p95


@dataclass(frozen=True, slots=True)
class Area:
    """One row of the table: values of one kind, in one unit."""

    name: str
    unit: str
    values: tuple[Scored, ...]

    def share(self, apart: bool = False) -> float:
        """The share inside p5-p95, of all or of those held apart."""
        counted = [one for one in self.values if not apart or held(one.key)]
        return sum(one.inside for one in counted) / len(counted) if counted else 1.0

    @property
    def rms(self) -> float:
        """Root mean square of the errors."""
        return sqrt(sum(one.error**2 for one in self.values) / len(self.values))


def table(areas: Iterable[Area]) -> str:
    """The score as a Markdown table."""
    lines = [
        "| area | n | rms | max | inside p5-p95 | used in a fit | held apart | of these inside |",
        "|---|---|---|---|---|---|---|---|",
    ]
    for area in areas:
        unit = f" {area.unit}" if area.unit else ""
        most = max(abs(one.error) for one in area.values)
        apart = [one for one in area.values if held(one.key)]
        lines.append(
            f"| {area.name} | {len(area.values)} | {area.rms:.3g}{unit} | {most:.3g}{unit} | "
            f"{100 * area.share():.0f} % | {sum(one.fitted for one in area.values)} | {len(apart)} | "
            f"{sum(one.inside for one in apart)} of {len(apart)} |"
        )
    return "\n".join(lines)


def computed(
    files: Mapping[str, str], at_c: float | None = None, house: str = HOUSE
) -> Mapping[str, Computed]:
    """A house given as files, through the front door: read, computed, by slug."""
    with TemporaryDirectory() as folder:
        return compute(read_house(write_house(Path(folder), files, house)), at_c)[0]
