"""What stands in a glass, told as plain figures: layers, foam, ice, frozen reveals, garnish.

Belongs here: the frozen types that drawings, papers and data share. Does not belong here: how any
of it is worked out (served/), nor how it is drawn or worded (the press).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, TypeAlias

from anthocard.facts.colour.colours import Colour
from anthocard.house.ice import Ice

#: How a garnish looks, for whoever draws it; the first that fits is meant.
GarnishSort: TypeAlias = Literal[
    "dust", "drops", "stick", "wedge", "peel", "wheel", "flower", "sprig", "leaf", "berry", "other",
]  # fmt: skip
GarnishPlace: TypeAlias = Literal["in", "on top", "on the rim"]


@dataclass(frozen=True, slots=True)
class Layer:
    """One liquid of several that lie on each other: by itself, not stirred into the others.

    `names` are the pours in it. `density_g_per_ml` is that at 20 °C, of half-whipped cream as it
    is spooned on. `ph` is None where it has none that may be told. `colour` is seen from the side,
    through the glass as far as the whole drink fills it; `absorbs` per cm on 380-780 nm, (81,), and
    nothing where it is half-whipped cream, which light does not go through.
    """

    names: tuple[str, ...]
    ml: float
    density_g_per_ml: float
    abv_percent: float
    ph: float | None
    colour: Colour
    sulphite_mg_per_l: float = 0.0
    absorbs: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class Foam:
    """What stands on a drink: `of` which pour, and how much of it, ml, in a usual range."""

    of: str
    ml: float
    low_ml: float
    high_ml: float


@dataclass(frozen=True, slots=True)
class IceInGlass:
    """The ice in a glass: `pieces` of `mm` each, or a heap, where both are 0.

    `grams` is all of it, `floats_ml` what it displaces afloat, `displaces_ml` what of it is under
    the level of the drink as it stands (in a low drink a large piece rests on the bottom), and
    `share` that over drink and ice together.
    """

    kind: Ice
    pieces: int
    mm: float
    grams: float
    floats_ml: float
    displaces_ml: float
    share: float


@dataclass(frozen=True, slots=True)
class FrozenInGlass:
    """A frozen reveal in the glass before it has melted: `of` which pour, so many `pieces` of a
    `kind`, `mm` each.

    `ml` is the room all of it takes, `displaces_ml` what of that is under the level of the drink;
    `absorbs` per cm on 380-780 nm, (81,), is that of the same liquid before it was frozen.
    """

    of: str
    kind: Ice
    pieces: int
    mm: float
    ml: float
    grams: float
    displaces_ml: float
    absorbs: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class ServedGarnish:
    """One garnish in the author's words, and what it is for whoever draws it."""

    words: str
    sort: GarnishSort
    place: GarnishPlace


@dataclass(frozen=True, slots=True)
class Glassful:
    """A drink as it leaves the bar. `layers` go from the bottom up and are empty where all is one.

    `liquid_ml` is all that is liquid, `level_ml` with all ice under it, `brim_ml` what the glass
    holds. `ice` is None where there is none; `frozen` are reveals that will melt into the drink.
    """

    layers: tuple[Layer, ...]
    foam: tuple[Foam, ...]
    ice: IceInGlass | None
    garnish: tuple[ServedGarnish, ...]
    liquid_ml: float
    level_ml: float
    brim_ml: float
    frozen: tuple[FrozenInGlass, ...] = ()

    def needs_ml(self, drink_ml: float) -> float:
        """What so much drink takes up together with the ice and the foam.

        Frozen reveals need no room of their own: afloat they displace what they melt to.
        """
        ice, foam_ml = self.ice, sum(one.ml for one in self.foam)
        if ice is None:
            return drink_ml + foam_ml
        return foam_ml + (drink_ml + ice.floats_ml if ice.pieces else drink_ml / (1.0 - ice.share))

    def runs_over(self, drink_ml: float) -> bool:
        """Whether so much drink would run over the brim."""
        return self.needs_ml(drink_ml) > self.brim_ml
