"""A computed recipe with the sentences of the rules and the names of allergens in one language.

Belongs here: cautions and allergens put into a language at one place, so that whoever words a paper
asks for them as before. Does not belong here: which of them stand on a paper, other phrases.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from anthocard.engine.results import Caution, Computed
from anthocard.facts.law.allergens import AllergenState
from anthocard.facts.law.rules import rule_of
from anthocard.press.base.languages import ENGLISH, Language
from anthocard.press.words.allergens import called


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
    if caution.decided is not None:
        day, state, reason = caution.decided
        told = {"day": day, "state": tongue.word("decision", state), "reason": reason}
        house = tongue.gettext("House, %(day)s: %(state)s. %(reason)s", **told)
        staff = f"{staff} {house}".strip()
    return replace(
        caution,
        guest=said(rule.guest, caution.guest),
        staff=staff,
        label=said(rule.label, caution.label),
    )


def _names(allergens: Iterable[AllergenState], tongue: Language) -> dict[str, str]:
    """What the cautions about allergens fill in: those it contains, and those it may."""
    told: dict[str, list[str]] = {"contains": [], "may contain": []}
    unchecked = False
    for one in allergens:
        if one.state == "unchecked":
            unchecked = True
        elif one.state in told:
            told[one.state].append(one.label)
    if unchecked:
        told["may contain"].append(tongue.gettext("others (labels not all checked)"))
    contains, doubted = (", ".join(told[state]) for state in ("contains", "may contain"))
    return {"contains_words": contains, "unsure_words": doubted}
