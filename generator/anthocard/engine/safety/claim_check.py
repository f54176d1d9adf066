"""Words for guests held against what the engine worked out: strength, allergens, place.

Belongs here: which texts are read, and what an author is told of a claim. Does not belong here:
which words claim what, and the laws (facts/law/claims.py).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from anthocard.diagnostics.diagnostic import MistakeLog, Place, Severity
from anthocard.engine.results import Computed
from anthocard.engine.safety.inherited_allergens import contained
from anthocard.engine.safety.sentences import for_guests, marked, of_section
from anthocard.facts.law.claims import Claim, claims_in
from anthocard.facts.law.conditions import says
from anthocard.facts.law.needs import Diet, needs
from anthocard.facts.law.places import jurisdiction, nearest
from anthocard.house.collection import Collection, fold

#: How far above a line a strength counts as on it, % vol: half the last digit of any such line.
_ROUNDING = 0.005


@dataclass(frozen=True, slots=True)
class Borne:
    """What claims about a drink are held against: its strength, % vol, the higher of before and
    after; and which diets it surely is for.
    """

    abv_percent: float
    diets: tuple[Diet, ...] = ()


def borne_by(figures: Computed) -> Borne:
    """What the figures of one drink bear out."""
    return Borne(max(one.abv_percent for one in figures.states), figures.diets)


def check_claims(figures: Computed, collection: Collection, log: MistakeLog) -> None:
    """Note every claim in a recipe's words for guests that its own figures do not bear out.

    A claim bound to strength speaks above the line of the house's place: an error, or a warning
    where the law binds promotions. What promises an absence is an error where the thing is in it.
    """
    borne = borne_by(figures)
    abv_percent = borne.abv_percent
    for sentence, place in for_guests(figures.recipe, collection):
        for claim in claims_in(sentence):
            if claim.check.key in borne.diets:
                continue
            inside = _belies(claim.check.key, sentence, figures)
            belied = "; its own record says that it is in it" if inside else ""
            _weigh(
                claim,
                place,
                (abv_percent, f"this has {abv_percent:.1f} % vol"),
                belied,
                collection,
                log,
            )


def check_menus(collection: Collection, borne: Mapping[str, Borne], log: MistakeLog) -> None:
    """Hold the words of every menu against its drinks. `borne` is what each bears out, by slug.

    A heading or note speaks of the drinks of its section, so a claim that one of them belies is a
    mistake; the words of the whole menu may speak of some drinks only, so there it is a warning.
    """
    for menu in collection.menus.values():
        for sentence, place in for_guests(menu, collection):
            drinks = [name for section in menu.sections for name in section.drinks]
            _weigh_menu(sentence, place, drinks, True, collection, borne, log)
        for number, section in enumerate(menu.sections):
            for sentence, place in of_section(number, menu, collection):
                _weigh_menu(sentence, place, section.drinks, False, collection, borne, log)


def _weigh_menu(
    sentence: str,
    place: Place,
    drinks: Sequence[str],
    perhaps: bool,
    collection: Collection,
    borne: Mapping[str, Borne],
    log: MistakeLog,
) -> None:
    served = {fold(one.name): one for one in collection.drinks.values()}
    found = [served[fold(name)] for name in drinks if fold(name) in served]
    known = {one.name: borne[collection.slug(one)] for one in found}
    if not known:
        return
    name = max(known, key=lambda one: known[one].abv_percent)
    strength = (known[name].abv_percent, f"{name} has {known[name].abv_percent:.1f} % vol")
    for claim in claims_in(sentence):
        if any(claim.check.key not in one.diets for one in known.values()):
            _weigh(claim, place, strength, "", collection, log, perhaps)


def _weigh(
    claim: Claim,
    place: Place,
    strength: tuple[float, str],
    belied: str,
    collection: Collection,
    log: MistakeLog,
    perhaps: bool = False,
) -> None:
    """Tell of a claim where the strength, a figure and its words, calls for it."""
    where = jurisdiction(collection.house.place).within
    check, (abv_percent, strength_words) = claim.check, strength
    line = nearest(check.above_percent, where)
    if line is not None and abv_percent <= line + _ROUNDING:
        if check.below:
            _tell(claim, place, check.below, "warning", log)
        return
    law = nearest(check.law, where)
    severity: Severity = "error" if belied else "warning" if perhaps else check.severity
    _tell(
        claim, place, f"{law}{'' if line is None else f'; {strength_words}'}{belied}", severity, log
    )


def _tell(claim: Claim, place: Place, law: str, severity: Severity, log: MistakeLog) -> None:
    check = claim.check
    log.add(
        f"claim-{check.key}", f"“{claim.words}” is {check.says}: {law}",
        marked(place, claim.words), f"{check.mend}; ask your food or licensing authority", severity,
    )  # fmt: skip


def _belies(key: str, sentence: str, figures: Computed) -> bool:
    """Whether a record says that what a claim of a sort denies is in it."""
    if key == "free-from":
        return _is_in_it(sentence, figures)
    diet = needs().get(key)
    if diet is None:
        return False
    honey = key == "vegan" and "honey" in figures.diets
    return honey or any(one.key in diet.allergens for one in contained(figures.allergens))


def _is_in_it(sentence: str, figures: Computed) -> bool:
    """Whether a sentence says that something is not in it that a record says is."""
    inside = contained(figures.allergens)
    everything = any(says(sentence, word) for word in ("allergen", "Allergene", "everyone", "alle"))
    return any(everything or says(sentence, one.key) for one in inside)
