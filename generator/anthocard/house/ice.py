"""How a drink meets its ice, and what a house weighed of it: frozen types.

Belongs here: kinds of ice, ways of working, the row that says how one is done. Does not belong
here: what comes of it (engine/mix/chill.py).
"""

from __future__ import annotations

from datetime import date
from typing import Annotated, Literal, Self, TypeAlias

from pydantic import AfterValidator, Field, model_validator

from anthocard.facts.units.fields import Celsius, Dilution, Grams, Row, Seconds, refusal
from anthocard.facts.units.written_numbers import MeasureError

#: Each has its row in engine/mix/methods.yaml, as have the ices and the vessels.
Method: TypeAlias = Literal[
    "stirred", "shaken", "dry-shaken", "dry-shaken then shaken", "built", "thrown", "swizzled",
    "blended", "layered", "rolled",
]  # fmt: skip
Ice: TypeAlias = Literal["none", "cubed", "cracked", "crushed", "block", "clear spear"]
Vessel: TypeAlias = Literal["two tins", "one tin", "glass and tin", "mixing glass", "glass", "jug"]


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
