"""How long what the house makes keeps: rules of care, policy, parts, its own word, fading colour.

Belongs here: the shortest of all limits for one recipe. Does not belong here: the policy and the
tables (facts.keeping), fading rates (facts.kinetics), or what is printed on a label (the press).
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from typing import Final

import numpy as np

from anthocard.diagnostics.diagnostic import MistakeLog
from anthocard.engine.mix import acidity, appearance as look
from anthocard.engine.mix.bottle import Bottle
from anthocard.engine.mix.shelf import Shelf
from anthocard.engine.results import Computed
from anthocard.engine.safety.ingredients import shelf_life_kind, walk
from anthocard.facts.chemistry.kinetics import colour_left, fading_source, unread
from anthocard.facts.chemistry.liquid import PLANTS, Liquid
from anthocard.facts.chemistry.volume import abv_percent
from anthocard.facts.colour import colours
from anthocard.facts.colour.pigments import plant
from anthocard.facts.law import shelf_life as facts
from anthocard.facts.law.places import jurisdiction
from anthocard.facts.law.rules import Profile, Rule, rules
from anthocard.facts.law.shelf_life import Fading, Keeping, Limit
from anthocard.house.collection import Collection
from anthocard.house.model import Drink, Recipe

_WRITTEN: Final = re.compile(r"(\d+(?:\.\d+)?)\s*(hour|day|week|month|year)s?\b", re.IGNORECASE)
_DAYS: Final = {"hour": 1 / 24, "day": 1.0, "week": 7.0, "month": 30.0, "year": 365.0}
_OWN: Final = "keeps"  # the key of the limit that the recipe itself writes
_DEGREES: Final = re.compile(r"(-?\d+(?:\.\d+)?)\s*°\s*C")
_SHARE: Final = 1e-3  # pigments fainter than this share of the colour set no date


def keeping(
    figures: Computed, collection: Collection, shelf: Shelf, log: MistakeLog
) -> Keeping | None:
    """How long a made thing keeps; None for a drink, which is made to order.

    Warns where the author's own `keeps` goes beyond the policy without a recorded reason.
    """
    recipe = figures.recipe
    if isinstance(recipe, Drink):
        return None
    shelf_life = shelf_life_as(
        recipe.kind, figures.before.liquid, recipe, shelf[recipe.name].parts, collection
    )
    days = max(_times(recipe.keeps), default=None)
    others = [one for one in shelf_life.limits if one.days is not None and one.key != _OWN]
    rule = min(others, key=lambda one: one.days or 0, default=None)
    if days is not None and rule is not None and days > (rule.days or 0):
        mend = f"write keeps: {rule.days} days"
        if rule.key in facts.policy_keys():
            mend += (
                f"; or, with a test of your own, house.yaml: rules: {{{rule.key}: {{state: "
                f"loosened, only: [{recipe.name}], days: {days}, reason: …, date: …}}}}"
            )
        log.add(
            "keeps-too-long",
            f"{recipe.name} says it keeps {days} days, and the rule is {rule.days}: "
            + rule.words.rstrip("."),
            collection.at(recipe, ("keeps",)), mend, "warning",
        )  # fmt: skip
    return shelf_life


def shelf_life_as(
    kind: str,
    liquid: Liquid,
    recipe: Recipe,
    parts: tuple[tuple[Bottle, object], ...],
    collection: Collection,
) -> Keeping:
    """The limits of one liquid kept as an infusion, solution, syrup or batch.

    A batch is a bottled drink, or something brought down: what its recipe says of storing is then
    not of this liquid. The policy's limit comes first, then those of the rules of care, of each
    house-made part, and the recipe's own. The shortest counts, whoever wrote a longer one; and
    where the recipe stores it warmer or longer than they allow, their word is told instead.
    """
    house = collection.house
    if kind == recipe.kind:
        kind = shelf_life_kind(recipe, float(abv_percent(liquid)))
    facts_of = _profile(kind, liquid, recipe, collection)
    found = facts.policy(facts_of)
    if found is None:
        raise ValueError(f"nothing is kept as a {kind}")
    limit, store = found
    own = collection.decision_on(limit.key, recipe.name)
    if own is not None:
        limit = replace(
            limit,
            days=limit.days if own.days is None else own.days,
            decision=(own.date, own.state, own.reason),
        )
    spoken = [rule for rule in rules() if rule.days is not None and rule.applies(facts_of)]
    limits = [
        limit,
        *(_of_rule(rule, recipe, collection) for rule in spoken),
        *_of_parts(parts, collection),
    ]
    own_days = None if isinstance(recipe, Drink) else _written_days(recipe)
    if own_days is not None:
        limits.append(Limit(_OWN, own_days, "its recipe says so", "the house", "measured"))
    days = min((one.days for one in limits if one.days is not None), default=None)
    store = next((rule.store for rule in spoken if rule.store), store)
    if kind != "batch" and recipe.store and not any(rule.store for rule in spoken):
        store = recipe.store if _within(recipe.store, store, days) else store
    temperature_c = _stored_at(store, house.room_temperature)
    return Keeping(days, store, tuple(limits), fading(liquid, temperature_c))


def outlasts(text: str | None, days: int | None) -> bool:
    """Whether an author's words name a longer time than what is kept may be kept."""
    return days is not None and max(_times(text), default=0) > days


