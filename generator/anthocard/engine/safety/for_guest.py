"""Which drinks one guest can be served: safe, safe without something, not safe, or unknown.

Belongs here: holding what is in each line of a drink against what a guest may not have. Does not
belong here: the needs themselves (facts/law/needs.yaml), wording (the press, the terminal).

Unknown is never called safe. What can be left out is a garnish, a rim, the reveal, and what goes in
by the dash, the drop or the pinch; the drink without its gin is another drink.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final, Literal, TypeAlias

from anthocard.engine.results import Computed, State
from anthocard.engine.safety.ingredients import Found, RecipeLine, by_line
from anthocard.facts.law import allergens
from anthocard.facts.law.conditions import says
from anthocard.facts.law.needs import Diet, Need, bound, needs
from anthocard.house.collection import Collection
from anthocard.house.model import Drink

Answer: TypeAlias = Literal["safe", "safe without", "not safe", "unknown"]
ANSWERS: Final[tuple[Answer, ...]] = ("safe", "safe without", "not safe", "unknown")
_LOOSE: Final = ("dash", "drop", "pinch")


@dataclass(frozen=True, slots=True)
class Reason:
    """Why a line (or the whole, `line` empty) is not for a guest: `what` speaks against it.

    `sure` is False where nobody can tell. Nothing is the matter with a whole drink but its lines,
    unless a sum, a caution or its own record says so.
    """

    need: str
    line: str
    what: str
    certain: bool


@dataclass(frozen=True, slots=True)
class Served:
    """A drink and what it is to a guest: with what left out, and for which reasons."""

    name: str
    slug: str
    answer: Answer
    without: tuple[str, ...] = ()
    because: tuple[Reason, ...] = ()


def answer_for(one: Computed, needs: Sequence[Need], lines: Sequence[RecipeLine]) -> Served:
    """What one drink is to a guest of these needs; `lines` are its own (see by_line)."""
    drink = one.recipe
    assert isinstance(drink, Drink)
    reasons = [
        *(r for need in needs for line in lines for r in _of_line(need, line)),
        *(r for need in needs for r in _of_whole(need, one)),
    ]
    stays = {line.name for line in lines if not _can_go(line, drink)}
    loose = {line.name for line in lines} - stays
    kept = [reason for reason in reasons if reason.line not in loose]
    answer: Answer
    if any(reason.certain for reason in kept):
        answer = "not safe"
    elif kept or any(not need.known for need in needs):
        answer = "unknown"
        kept = kept or [
            Reason(need.key, "", f"nobody has written down what holds {need.label}", certain=False)
            for need in needs
            if not need.known
        ]
    else:
        without = tuple(dict.fromkeys(reason.line for reason in reasons))
        answer = "safe without" if without else "safe"
        return Served(one.name, one.slug, answer, without, tuple(reasons))
    surest = sorted(dict.fromkeys(kept), key=lambda reason: not reason.certain)
    return Served(one.name, one.slug, answer, (), tuple(surest))


def diets_of(one: Computed, collection: Collection) -> tuple[Diet, ...]:
    """What a drink is told to be: vegan and vegetarian only where nothing in it leaves a doubt, and
    with honey only where it surely is. Empty for what is not served.
    """
    if not isinstance(one.recipe, Drink):
        return ()
    lines = by_line(one.recipe, collection)
    diets: list[Diet] = []
    for diet in ("vegan", "vegetarian"):
        if answer_for(one, [needs()[diet]], lines).answer == "safe":
            diets.append(diet)
    sweet = needs()["honey"]
    if any(
        certain for line in lines for found in line.found for _, certain in _against(sweet, found)
    ):
        diets.append("honey")
    return tuple(diets)


def _can_go(line: RecipeLine, drink: Drink) -> bool:
    """Whether a drink is still itself without a line."""
    if line.role in ("garnish", "rim", "reveal"):
        return True
    units = {part.name: part.amount.unit for part in drink.pours}
    return units.get(line.name) in _LOOSE


def _of_line(need: Need, line: RecipeLine) -> Iterable[Reason]:
    for found in line.found:
        for what, certain in _against(need, found):
            inside = found.ingredient.name
            words = what if inside == line.name else f"{what} (in {inside})"
            yield Reason(need.key, line.name, words, certain)


def _against(need: Need, found: Found) -> Iterable[tuple[str, bool]]:
    """What speaks against one ingredient, and whether that is sure."""
    thing, record = found.ingredient, found.record
    held = _recorded(found, "contains")
    perhaps = _recorded(found, "may_contain")
    for key in sorted(need.allergens):
        if key in allergens.broadened(held):
            yield f"contains {allergens.label(key)}", True
        elif key in allergens.broadened(perhaps) | allergens.possibly({*held, *perhaps}):
            yield f"may contain {allergens.label(key)}", True
    if need.allergens and found.whole and (record is None or record.checked is None):
        yield "nobody has read its label", False
    item = found.item
    if need.alcohol and item is not None and item.abv_percent > bound("alcohol_percent"):
        yield f"{item.abv_percent:g} % vol", True
    elif thing.kind in need.kinds:
        yield thing.kind, True
    for trait in sorted(need.traits & thing.traits):
        yield trait.replace("-", " "), True
    words = " ".join((thing.name, thing.latin, *(found.item.aliases if found.item else ())))
    for name in need.names:
        if says(words, name):
            yield name, True
    if need.caffeine and item is not None and item.caffeine_mg_per_l > 0.0:
        yield "caffeine", True
    if thing.kind in need.unsure_kinds or any(says(words, name) for name in need.unsure_names):
        yield "ask about it", False


def _recorded(found: Found, state: Literal["contains", "may_contain"]) -> set[str]:
    """Keys of a record; and what an unread thing's own name says."""
    keys = set(getattr(found.record, state)) if found.record is not None else set()
    if state == "contains" and (found.record is None or found.record.checked is None):
        keys |= allergens.named_in(found.ingredient.name)
    return keys


def _of_whole(need: Need, one: Computed) -> Iterable[Reason]:
    """What only the whole tells: its own record, what fermented, sums, cautions."""
    own = one.recipe.allergens
    if own is not None:
        for key in sorted(need.allergens & allergens.broadened((*own.contains, *own.may_contain))):
            yield Reason(need.key, "", f"by its own record: {allergens.label(key)}", certain=True)
    served = [("", one.before), *((stage.measure.name, stage.state) for stage in one.stages)]
    for line, state in served:  # what came in with a reveal goes with it
        found = [*_sums(need, one, state, line)]
        if found:
            yield from found
            break
    for caution in one.cautions:
        if any(word in caution.staff.casefold() for word in need.cautions):
            yield Reason(need.key, "", caution.staff, certain=True)


def _sums(need: Need, one: Computed, state: State, line: str) -> Iterable[Reason]:
    withheld = {figure.what for figure in one.withheld}
    if need.alcohol:
        if state.abv_percent > bound("alcohol_percent"):
            yield Reason(need.key, line, f"{state.abv_percent:.1f} % vol", certain=True)
        elif "strength" in withheld:
            yield Reason(need.key, line, "its strength was never measured", certain=False)
    caffeine_mg = float(state.liquid["caffeine_mg"])
    if caffeine_mg > bound("caffeine_mg") and (need.caffeine or need.unsure_caffeine):
        yield Reason(need.key, line, f"{caffeine_mg:.0f} mg of caffeine", need.caffeine)
    if need.sugar and state.sugar_g_per_l > bound("sugar_g_per_l"):
        yield Reason(need.key, line, f"{state.sugar_g_per_l:.0f} g/l of sugar", certain=True)
