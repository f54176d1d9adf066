"""Which cautions stand on which paper, in which words: the one place that decides it.

Belongs here: choosing by what each row of the rules says of itself. Does not belong here: the rows
(facts/law/rules.yaml), which of them a recipe calls for (engine/safety), how a paper is set.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from anthocard.engine.results import Caution


@dataclass(frozen=True, slots=True)
class LabelWords:
    """What a label says of hazards: in the place of the strength, and in lines below it.

    Both empty where there is nothing to say. `warning` says that the statement is one.
    """

    statement: str
    warning: bool
    lines: tuple[str, ...]


def on_card(cautions: Iterable[Caution]) -> tuple[str, ...]:
    """The first sentence of each: as much as there is room for; the spec page has all of it."""
    return tuple(first_sentence(one.staff) for one in _on(cautions, "card"))


def on_back(cautions: Iterable[Caution]) -> tuple[str, ...]:
    """What the front says."""
    return on_card(cautions)


def on_label(cautions: Iterable[Caution]) -> LabelWords:
    """The words for labels; the first warning, else the first statement, goes above the rest.

    Only its first sentence does: what follows is a line like others. No sentence stands twice.
    """
    told = tuple(_once(_on(cautions, "label")))
    rank = {"warning": 0, "statement": 1, "line": 2}
    first = min(told, key=lambda one: rank[one.on_label], default=None)
    if first is None or first.on_label == "line":
        return LabelWords("", False, tuple(one.label for one in told))
    head = first_sentence(first.label)
    lines = [one.label.removeprefix(head).strip() if one is first else one.label for one in told]
    return LabelWords(head.rstrip("."), first.on_label == "warning", tuple(filter(None, lines)))


def _once(cautions: Iterable[Caution]) -> Iterator[Caution]:
    """The cautions without sentences for labels that stand before them."""
    seen: set[str] = set()
    for one in cautions:
        said = [text for text in re.split(r"(?<=\.) ", one.label) if text not in seen]
        seen.update(said)
        if said:
            yield replace(one, label=" ".join(said))


def on_bottles(cautions: Iterable[Caution]) -> tuple[str, ...]:
    """What to write on the bottles of a batch that no label is printed of."""
    return tuple(one.label for one in _once(cautions) if one.label)


def on_prep(cautions: Iterable[Caution]) -> tuple[str, ...]:
    """Whole, for whoever makes it."""
    return tuple(one.staff for one in _on(cautions, "prep"))


def on_batch(cautions: Iterable[Caution]) -> tuple[str, ...]:
    """Whole."""
    return tuple(one.staff for one in _on(cautions, "batch"))


def on_spec(cautions: Iterable[Caution]) -> tuple[str, ...]:
    """Whole; in the book as well."""
    return tuple(one.staff for one in _on(cautions, "spec"))


def beside(cautions: Iterable[Caution]) -> Iterator[Caution]:
    """Those that stand beside a drink on a menu, with or without a mark."""
    return (one for one in _on(cautions, "menu") if one.on_menu != "foot")


def marked(cautions: Iterable[Caution]) -> tuple[str, ...]:
    """Of those beside, the words that a paper menu may print once, with a mark at each drink."""
    return tuple(one.guest for one in _on(cautions, "menu") if one.on_menu == "mark")


def at_foot(cautions: Iterable[Caution]) -> Iterator[Caution]:
    """Those that are true of nearly every drink: said once, at the foot of a menu."""
    return (one for one in _on(cautions, "menu") if one.on_menu == "foot")


def first_sentence(text: str) -> str:
    """Up to the first full stop that a blank follows."""
    sentence, stop, _ = text.partition(". ")
    return sentence + stop.strip()


def _on(cautions: Iterable[Caution], paper: str) -> Iterator[Caution]:
    return (one for one in cautions if paper in one.on)
