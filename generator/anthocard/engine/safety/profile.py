"""A computed recipe as the rules of care see it.

Belongs here: drawing a Profile from the figures. Does not belong here: the rules (facts.rules), the
walk over ingredients (ingredients.py) or what is done about an answer (cautions.py).
"""

from __future__ import annotations

from collections.abc import Iterable

from anthocard.engine.results import Computed, State
from anthocard.engine.safety.hazards_within import hazards_within
from anthocard.engine.safety.ingredients import shelf_life_kind, walk
from anthocard.engine.safety.inherited_allergens import contained, sulphite_mg_per_l
from anthocard.engine.safety.process_check import done
from anthocard.facts.chemistry.acids import acid
from anthocard.facts.chemistry.liquid import PLANTS
from anthocard.facts.law import shelf_life as keeping
from anthocard.facts.law.allergens import AllergenState
from anthocard.facts.law.conditions import says
from anthocard.facts.law.places import Jurisdiction, in_fixed_measures, jurisdiction
from anthocard.facts.law.rules import Profile
from anthocard.facts.stock import StockItem
from anthocard.house.collection import Collection
from anthocard.house.model import Drink, Infusion, Recipe


def profile(figures: Computed, collection: Collection, only: tuple[State, ...] = ()) -> Profile:
    """Everything the rules may ask of one computed recipe that has its allergens and strengths.

    Of all its states, unless `only` some are asked of.
    """
    states = [*(only or figures.states)]
    last, strongest = states[-1], max(states, key=lambda one: one.abv_percent)
    found = walk(figures.recipe, collection)
    where = jurisdiction(collection.house.place)
    strength = figures.strengths[-1]
    liquids = len(figures.measures) + len(figures.stages)
    spirits = _specified_ml(figures, collection, where)
    before = figures.before
    activity = float(keeping.water_activity(before.liquid))
    hazards = hazards_within(one.ingredient for one in found)
    return Profile(
        kind=shelf_life_kind(figures.recipe, before.abv_percent),
        places=where.within,
        ph_low=min(one.ph for one in states),
        ph_high=max(one.ph for one in states),
        abv_percent=strongest.abv_percent,
        served_abv_percent=last.abv_percent,
        ml=last.volume_ml,
        ethanol_g=strength.ethanol_g,
        drinks=strength.drinks,
        drink_label=strength.drink_label,
        sulphite_mg_per_l=sulphite_mg_per_l(figures),
        caffeine_mg=float(last.liquid["caffeine_mg"]),
        caffeine_mg_per_l=_highest_per_l(states, "caffeine_mg"),
        quinine_mg=_quinine_mg(last),
        quinine_mg_per_l=max(_per_l(_quinine_mg(one), one) for one in states),
        sugar_percent=_sugar_percent(before),
        fizzy=any(one.item is not None and one.item.co2_volumes > 0.0 for one in found),
        plants=frozenset(key for key in PLANTS if float(last.liquid[f"{key}_au_ml"]) > 0.0),
        ingredients=tuple(one.ingredient for one in found),
        contains=frozenset(one.key for one in contained(figures.allergens)),
        contains_words=_named(figures.allergens),
        unsure_words=_doubted(figures.allergens),
        vessel=_vessel(figures.recipe, collection),
        words=_words(figures.recipe),
        liquids=liquids,
        specified_spirits=bool(spirits),
        off_measure=not in_fixed_measures(spirits, liquids, where, collection.house.spirit_measure),
        measures=" or ".join(f"{ml:g} ml" for ml in where.spirit_measures_ml),
        table_a=keeping.table_a(before.ph, activity),
        table_b=keeping.table_b(before.ph, activity),
        processes=frozenset(done(figures.recipe, collection)),
        limited=hazards["limited"],
        without_paper=hazards["paper"],
        meets_medicines=hazards["medicine"],
        allergen_kin=hazards["kin"],
    )


def _specified_ml(
    figures: Computed, collection: Collection, where: Jurisdiction
) -> tuple[float, ...]:
    """The pours of spirits that the place sells by fixed measures, infused ones among them."""
    recipe = figures.recipe
    if not isinstance(recipe, Drink):
        return ()
    pours = zip(recipe.pours, figures.measures, strict=True)
    return tuple(
        measure.ml
        for part, measure in pours
        if measure.ml is not None and _is_specified(part.name, collection, where.specified_spirits)
    )


def _is_specified(name: str, collection: Collection, specified: Iterable[str]) -> bool:
    thing = collection.find(name)
    if isinstance(thing, Infusion):
        return _is_specified(thing.into, collection, specified)
    if not isinstance(thing, StockItem) or thing.kind != "spirit":
        return False
    return any(says(called, word) for called in (thing.name, *thing.aliases) for word in specified)


def _vessel(recipe: Recipe, collection: Collection) -> str:
    """What it touches: the vessel and glass of a drink, the store of anything else."""
    if isinstance(recipe, Drink):
        glass = collection.house.glasses[recipe.glass]
        return f"{recipe.vessel or glass.vessel or ''}; {recipe.glass}"
    return recipe.store or ""


def _words(recipe: Recipe) -> str:
    """What bartenders read and do."""
    lines = [recipe.staff_text, recipe.store]
    if isinstance(recipe, Drink):
        served = (reveal.served for reveal in recipe.revealing)
        lines += [*recipe.garnish, recipe.rim, recipe.serve, recipe.vessel, *served]
    return "; ".join(line for line in lines if line)


def _named(states: Iterable[AllergenState]) -> str:
    return ", ".join(one.label for one in contained(states))


def _doubted(states: tuple[AllergenState, ...]) -> str:
    """Allergens it may contain, named where something speaks for them, else in one word."""
    named = [one.label for one in states if one.state == "may contain"]
    unchecked = any(one.state == "unchecked" for one in states)
    return ", ".join(named + (["others (labels not all checked)"] if unchecked else []))


def _quinine_mg(state: State) -> float:
    return float(state.liquid["quinine_mmol"]) * acid("quinine").molar_mass_g_per_mol


def _highest_per_l(states: list[State], component: str) -> float:
    return max(_per_l(float(one.liquid[component]), one) for one in states)


def _per_l(amount: float, state: State) -> float:
    return 1000.0 * amount / state.volume_ml if state.volume_ml else 0.0


def _sugar_percent(state: State) -> float:
    mass_g = float(state.liquid.mass_g)
    return 100.0 * float(state.liquid["sugar_g"]) / mass_g if mass_g else 0.0
