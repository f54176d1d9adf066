"""Which cautions stand on which paper, in which words and language: the one place that decides it.

Belongs here: choosing by what each row of the rules says of itself; putting cautions and the names
of allergens into a language at one place, so that whoever words a paper asks for them as before.
Does not belong here: the rows (facts/law/rules.yaml), which of them a recipe calls for
(engine/safety), other phrases, how a paper is set.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from anthocard.engine.results import Caution, Computed
from anthocard.facts.law.allergens import AllergenState
from anthocard.facts.law.rules import rule_of
from anthocard.press.base.languages import ENGLISH, Language
from anthocard.press.words.allergen_words import called


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
    sentences = tuple(_once(_on(cautions, "label")))
    rank = {"warning": 0, "statement": 1, "line": 2}
    first = min(sentences, key=lambda one: rank[one.on_label], default=None)
    if first is None or first.on_label == "line":
        return LabelWords("", False, tuple(one.label for one in sentences))
    head = first_sentence(first.label)
    lines = [
        one.label.removeprefix(head).strip() if one is first else one.label for one in sentences
    ]
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


def in_language(computed: Computed, tongue: Language) -> Computed:
    """The recipe with its cautions and allergens in a language; in English it is the same."""
    if tongue.lang.startswith(ENGLISH):
        return computed
    allergens = tuple(
        replace(one, label=called(one, tongue), kinds=()) for one in computed.allergens
    )
    return replace(
        computed, allergens=allergens, cautions=spoken(computed.cautions, allergens, tongue)
    )


def spoken(
    cautions: Iterable[Caution], allergens: Iterable[AllergenState], tongue: Language
) -> tuple[Caution, ...]:
    """Cautions in a language, their figures as it writes them. `allergens` are in it already.

    A house's own reason stays in its own words; so does a caution that is none of our rules.
    """
    if tongue.lang.startswith(ENGLISH):
        return tuple(cautions)
    names = _names(allergens, tongue)
    return tuple(_spoken(one, names, tongue) for one in cautions)


def _spoken(caution: Caution, names: dict[str, str], tongue: Language) -> Caution:
    rule = rule_of(caution.key)
    if rule is None:
        return caution
    figures = {**dict(caution.figures), **names}
    for name, value in figures.items():
        if isinstance(value, tuple):
            figures[name] = ", ".join(tongue.word("hazard", one) for one in value)
    drinks = figures.get("drinks")
    if isinstance(drinks, float):
        many = 1 if f"{drinks:.1f}" == "1.0" else 2
        figures["drink_label"] = tongue.words("standard drink", str(figures["drink_label"]), many)

    def said(text: str, english: str) -> str:
        return tongue.filled("caution", text, figures) if english else ""

    staff = said(rule.staff, caution.staff)
    if caution.decision is not None:
        day, state, reason = caution.decision
        values = {"day": day, "state": tongue.word("decision", state), "reason": reason}
        house = tongue.gettext("House, %(day)s: %(state)s. %(reason)s", **values)
        staff = f"{staff} {house}".strip()
    return replace(
        caution,
        guest=said(rule.guest, caution.guest),
        staff=staff,
        label=said(rule.label, caution.label),
    )


def _names(allergens: Iterable[AllergenState], tongue: Language) -> dict[str, str]:
    """What the cautions about allergens fill in: those it contains, and those it may."""
    names: dict[str, list[str]] = {"contains": [], "may contain": []}
    unchecked = False
    for one in allergens:
        if one.state == "unchecked":
            unchecked = True
        elif one.state in names:
            names[one.state].append(one.label)
    if unchecked:
        names["may contain"].append(tongue.gettext("others (labels not all checked)"))
    contains, doubted = (", ".join(names[state]) for state in ("contains", "may contain"))
    return {"contains_words": contains, "unsure_words": doubted}
