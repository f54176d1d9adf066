"""What is bought in: the type of a stock line, the generic table, and the liquid in a litre of it.

Belongs here: spirits, juices, mixers, dried plants and weighed substances as bought. Does not
belong here: anything a house makes (infusions, solutions, syrups), nor what it costs in a drink.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date
from functools import cache
from typing import Annotated, Final, Literal, TypeAlias

from pydantic import Field

from anthocard.diagnostics.tables import read_table
from anthocard.facts.chemistry.acids import acid
from anthocard.facts.chemistry.alcohol import ethanol_density_g_per_ml
from anthocard.facts.chemistry.carbonation import carbon_dioxide_mmol
from anthocard.facts.chemistry.equilibrium import infer_strong_ions
from anthocard.facts.chemistry.liquid import AcidName, Liquid, PlantName
from anthocard.facts.chemistry.substances import Substance, SubstanceName, substance, substances
from anthocard.facts.chemistry.volume import volume_ml
from anthocard.facts.pantry import Produce, aids, pantry
from anthocard.facts.units.fields import AllergenName, Money, Pack, Percent, Row

#: The stock table is kept in one file a shelf.
SHELVES: Final = (
    "juices", "wines", "spirits", "liqueurs", "mixers", "syrups", "larder", "substances", "plants",
    "garnishes",
)  # fmt: skip
How: TypeAlias = Literal[
    "read", "second-hand", "computed", "memory", "measured", "label", "practice"
]
Positive: TypeAlias = Annotated[float, Field(ge=0, allow_inf_nan=False)]
PerLitre: TypeAlias = Annotated[float, Field(ge=0, le=1500, allow_inf_nan=False)]


class AllergenRecord(Row):
    """What a label or supplier said about allergens, and when somebody last looked."""

    contains: tuple[AllergenName, ...] = ()
    may_contain: tuple[AllergenName, ...] = ()
    checked: date | None = None


class StrongIons(Row):
    """Charge equivalents of strong ions, where an analysis or a formula gives them.

    Per litre for what is poured, per kilogram for a powder.
    """

    cations_meq_per_l: Positive = 0.0
    anions_meq_per_l: Positive = 0.0
    cations_meq_per_kg: Positive = 0.0
    anions_meq_per_kg: Positive = 0.0


StockKind: TypeAlias = Literal[
    "spirit", "wine", "liqueur", "juice", "mixer", "syrup", "bitters", "water", "dairy", "egg",
    "substance", "plant", "fat", "garnish", "solution", "other",
]  # fmt: skip


class StockItem(Row):
    """One line of stock, composition per litre at 20 °C.

    Where `ph` is given the strong-ion difference is inferred from it, as the meter reads it at
    the item's own ethanol; `strong_ions` overrides that. `plant` and `substance` tie a line to
    the pigment table and the table of weighed substances.
    """

    name: str
    kind: StockKind
    aliases: tuple[str, ...] = ()
    abv_percent: Percent = 0.0
    density_g_per_ml: Annotated[float, Field(gt=0.6, lt=2.2)] | None = None
    sugar_g_per_l: PerLitre = 0.0
    solids_g_per_l: PerLitre = 0.0  # dry matter beyond sugar and acids: protein, gums, fat …
    acids_g_per_l: dict[AcidName, PerLitre] = Field(default_factory=dict)
    acids_g_per_kg: dict[AcidName, PerLitre] = Field(default_factory=dict)  # as it is weighed
    water_g_per_kg: PerLitre = 0.0  # in a powder: crystal water
    ph: Annotated[float, Field(ge=0, le=14)] | None = None
    strong_ions: StrongIons | None = None
    acid_spread: Annotated[float, Field(ge=0, le=2)] | None = None  # of its acids: sd of the log
    ph_spread: Annotated[float, Field(ge=0, le=3)] | None = None  # of its pH: one sd
    co2_volumes: Annotated[float, Field(ge=0, le=6)] = 0.0
    yellow_au_per_cm: Positive = 0.0
    haze_au_per_cm: Positive = 0.0
    colours_au_per_cm: dict[PlantName, Positive] = Field(default_factory=dict)
    sulphite_mg_per_l: Positive = 0.0
    caffeine_mg_per_l: Positive = 0.0
    plant: str | None = None
    latin: str | None = None
    form: str | None = None
    food_grade: bool | None = None
    substance: SubstanceName | None = None
    unit_g: Positive | None = None  # weight of one piece, where pieces are counted
    unit_ml: Positive | None = None  # volume of one piece or one squeeze
    allergens: AllergenRecord = AllergenRecord()
    traits: tuple[str, ...] = ()  # words the rules listen for: raw-egg, grapefruit, liquorice …
    pack: Pack | None = None
    price: Money | None = None
    supplier: str | None = None
    lead_days: Annotated[int, Field(ge=0, le=365)] = 0
    on_hand: Pack | None = None
    par: Pack | None = None  # what should be on hand when a week starts, beyond the week's own use
    source: str = ""
    how: How = "memory"

    @property
    def for_drinks(self) -> bool:
        """False for what only a laboratory uses: it must never go into a drink."""
        jar = None if self.substance is None else substance(self.substance)
        return "not-for-drinks" not in self.traits and (jar is None or jar.for_drinks)


@cache
def generic_stock() -> dict[str, StockItem]:
    """The stock table shipped with the package, by name; a house adds to it or overrides it.

    Every weighed substance of substances.yaml that the table does not already sell stands in it
    too, so that any buffer of the handbooks can be written, and what the kitchen brings.
    """
    bought = {
        name: StockItem.model_validate({"name": name, **row}, strict=False)
        for shelf in SHELVES
        for name, row in read_table("anthocard.facts", f"stock_{shelf}.yaml")["stock"].items()
    }
    taken = {word.casefold() for item in bought.values() for word in (item.name, *item.aliases)}
    for one in substances():
        plain = re.split(r",| \(", one.label)[0]  # “sodium carbonate, anhydrous”, “borax (…)”
        spoken = dict.fromkeys((plain, one.label, *one.aliases))
        words = [word for word in spoken if word.casefold() not in taken]
        taken.update(word.casefold() for word in words)
        if words:
            bought[words[0]] = _weighed(one, words[0], tuple(words[1:]))
    for item in (*map(_from_kitchen, pantry().values()), *_aids()):
        if item.name.casefold() not in taken:
            free = tuple(word for word in item.aliases if word.casefold() not in taken)
            taken.update(word.casefold() for word in (item.name, *free))
            bought[item.name] = item.model_copy(update={"aliases": free})
    return bought


def _from_kitchen(one: Produce) -> StockItem:
    return StockItem.model_validate(
        {
            "name": one.name,
            "kind": "fat" if one.fat else "plant",
            "aliases": one.words,
            "latin": one.latin or None,
            "form": one.form or None,
            "food_grade": None if one.herb else True,
            "unit_g": one.piece_g,
            "traits": one.traits,
            "allergens": {"contains": one.contains},
            "source": one.source,
        },
        strict=False,
    )


def _aids() -> Iterator[StockItem]:
    for name, row in aids().items():
        allergens = {key: row.get(key, ()) for key in ("contains", "may_contain")}
        yield StockItem.model_validate(
            {
                "name": name,
                "kind": row["kind"],
                "aliases": tuple(row["words"]),
                "traits": tuple(row.get("traits", ())),
                "allergens": allergens,
                "source": row["source"],
            },
            strict=False,
        )


def _weighed(one: Substance, name: str, aliases: tuple[str, ...]) -> StockItem:
    return StockItem(
        name=name,
        kind="substance",
        aliases=aliases,
        substance=one.key,
        traits=() if one.for_drinks else ("not-for-drinks",),
        source=one.source,
        how="computed",
    )


def litre_of(item: StockItem) -> Liquid:
    """What 1000 ml of a stock line holds at 20 °C, shape (); nothing at all for dry goods.

    Strength is % vol of ethanol at the density OIML R 22 gives it. Water is what the stated density
    leaves, and then the solutes take up what room is left; without a density they take 0.62 ml/g
    and water fills the litre. Strong ions are those stated, or those that make a meter read `ph` at
    the line's own strength. Dissolved carbon dioxide counts as acid but not as mass: it leaves.
    Raises ValueError where the line is a weighed substance, or density and composition disagree by
    more than about a hundredth.
    """
    if item.substance is not None:
        raise ValueError(f"{item.name} is weighed, not poured")
    if item.kind in ("plant", "fat") or (item.kind == "garnish" and item.unit_ml is None):
        return Liquid.mix(())
    solutes_g = sum(_acids_g_per_l(item).values()) + item.solids_g_per_l
    dissolved = Liquid.of(
        ethanol_g=10.0 * item.abv_percent * ethanol_density_g_per_ml(),
        sugar_g=item.sugar_g_per_l,
        solutes_g=solutes_g,
        solutes_ml=solutes_g * _constant("solute", "ml_per_g"),
        sulphite_mg=item.sulphite_mg_per_l,
        caffeine_mg=item.caffeine_mg_per_l,
        yellow_au_ml=1000.0 * item.yellow_au_per_cm,
        haze_au_ml=1000.0 * item.haze_au_per_cm,
        **{f"{plant}_au_ml": 1000.0 * au for plant, au in item.colours_au_per_cm.items()},
        **_acids_mmol(item),
    )
    return _with_strong_ions(_filled_with_water(dissolved, item), item)


def is_powder(item: StockItem) -> bool:
    """Whether a line is the house's own dry substance, told per kilogram and only ever weighed."""
    return item.kind == "substance" and item.substance is None and item.density_g_per_ml is None


