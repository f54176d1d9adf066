"""What a bottle brings into a drink that did not hold it: allergens, and labels nobody read.

Belongs here: comparing a bottle with a drink. Does not belong here: the states of a whole drink
(inherited_allergens.py).
"""

from __future__ import annotations

from anthocard.engine.results import Computed
from anthocard.engine.safety.ingredients import down_to
from anthocard.facts.law import allergens
from anthocard.house.collection import Collection


def brings(name: str, one: Computed, collection: Collection) -> tuple[str, ...]:
    """In words for staff: allergens of a bottle that a drink was not known to hold, and “an unread
    label” where nobody can say.
    """
    found = down_to(name, collection)
    records = [part.record for part in found if part.record is not None]
    held = {key for record in records for key in (*record.contains, *record.may_contain)}
    held |= {
        key
        for part in found
        if part.record is None or part.record.checked is None
        for key in allergens.named_in(part.ingredient.name)
    }
    known = {state.key for state in one.allergens if state.state == "contains"}
    labels = [allergens.label(key) for key in sorted(allergens.broadened(held)) if key not in known]
    unread = any(
        part.whole and (part.record is None or part.record.checked is None) for part in found
    )
    return (*labels, *(["an unread label"] if unread else []))
