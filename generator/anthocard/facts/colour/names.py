"""Plain words for a colour, and the colour meant by a word.

Belongs here: the vocabulary, its regions of CIELAB and a pattern for each family of hues, so that
colour is never the only cue. Does not belong here: how a colour came about (colours, pigments).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Any, Final, TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray

from anthocard.diagnostics.tables import read_table
from anthocard.facts.chemistry.liquid import Floats

#: The word for a colour that is not told; no CIELAB colour bears it.
UNTOLD: Final = "colour not known"


@dataclass(frozen=True, slots=True)
class Name:
    """One word: its family of hues and the CIELAB colour in the middle of its region."""

    word: str
    family: str
    lab: tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Wanted:
    """A colour asked for by a word: every name that will do, and a CIELAB target to aim at."""

    word: str
    names: tuple[str, ...]
    lab: tuple[float, float, float]

    def holds(self, lab: ArrayLike) -> NDArray[np.bool_]:
        """Whether colours (…, 3) in CIELAB bear one of the names, shape (…)."""
        accepted = [name.word in self.names for name in vocabulary()]
        return np.asarray(np.array(accepted)[index_of(lab)])


@cache
def vocabulary() -> tuple[Name, ...]:
    """Every name, in the order `index_of` counts them.

    A word may stand in two tiers (dark and dull, dark and vivid); `wanted` aims at the later one.
    """
    return tuple(
        Name(word, family, _middle(tier, i))
        for tier in _table()["tiers"].values()
        for i, (_, word, family) in enumerate(tier["ring"])
    )


def index_of(lab: ArrayLike) -> NDArray[np.intp]:
    """Place in `vocabulary()` of the name of each CIELAB colour (…, 3), shape (…)."""
    shape = np.shape(lab)[:-1]
    lightness, a, b = np.asarray(lab, dtype=np.float64).reshape(-1, 3).T
    lightness, chroma = np.clip(lightness, 0.0, 100.0), np.minimum(np.hypot(a, b), 199.0)
    hue = np.degrees(np.arctan2(b, a)) % 360
    found = np.full(lightness.shape, -1, dtype=np.intp)
    for (dark, bright), (dull, vivid), starts, names in _rings():
        here = (dark <= lightness) & (lightness < bright) & (dull <= chroma) & (chroma < vivid)
        here &= found < 0
        # Below the first start the circle closes: index -1 is the last name of the ring.
        found[here] = names[np.searchsorted(starts, hue[here], side="right") - 1]
    return found.reshape(shape)


_Range: TypeAlias = tuple[float, float]


@cache
def _rings() -> tuple[tuple[_Range, _Range, Floats, NDArray[np.intp]], ...]:
    """Lightness and chroma of each tier, where its names begin on the circle, and which they are.

    In the order of the circle; names as `index_of` counts them.
    """
    rings, first = [], 0
    for tier in _table()["tiers"].values():
        starts = np.array([start for start, _, _ in tier["ring"]], dtype=np.float64)
        order = np.argsort(starts)
        rings.append(
            (tuple(tier["lightness"]), tuple(tier["chroma"]), starts[order], first + order)
        )
        first += len(starts)
    return tuple(rings)


def names_of(lab: ArrayLike) -> tuple[str, ...]:
    """The plain names of a row of CIELAB colours, shape (n, 3)."""
    words = vocabulary()
    return tuple(words[i].word for i in index_of(lab))


def name_of(lab: ArrayLike) -> str:
    """The plain name of one CIELAB colour (D65, 10°), shape (3,)."""
    return vocabulary()[int(index_of(lab))].word


def family_of(word: str) -> str:
    """The family of hues of a name; KeyError for a word outside the vocabulary."""
    plain = {UNTOLD: "neutral"}
    return (plain | {name.word: name.family for name in vocabulary()})[word]


def families() -> tuple[str, ...]:
    """Every family of hues, in the order they are listed."""
    return tuple(_table()["families"])


def pattern_of(word: str) -> str:
    """The drawing pattern of a name's family; KeyError for a word outside the vocabulary."""
    return str(_table()["families"][family_of(word)]["pattern"])


def beside(family: str) -> tuple[str, ...]:
    """The families one step away from a family; KeyError for one that does not exist."""
    return tuple(_table()["families"][family]["beside"])


def wanted(word: str) -> Wanted:
    """The colours meant by a name, a family of hues or one of the words of the table.

    Case and outer spaces do not matter. Raises KeyError when the word is not known (`known_words`
    lists them all).
    """
    key = word.strip().casefold()
    by_word = {name.word: name for name in vocabulary()}
    family = tuple(dict.fromkeys(name.word for name in vocabulary() if name.family == key))
    if key in _table()["words"]:
        names = tuple(_table()["words"][key]["names"])
    elif family:
        names = family
    else:
        names = (by_word[key].word,)
    aim = by_word[key if key in by_word else names[0]]
    return Wanted(key, names, aim.lab)


def known_words() -> tuple[str, ...]:
    """Every word `wanted` understands, sorted."""
    table = _table()
    return tuple(
        sorted({n.word for n in vocabulary()} | set(table["words"]) | set(table["families"]))
    )


def _middle(tier: dict[str, Any], i: int) -> tuple[float, float, float]:
    lightness, chroma = tier["typical"]
    starts: Floats = np.array([start for start, _, _ in tier["ring"]], dtype=np.float64)
    start = starts[i]
    width = np.min((starts - start - 1e-9) % 360) if len(starts) > 1 else 360.0
    hue = np.radians(start + width / 2)
    return float(lightness), float(chroma * np.cos(hue)), float(chroma * np.sin(hue))


def _table() -> dict[str, Any]:
    return read_table("anthocard.facts.colour", "names.yaml")