def gram_of(item: StockItem) -> Liquid:
    """What one gram of a powder brings into a liquid, shape ().

    Acids, strong ions and crystal water as stated per kilogram; the rest of the gram is taken as a
    solute of the usual apparent volume.
    """
    ions = item.strong_ions or StrongIons()
    water_g = item.water_g_per_kg / 1000.0
    return Liquid.of(
        water_g=water_g,
        solutes_g=1.0 - water_g,
        solutes_ml=(1.0 - water_g) * _constant("solute", "ml_per_g"),
        strong_cation_mmol=ions.cations_meq_per_kg / 1000.0,
        strong_anion_mmol=ions.anions_meq_per_kg / 1000.0,
        **{
            f"{key}_mmol": grams / acid(key).molar_mass_g_per_mol
            for key, grams in item.acids_g_per_kg.items()
        },
    )


def _constant(row: str, key: str) -> float:
    return float(read_table("anthocard.facts", "stock.yaml")["constants"][row][key])


def _acids_g_per_l(item: StockItem) -> dict[str, float]:
    """Acids per litre; those told per kilogram go by the liquid's density, or else by water's."""
    grams: dict[str, float] = {}
    grams.update(item.acids_g_per_l.items())
    for key, per_kg in item.acids_g_per_kg.items():
        grams[key] = grams.get(key, 0.0) + per_kg * (item.density_g_per_ml or 1.0)
    return grams


