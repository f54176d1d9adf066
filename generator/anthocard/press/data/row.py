"""What a list tells of a recipe, and what it is found by: a few words, not the whole card.

Belongs here: one row of the spec book's list. Does not belong here: the list (staff.py).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from anthocard.engine.results import Computed
from anthocard.facts.chemistry.liquid import PLANT_COLUMNS, PLANTS
from anthocard.facts.colour.pigments import plants
from anthocard.house.files import slug
from anthocard.house.model import Drink
from anthocard.press.base.languages import language
from anthocard.press.words.card import Card
from anthocard.press.words.spoken import in_language


@dataclass(frozen=True, slots=True)
class Listed:
    """A recipe in the book's list.

    `choices` are what a reader may filter by: for plant, glass, method and allergen the key and
    the word of each that it has. `made_of` are the slugs of the house's recipes poured in it.
    """

    name: str
    slug: str
    kind: str
    edition: str
    turning: str
    strength: str
    drawing: str
    warnings: int
    words: str
    choices: Mapping[str, tuple[tuple[str, str], ...]]
    made_of: frozenset[str]

    @property
    def tags(self) -> dict[str, str]:
        """The keys of each choice, set apart by blanks."""
        return {key: " ".join(one for one, _ in of) for key, of in self.choices.items()}


def make_listed(card: Card, one: Computed) -> Listed:
    """The row of one recipe."""
    tongue = language(card.language)
    one = in_language(one, tongue)
    drink = one.recipe if isinstance(one.recipe, Drink) else None
    holds = [a for a in one.allergens if a.state == "contains"]
    plant_words = tuple((key, tongue.word("plant", plants()[key].label)) for key in _plants(one))
    poured = (*one.measures, *((one.reveal,) if one.reveal else ()))
    found = [
        card.name,
        tongue.word("kind", card.kind),
        card.turning,
        card.method,
        card.glass,
        *card.garnish,
    ]
    found += [m.name for m in poured]
    found += [a.label for a in holds] + [word for _, word in plant_words]
    return Listed(
        name=card.name,
        slug=card.slug,
        kind=card.kind,
        edition=card.edition,
        turning=card.turning,
        strength=card.strength,
        drawing=card.before.drawing,
        warnings=len(card.warnings),
        words=" ".join(found).casefold(),
        choices={
            "plant": tuple((slug(key), word) for key, word in plant_words),
            "glass": ((slug(drink.glass), drink.glass),) if drink else (),
            "method": ((drink.method, card.method),) if drink else (),
            "allergen": tuple((slug(a.key), a.label) for a in holds),
        },
        made_of=frozenset(m.slug for m in poured if m.slug),
    )


def _plants(one: Computed) -> tuple[str, ...]:
    """The plants that colour it, by key; under 1 % of the colour is not told."""
    colour = (one.after or one.before).liquid.amounts[PLANT_COLUMNS]
    return tuple(PLANTS[place] for place in np.flatnonzero(colour > 0.01 * colour.sum()))
