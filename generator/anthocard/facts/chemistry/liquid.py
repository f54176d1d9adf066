"""A liquid is a vector of extensive amounts: mixing adds, batching scales.

Belongs here: the list of components, the frozen value that holds them, and the arithmetic. Does
not belong here: any property that needs physics (volume, pH, colour); those are functions of the
vector in the modules beside this one.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any, Final, Literal, TypeAlias, get_args

import numpy as np
from numpy.typing import NDArray

Floats: TypeAlias = NDArray[np.float64]

AcidName: TypeAlias = Literal[
    "citric", "malic", "tartaric", "phosphoric", "carbonic", "acetic", "lactic", "succinic",
    "ascorbic", "quinic", "gluconic", "benzoic", "sorbic", "boric", "phthalic", "quinine",
    "shikimic",
]  # fmt: skip
#: Weak acids and bases in mmol, in the order of acids.yaml (a test holds the two together).
ACIDS: Final[tuple[str, ...]] = get_args(AcidName)

PlantName: TypeAlias = Literal[
    "butterfly_pea", "red_cabbage", "rose", "hibiscus", "purple_sweet_potato", "black_carrot",
    "elderberry", "blueberry", "beetroot", "spirulina", "saffron", "turmeric", "blackcurrant",
    "purple_corn",
]  # fmt: skip
#: Coloured plants, in absorbance at the reference peak per cm, times ml (order of pigments.yaml).
PLANTS: Final[tuple[str, ...]] = get_args(PlantName)

#: The parts a liquid is made of. Masses are grams, acids and ions millimoles.
COMPONENTS: Final = (
    "water_g",
    "ethanol_g",
    "sugar_g",
    "solutes_g",  # acids, salts and the rest of the dry extract, by mass …
    "solutes_ml",  # … and by the volume they take up in solution
    "strong_cation_mmol",  # charge equivalents of Na+, K+, Ca2+ …, taken as monovalent
    "strong_anion_mmol",  # charge equivalents of Cl-, SO4 2- …, taken as monovalent
    *(f"{acid}_mmol" for acid in ACIDS),
    *(f"{plant}_au_ml" for plant in PLANTS),
    "yellow_au_ml",  # colour that does not turn: absorbance at 400 nm per cm, times ml
    "haze_au_ml",  # cloud: extinction at 550 nm per cm, times ml
    "sulphite_mg",  # total SO2
    "caffeine_mg",
    "potassium_mmol",  # of the strong cations, what was weighed in as potassium
)
INDEX: Final[Mapping[str, int]] = {name: i for i, name in enumerate(COMPONENTS)}
ACID_COLUMNS: Final = slice(INDEX["citric_mmol"], INDEX["citric_mmol"] + len(ACIDS))
PLANT_COLUMNS: Final = slice(
    INDEX["butterfly_pea_au_ml"], INDEX["butterfly_pea_au_ml"] + len(PLANTS)
)


@dataclass(frozen=True, slots=True, eq=False)
class Liquid:
    """One liquid, or many at once.

    `amounts` has shape (…, len(COMPONENTS)), float64, read-only; leading axes are a pour curve, a
    cloud of draws or a shelf of bottles, and broadcast like any numpy array.
    """

    amounts: Floats

    def __post_init__(self) -> None:
        amounts = np.array(self.amounts, dtype=np.float64)
        if amounts.shape[-1:] != (len(COMPONENTS),):
            raise ValueError(f"the last axis must hold {len(COMPONENTS)} components")
        amounts.setflags(write=False)
        object.__setattr__(self, "amounts", amounts)

    @classmethod
    def of(cls, **parts: Any) -> Liquid:
        """Build from named components, scalars or arrays that broadcast; the rest is zero.

        Raises KeyError for a component that does not exist.
        """
        shape = np.broadcast_shapes(*(np.shape(value) for value in parts.values()))
        amounts = np.zeros((*shape, len(COMPONENTS)))
        for name, value in parts.items():
            amounts[..., INDEX[name]] = value
        return cls(amounts)

    @classmethod
    def mix(cls, liquids: Iterable[Liquid]) -> Liquid:
        """The sum of any number of liquids; nothing at all mixes to an empty glass."""
        total = np.zeros(len(COMPONENTS))
        for liquid in liquids:
            total = total + liquid.amounts
        return cls(total)

    @classmethod
    def stack(cls, liquids: Iterable[Liquid]) -> Liquid:
        """Put liquids of equal shape side by side along a new first axis."""
        return cls(np.stack([liquid.amounts for liquid in liquids]))

    def __add__(self, other: Liquid) -> Liquid:
        return Liquid(self.amounts + other.amounts)

    def __mul__(self, factor: Any) -> Liquid:
        """Scale; an array factor of shape S gives liquids of shape S + self.shape broadcast."""
        return Liquid(self.amounts * np.asarray(factor, dtype=np.float64)[..., np.newaxis])

    __rmul__ = __mul__

    def __getitem__(self, name: str) -> Floats:
        """The amount of one component, shape `self.shape`."""
        part: Floats = self.amounts[..., INDEX[name]]
        return part

    def having(self, **parts: Any) -> Liquid:
        """A copy with the named components set to new amounts (broadcast)."""
        shape = np.broadcast_shapes(self.shape, *(np.shape(v) for v in parts.values()))
        amounts = np.array(np.broadcast_to(self.amounts, (*shape, len(COMPONENTS))))
        for name, value in parts.items():
            amounts[..., INDEX[name]] = value
        return Liquid(amounts)

    @property
    def shape(self) -> tuple[int, ...]:
        """Shape without the component axis: () for a single liquid."""
        return self.amounts.shape[:-1]

    @property
    def mass_g(self) -> Floats:
        """Total mass in grams."""
        return self["water_g"] + self["ethanol_g"] + self["sugar_g"] + self["solutes_g"]

    @property
    def solvent_kg(self) -> Floats:
        """Mass of water and ethanol, the molality's kilogram."""
        return (self["water_g"] + self["ethanol_g"]) / 1000.0

    @property
    def ethanol_mass_fraction(self) -> Floats:
        """Ethanol in the solvent (water + ethanol), 0-1; 0 where there is no solvent."""
        ethanol_g = self["ethanol_g"]
        solvent_g = self["water_g"] + ethanol_g
        if solvent_g.ndim == 0 and solvent_g > 0:
            return np.asarray(ethanol_g / solvent_g)
        return np.divide(ethanol_g, solvent_g, out=np.zeros_like(solvent_g), where=solvent_g > 0)