def _acids_mmol(item: StockItem) -> dict[str, float]:
    mmol = {
        key: 1000.0 * grams / acid(key).molar_mass_g_per_mol
        for key, grams in _acids_g_per_l(item).items()
    }
    fizz = float(carbon_dioxide_mmol(1000.0, item.co2_volumes))
    mmol["carbonic"] = mmol.get("carbonic", 0.0) + fizz
    return {f"{key}_mmol": amount for key, amount in mmol.items()}


def _filled_with_water(dissolved: Liquid, item: StockItem) -> Liquid:
    if item.density_g_per_ml is not None:
        water_g = 1000.0 * item.density_g_per_ml - float(dissolved.mass_g)
        filled = dissolved.having(water_g=max(0.0, water_g))
        room_ml = float(filled["solutes_ml"]) + 1000.0 - float(volume_ml(filled))
        slack_ml, most_ml_per_g = _constant("closure", "slack_ml"), _constant("closure", "ml_per_g")
        most_ml = float(filled["solutes_g"]) * most_ml_per_g + slack_ml
        if water_g < 0 or not -slack_ml <= room_ml <= most_ml:
            raise ValueError(f"the density of {item.name} does not fit what it is said to hold")
        return filled.having(solutes_ml=room_ml)
    water_g = 1000.0
    for _ in range(60):  # a gram of water takes up close to a millilitre: each round gains a digit
        filled = dissolved.having(water_g=water_g)
        left_g = water_g + 1000.0 - float(volume_ml(filled))
        if left_g < -1e-6:  # pure ethanol leaves no room at all, but for the last digit
            raise ValueError(f"{item.name} is said to hold more than a litre has room for")
        settled = abs(left_g - water_g) < 1e-9
        water_g = max(left_g, 0.0)
        if settled:
            break
    return filled


def _with_strong_ions(liquid: Liquid, item: StockItem) -> Liquid:
    if item.strong_ions is not None:
        return liquid.having(
            strong_cation_mmol=item.strong_ions.cations_meq_per_l,
            strong_anion_mmol=item.strong_ions.anions_meq_per_l,
        )
    return (
        liquid
        if item.ph is None
        else infer_strong_ions(liquid, item.ph, _constant("ph", "temperature_c"))
    )
