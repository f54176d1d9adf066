"""Ice that is counted: cubes, balls and bars, how large they usually are and what they weigh.

Belongs here: shapes, sizes, words. Does not belong here: how much a glass holds beside them, or
what they melt (engine/mix).
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any, Literal, TypeAlias

from anthocard.diagnostics.tables import read_table

Shape: TypeAlias = Literal["cube", "ball", "bar"]


@dataclass(frozen=True, slots=True)
class Piece:
    """One kind of piece: its shape, its usual size and the sizes it comes in, mm.

    `usual` says whether one of the usual size is meant where nothing is said of size or number.
    """

    kind: str
    shape: Shape
    mm: float
    low_mm: float
    high_mm: float
    long: float
    usual: bool
    words: tuple[str, ...]

    def volume_ml(self, mm: float) -> float:
        """Millilitres of ice in one piece of a size, mm > 0."""
        of_a_cube = {"cube": 1.0, "ball": math.pi / 6.0, "bar": self.long}[self.shape]
        return of_a_cube * mm**3 / 1000.0

    def mm_of(self, volume_ml: float) -> float:
        """The size of one piece of a volume, ml ≥ 0."""
        return 10.0 * math.cbrt(volume_ml / self.volume_ml(10.0))

    def grams(self, mm: float) -> float:
        """Its weight."""
        return self.volume_ml(mm) * ice_density_g_per_ml()

    def clinging(self, mm: float) -> float:
        """Grams of water that cling to a gram of it: a film over its surface."""
        of_a_cube = {"cube": 6.0, "ball": math.pi, "bar": 2.0 + 4.0 * self.long}[self.shape]
        film_ml = of_a_cube * mm**2 * float(_rows("ice")["film"]["mm"]) / 1000.0
        return film_ml / self.grams(mm)

    def under_ml(self, mm: float, deep_mm: float) -> float:
        """What of one piece that rests on the bottom lies below a depth, ml."""
        deep = max(0.0, deep_mm)
        if self.shape == "ball":
            cap = min(deep, mm)
            return math.pi * cap * cap * (1.5 * mm - cap) / 3000.0
        tall = mm * (self.long if self.shape == "bar" else 1.0)
        return self.volume_ml(mm) * min(1.0, deep / tall)


def ice_density_g_per_ml() -> float:
    """Density of ice at its melting point."""
    return float(_rows("ice")["density"]["g_per_ml"])


@cache
def pieces() -> Mapping[str, Piece]:
    """Every kind of piece by its name."""
    return {
        kind: Piece(
            kind=kind,
            shape=row["shape"],
            mm=float(row["mm"]),
            low_mm=float(row["low"]),
            high_mm=float(row["high"]),
            long=float(row.get("long", 1.0)),
            usual=bool(row.get("usual", False)),
            words=tuple(row["words"]),
        )
        for kind, row in _rows("pieces").items()
    }


@cache
def kind_called(word: str) -> str | None:
    """The kind of ice people mean by a word; None for what is no kind of piece."""
    said = " ".join(word.casefold().split())
    for kind, piece in pieces().items():
        if said in (kind, *(one.casefold() for one in piece.words)):
            return kind
    return None


def _rows(section: str) -> dict[str, Any]:
    rows: dict[str, Any] = read_table("anthocard.facts", "ice_pieces.yaml")[section]
    return rows
