"""What a list tells of a recipe, and what it is found by: a few words, not the whole card.

Belongs here: one row of the spec book's list. Does not belong here: the list (staff.py), the
index a search reads (find.py).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from anthocard.engine.results import Computed
from anthocard.facts.chemistry.liquid import PLANT_COLUMNS, PLANTS
from anthocard.facts.colour.pigments import plants
from anthocard.house.files import slug
from anthocard.house.model import Drink, Solution
from anthocard.house.settings import House
from anthocard.press.base.languages import Language, language
from anthocard.press.base.number_text import dose
from anthocard.press.words.card import Card, lines_of

#: Below this strength nobody tastes or tells alcohol; chosen: what a label prints as 0.0 % vol.
_NO_ALCOHOL = 0.05
_STATES = ("contains", "may_contain")


@dataclass(frozen=True, slots=True)
class RecipeRow:
    """A recipe in the book's list.

    Its picture is `glass` (the name of the house's glass; empty for what has none) holding
    `volume_ml` of the colour `hex`, or `badge`, a few letters that tell it from its like. Its
    `strength` is of alcohol, and of a solution of what is dissolved in it.
    It is found by `called` (its names in the house's languages), `made` (what is in it, and the
    plants that colour it) and `looks` (colours on its way, glass, method, garnish); `holds` is what
    somebody may ask for it to be without. `choices` are what a reader may filter by: for plant,
    glass, method and allergen the key and the word of each that it has. `made_of` are the slugs of
    the house's recipes poured in it.
    """

    name: str
    slug: str
    kind: str
    edition: str
    turning: str
    strength: str
    glass: str
    volume_ml: float
    hex: str
    badge: str
    warnings: int
    called: str
    made: str
    appearance: str
    holds: str
    choices: Mapping[str, tuple[tuple[str, str], ...]]
    made_of: frozenset[str]
    #: About how many lines its card takes, the line of allergens too.
    lines: float
    #: Every sum of money that was worked out for it, for staff only.
    costs: tuple[float, ...]

    @property
    def tags(self) -> dict[str, str]:
        """The keys of each choice, set apart by blanks."""
        return {key: " ".join(one for one, _ in of) for key, of in self.choices.items()}


def make_row(card: Card, one: Computed, house: House) -> RecipeRow:
    """The row of one recipe."""
    tongues = [language(tag) for tag in dict.fromkeys((house.language, *house.languages))]
    own = tongues[0]
    drink = one.recipe if isinstance(one.recipe, Drink) else None
    found_in = [a for a in one.allergens if a.state == "contains"]
    coloured_by = _plants(one)
    poured = (*one.measures, *one.revealed)
    names = [said.name for said in one.recipe.translations.values() if said.name]
    made = [*(measure.name for measure in poured), *card.garnish]
    looks = [card.glass, card.ice]
    for tongue in tongues:
        made += [tongue.word("plant", plants()[key].label) for key in coloured_by]
        looks += [
            tongue.word("kind", card.kind),
            tongue.word("method", drink.method if drink else ""),
        ]
        looks += [tongue.word("colour", colour) for colour in _colours(one)]
    looks += [card.method, card.turning]
    return RecipeRow(
        name=card.name,
        slug=card.slug,
        kind=card.kind,
        edition=card.edition,
        turning=card.turning,
        strength=_strength(one, own) or card.strength,
        glass=drink.glass if drink else "",
        volume_ml=one.before.volume_ml if drink else 0.0,
        hex=card.before.hex or "transparent",
        badge=_badge(one, card),
        warnings=len(card.warnings),
        called=" ".join((card.name, *names)),
        made=" ".join(made),
        appearance=" ".join(dict.fromkeys(looks)),
        holds=" ".join(dict.fromkeys(word for t in tongues for word in _holds(one, t))),
        choices={
            "plant": tuple((slug(k), own.word("plant", plants()[k].label)) for k in coloured_by),
            "glass": ((slug(drink.glass), drink.glass),) if drink else (),
            "method": ((drink.method, card.method),) if drink else (),
            "allergen": tuple((slug(a.key), own.word("allergen", a.label)) for a in found_in),
        },
        made_of=frozenset(m.slug for m in poured if m.slug),
        lines=lines_of(card) + len(card.holds) / 120,
        costs=_sums(one),
    )


def _strength(one: Computed, tongue: Language) -> str:
    """What is weighed into a litre of a solution: “54 g/l: citric acid, malic acid”; else empty.

    What it is dissolved in is made up to, or else is the most of it.
    """
    recipe = one.recipe
    if not isinstance(recipe, Solution):
        return ""
    weighed = [measure for measure in one.measures if measure.g is not None]
    if recipe.made_up_to is None and weighed:
        weighed.remove(max(weighed, key=lambda measure: measure.g or 0.0))
    grams = sum(measure.g or 0.0 for measure in weighed)
    if not grams:
        return ""
    litre = dose(1000.0 * grams / one.before.volume_ml, tongue=tongue)
    return f"{litre}: {', '.join(measure.name for measure in weighed)}"


def _badge(one: Computed, card: Card) -> str:
    """The pH of a solution, in the few letters that a badge holds."""
    if card.kind != "solution":
        return ""
    return card.before.ph if one.before.stated_ph is not None else "pH ?"


def _holds(one: Computed, tongue: Language) -> list[str]:
    """Allergens it holds or may hold, and alcohol, in one language."""
    words = [tongue.word("allergen", a.label) for a in one.allergens if a.state in _STATES]
    if max(s.abv_percent for s in (one.before, one.after) if s is not None) >= _NO_ALCOHOL:
        words.append(tongue.gettext("alcohol"))
    return words


def _colours(one: Computed) -> list[str]:
    """The names of the colours from first to last, on the way too, in English."""
    ends = [state.colour.name for state in (one.before, one.after) if state is not None]
    return list(dict.fromkeys((*ends, *(one.turn.names if one.turn and one.after else ()))))


def _sums(one: Computed) -> tuple[float, ...]:
    cost = one.cost
    if cost is None:
        return ()
    sums = (cost.total, cost.margin, cost.target_price, *(line.cost for line in cost.lines))
    return tuple(one for one in sums if one is not None)


def _plants(one: Computed) -> tuple[str, ...]:
    """The plants that colour it, by key; under 1 % of the colour is not told."""
    colour = (one.after or one.before).liquid.amounts[PLANT_COLUMNS]
    return tuple(PLANTS[place] for place in np.flatnonzero(colour > 0.01 * colour.sum()))
