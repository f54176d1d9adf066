"""What a house measured of its own bottles and drinks: one dated reading a row of house.yaml.

Belongs here: the frozen types and their ranges. Does not belong here: what the engine makes of a
reading (calibration.py), the batch it was taken of (lots.py).
"""

from __future__ import annotations

from datetime import date
from typing import Annotated, Final, Literal, Self, TypeAlias

from pydantic import BeforeValidator, Field, model_validator

from anthocard.facts.units.fields import Millimetres, Percent, Row, refusal
from anthocard.facts.units.written_numbers import MeasureError

#: A wavelength as a key: YAML hands keys over as text.
Nanometres: TypeAlias = Annotated[
    int,
    BeforeValidator(lambda key: int(key) if isinstance(key, str) and key.isdecimal() else key),
    Field(ge=380, le=780),
]
Sort: TypeAlias = Literal["ph", "colour", "strained", "strength", "brix"]
SORTS: Final[tuple[Sort, ...]] = ("ph", "colour", "strained", "strength", "brix")
Hex: TypeAlias = Annotated[str, Field(pattern=r"^#[0-9a-fA-F]{6}$")]


class Reading(Row):
    """What was read of one liquid on one day.

    `ph` is a meter's on an aliquot; `colour` (#rrggbb, photographed beside a white card), `lab` or
    `absorbances` (by nm, over `path`) are of the liquid diluted `diluted` times, at `ph` where both
    are given; `within` is how far off a colour or `lab` may be where that is known, one s.d. in
    CIELAB units. `strained` is what came through, of what was poured on; `strength` is % vol after
    distillation or of a density meter, `brix` a refractometer's °Bx of what holds no alcohol.
    """

    measured: date
    ph: Annotated[float, Field(ge=0.5, le=12.0)] | None = None
    colour: Annotated[Hex | None, Field(examples=["#3a4ac0"])] = None
    lab: (
        tuple[
            Annotated[float, Field(ge=0, le=101)],
            Annotated[float, Field(ge=-130, le=130)],
            Annotated[float, Field(ge=-130, le=130)],
        ]
        | None
    ) = None
    within: Annotated[float, Field(ge=0.5, le=30)] | None = None
    absorbances: dict[Nanometres, Annotated[float, Field(ge=0, le=4)]] | None = None
    path: Millimetres | None = None  # 10 mm for absorbances, else the 40 mm sample bottle
    diluted: Annotated[float, Field(ge=1, le=1000)] = 1.0
    strained: Percent | None = None
    strength: Percent | None = None
    brix: Annotated[float, Field(ge=0, le=90)] | None = None

    @property
    def sees_colour(self) -> bool:
        """Whether this reading says anything of colour."""
        return self.colour is not None or self.lab is not None or bool(self.absorbances)

    @property
    def sorts(self) -> tuple[Sort, ...]:
        """What was read: the pH given with a colour is that of its dilution, and no reading."""
        read = {
            "ph": self.ph is not None and not self.sees_colour,
            "colour": self.sees_colour,
            "strained": self.strained is not None,
            "strength": self.strength is not None,
            "brix": self.brix is not None,
        }
        return tuple(sort for sort in SORTS if read[sort])

    @model_validator(mode="after")
    def _one_reading(self) -> Self:
        colours = sum(one is not None for one in (self.colour, self.lab, self.absorbances))
        if colours > 1:
            raise refusal(
                MeasureError(
                    "bad-calibration",
                    "one reading has one colour, and here stand two",
                    "write a row for each, with the same date",
                )
            )
        if self.within is not None and self.colour is None and self.lab is None:
            raise refusal(
                MeasureError(
                    "bad-calibration",
                    "“within” says how far off a colour is, and there is none",
                    "write its colour or lab beside it, or take “within” out",
                )
            )
        if not self._says_something():
            raise refusal(
                MeasureError(
                    "bad-calibration",
                    "nothing was measured here",
                    "write ph, colour, lab, absorbances, strained, strength or brix",
                )
            )
        return self

    def _says_something(self) -> bool:
        return bool(self.sorts)


class Calibration(Reading):
    """A reading of a stock line, infusion, solution, syrup or drink; `when` is for drinks."""

    of: Annotated[str, Field(min_length=1, max_length=80)]
    when: Literal["before", "after"] = "before"
