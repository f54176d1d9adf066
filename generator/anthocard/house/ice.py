"""How a drink meets its ice, and what a house weighed of it: frozen types.

Belongs here: kinds of ice, pieces by number and size, ways of working, the row that says how one is
done. Does not belong here: what comes of it (engine/mix/chill.py).
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from typing import Annotated, Final, Literal, Self, TypeAlias, get_args

from pydantic import (
    AfterValidator,
    Field,
    PlainSerializer,
    PlainValidator,
    WithJsonSchema,
    model_validator,
)

from anthocard.diagnostics.diagnostic import did_you_mean
from anthocard.facts.ice_pieces import kind_called, pieces
from anthocard.facts.units.fields import Celsius, Dilution, Grams, Row, Seconds, refusal
from anthocard.facts.units.quantities import parse_mm
from anthocard.facts.units.written_numbers import MeasureError

#: Each has its row in engine/mix/methods.yaml, as have the ices and the vessels.
Method: TypeAlias = Literal[
    "stirred", "shaken", "dry-shaken", "dry-shaken then shaken", "built", "thrown", "swizzled",
    "blended", "layered", "rolled",
]  # fmt: skip
Ice: TypeAlias = Literal[
    "none", "cubed", "cracked", "crushed", "block", "clear spear", "large cube", "sphere"
]
Vessel: TypeAlias = Literal["two tins", "one tin", "glass and tin", "mixing glass", "glass", "jug"]


#: “2 cubes 30 mm”, “sphere 60 mm”, “60 mm ball”, “three large cubes”.
_PIECES: Final = re.compile(
    r"(?:(?P<count>[1-9]\d?)\s+)?(?:(?P<first>\d+(?:[.,]\d+)?\s*(?:mm|cm|in))\s+)?"
    r"(?P<kind>[^\W\d][^\d]*?)(?:,?\s+(?P<size>\d+(?:[.,]\d+)?\s*(?:mm|cm|in)))?",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class ServedIce:
    """What stands in the glass: a heap of a kind, or so many `pieces` of `mm` each.

    Both are 0 for a heap; `mm` is the edge of a cube, the diameter of a ball, the thickness of a
    bar.
    """

    kind: Ice = "none"
    pieces: int = 0
    mm: float = 0.0

    @property
    def sized(self) -> bool:
        """Whether it is counted, not heaped."""
        return self.pieces > 0

    @property
    def grams(self) -> float:
        """All its pieces together; 0 for a heap, which goes by the glass."""
        return self.pieces * pieces()[self.kind].grams(self.mm) if self.sized else 0.0


def parse_ice(text: str) -> ServedIce:
    """Read “cubed”, “crushed”, “sphere 60 mm”, “2 large cubes 50 mm”. Raises MeasureError."""
    kinds: tuple[Ice, ...] = get_args(Ice)
    said = " ".join(text.split())
    found = _PIECES.fullmatch(said)
    word = found["kind"] if found is not None else said
    kind = next((one for one in kinds if one == (kind_called(word) or word.casefold())), None)
    if found is None or kind is None:
        raise MeasureError(
            "not-a-choice",
            f"“{text.strip()}” is not a kind of ice known here",
            f"{did_you_mean(word, kinds)}; pieces may be sized: “sphere 60 mm”",
            0,
            len(text.strip()),
        )
    counted, size = found["count"], found["first"] or found["size"]
    piece = pieces().get(kind)
    if piece is None:
        if counted or size:
            raise MeasureError(
                "ice-size", f"{kind} ice has no pieces of one size", f"write “{kind}”",
                0, len(text.strip()),
            )  # fmt: skip
        return ServedIce(kind)
    if not counted and not size and not piece.usual:
        return ServedIce(kind)
    mm = parse_mm(size) if size else piece.mm
    if not piece.low_mm <= mm <= piece.high_mm:
        raise MeasureError(
            "ice-size",
            f"a {kind} of {mm:g} mm is none" if kind != "cubed" else f"a cube of {mm:g} mm is none",
            f"it measures {piece.low_mm:g} to {piece.high_mm:g} mm",
            text.find(size) if size else 0,
            len(size or text.strip()),
        )
    return ServedIce(kind, int(counted or 1), mm)


@dataclass(frozen=True, slots=True)
class FrozenPieces:
    """In how many pieces of which kind a frozen reveal is; its amount tells how large they are."""

    count: int = 1
    kind: Ice = "sphere"


def parse_frozen(text: str) -> FrozenPieces:
    """Read “2 balls”, “a ball”, “4 cubes”. Raises MeasureError."""
    found = _PIECES.fullmatch(re.sub(r"^an? ", "", " ".join(text.split())))
    kind = None if found is None else kind_called(found["kind"])
    if found is None or kind is None:
        raise MeasureError(
            "not-a-choice", f"“{text.strip()}” tells of no pieces known here",
            "write how many balls, cubes or spears it is, such as “2 balls”", 0, len(text.strip()),
        )  # fmt: skip
    size = found["first"] or found["size"]
    if size:
        raise MeasureError(
            "ice-size", "the amount of a frozen reveal tells how large its pieces are",
            f"write “{found['count'] or 1} {found['kind'].strip()}”", text.find(size), len(size),
        )  # fmt: skip
    kinds: tuple[Ice, ...] = get_args(Ice)
    return FrozenPieces(int(found["count"] or 1), next(one for one in kinds if one == kind))


def _read_by(parse: Callable[[str], object], kind: type, trouble: str, mend: str) -> PlainValidator:
    """What reads a text by `parse` and lets a `kind` pass."""

    def read(value: object) -> object:
        try:
            if isinstance(value, kind):
                return value
            if isinstance(value, str):
                return parse(value)
            raise MeasureError("wrong-type", trouble, mend)
        except MeasureError as error:
            raise refusal(error) from None

    return PlainValidator(read)


#: The pieces of a frozen reveal, as they are written.
Frozen: TypeAlias = Annotated[
    FrozenPieces,
    _read_by(parse_frozen, FrozenPieces, "these are no pieces", "write it as “2 balls”"),
    PlainSerializer(lambda pieces: f"{pieces.count} {pieces.kind}"),
    WithJsonSchema(
        {
            "type": "string",
            "description": "pieces of a frozen reveal by number and shape",
            "examples": ["2 balls", "4 cubes"],
        }
    ),
]


#: Ice in the glass, as it is written.
IceInGlass: TypeAlias = Annotated[
    ServedIce,
    _read_by(parse_ice, ServedIce, "this is no kind of ice", "write it as “cubed”"),
    PlainSerializer(lambda ice: ice.kind),
    WithJsonSchema(
        {
            "anyOf": [
                {"enum": list(get_args(Ice))},
                {"type": "string", "pattern": r"^\s*(\d+\s+)?\D+(\d+([.,]\d+)?\s*(mm|cm|in))?\s*$"},
            ],
            "description": "the ice in the glass; pieces by number and size",
            "examples": ["cubed", "crushed", "sphere 60 mm", "2 large cubes", "clear spear"],
        }
    ),
]


def _freezes(value: float) -> float:
    if value > 0.0:
        raise refusal(
            MeasureError("warm-ice", "ice is not warmer than 0 °C", "write it as “-2 °C” or colder")
        )
    return value


#: A temperature at which water is ice.
Frost: TypeAlias = Annotated[Celsius, AfterValidator(_freezes)]


class Worked(Row):
    """How a drink is worked with ice; what is left out is as usual for its method.

    `ice` and `load` (grams) are what goes into `vessel`, not what stands in the glass.
    """

    seconds: Annotated[Seconds | None, Field(alias="time")] = None
    ice: Ice | None = None
    load: Grams | None = None
    ice_temperature: Frost | None = None
    vessel: Vessel | None = None
    vessel_temperature: Celsius | None = None


class OwnMethod(Worked):
    """How the house works a method, and what that did when it was weighed.

    `dilution` is the mean of so many `weighings`: water added, of the start or the end.
    """

    dilution: Dilution | None = None
    weighings: Annotated[int, Field(ge=1, le=1000)] = 1
    temperature: Celsius | None = None
    measured: date | None = None

    @model_validator(mode="after")
    def _dated(self) -> Self:
        if self.measured is None and (self.dilution is not None or self.temperature is not None):
            raise refusal(
                MeasureError(
                    "undated-reading",
                    "a measured method needs the day it was measured",
                    "write “measured: 2026-01-31” beside it",
                )
            )
        return self