def _within(own: str, ruled: str, days: int | None) -> bool:
    """Whether the author's word on storing is no warmer and no longer than the rule's."""
    warmer = _stored_at(own, -273.0) > _stored_at(ruled, 1000.0)
    return not warmer and not outlasts(own, days)


def _of_rule(rule: Rule, recipe: Recipe, collection: Collection) -> Limit:
    """The limit a rule of care sets; what the house decided counts where it may decide."""
    own, days = collection.decision_on(rule.key, recipe.name), rule.days
    assert days is not None
    if own is not None and own.days is not None:
        days = min(days, own.days) if rule.firm else own.days
    return Limit(rule.key, days, rule.staff, rule.source, rule.how)


def fading(liquid: Liquid, temperature_c: float) -> Fading:
    """Days until the colour has moved ΔE00 5 in the sample bottle, dark at a temperature.

    First-order fading at published half-lives, each pigment at its own. An order of magnitude: the
    house's own eye decides.
    """
    doses = {key: float(liquid[f"{key}_au_ml"]) for key in PLANTS}
    total = sum(doses.values())
    present = [key for key, dose in doses.items() if dose > _SHARE * total]
    if not present:
        return Fading()
    goal, longest = facts.colour_moved()
    days = np.concatenate([[0.0], np.geomspace(0.1, longest, 160)])
    left = {key: colour_left(key, days, temperature_c) for key in present}
    rateless = [key for key in present if left[key] is None]
    if rateless:
        without_rate = ((plant(key).label, unread(key, temperature_c)) for key in rateless)
        return Fading(rateless=tuple(without_rate))
    faded = liquid.having(
        **{f"{key}_au_ml": doses[key] * share for key, share in left.items() if share is not None}
    )
    ph = float(acidity.read(liquid, temperature_c).ph)
    lab = colours.to_lab(look.transmittance(faded, ph, look.sample(), "side"))
    moved = colours.delta_e_2000(lab[0], lab)
    sources = tuple(fading_source(key) for key in present)
    beyond = np.flatnonzero(moved >= goal)
    if not beyond.size:
        return Fading(beyond_days=longest, sources=sources)
    near = slice(int(beyond[0]) - 1, int(beyond[0]) + 1)
    return Fading(float(np.interp(goal, moved[near], days[near])), sources=sources)


def _profile(kind: str, liquid: Liquid, recipe: Recipe, collection: Collection) -> Profile:
    """As much of a profile as the policy asks for."""
    ph = float(acidity.read(liquid, collection.house.room_temperature).ph)
    activity, mass_g = float(facts.water_activity(liquid)), float(liquid.mass_g)
    return Profile(
        kind=kind,
        places=jurisdiction(collection.house.place).within,
        ph_low=ph,
        ph_high=ph,
        abv_percent=float(abv_percent(liquid)),
        sugar_percent=100.0 * float(liquid["sugar_g"]) / mass_g if mass_g else 0.0,
        ingredients=tuple(one.ingredient for one in walk(recipe, collection)),
        table_a=facts.table_a(ph, activity),
        table_b=facts.table_b(ph, activity),
    )


def _of_parts(parts: tuple[tuple[Bottle, object], ...], collection: Collection) -> Iterator[Limit]:
    """A mixture keeps no longer than each house-made thing in it (Food Code 3-501.17(D))."""
    for bottle, _ in parts:
        if bottle.recipe is None or bottle.batch is None:
            continue
        shelf_life = shelf_life_as(
            bottle.recipe.kind, bottle.batch, bottle.recipe, bottle.parts, collection
        )
        if shelf_life.days is not None:
            words = f"holds {bottle.name}, which keeps {shelf_life.days} days from its own making"
            shortest = min(shelf_life.limits, key=lambda one: one.days or facts.colour_moved()[1])
            yield Limit("part", shelf_life.days, words, shortest.source, shortest.how, bottle.name)


def _written_days(recipe: Recipe) -> int | None:
    """The first time in the author's own `keeps`, in days."""
    return next(iter(_times(recipe.keeps)), None)


def _times(text: str | None) -> list[int]:
    """Every time that words name, in whole days and at least one."""
    found = _WRITTEN.finditer(text or "")
    return [max(1, int(float(one[1]) * _DAYS[one[2].lower()])) for one in found]


def _stored_at(store: str, otherwise_c: float) -> float:
    found = _DEGREES.search(store)
    return float(found[1]) if found else otherwise_c
