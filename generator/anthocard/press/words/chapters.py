"""The chapters of the spec book in words: leaves, tables and indexes around the recipes.

Belongs here: what stands in the book. Does not belong here: a recipe's own wording (card.py), which
part of the book it stands in and on which page (spec_book.py), looks (the themes).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any, TypedDict

from markupsafe import Markup

from anthocard.diagnostics.tables import read_table
from anthocard.engine.results import Computed
from anthocard.facts.chemistry.liquid import PLANTS
from anthocard.facts.colour.pigments import plant
from anthocard.house.settings import House, OwnRule
from anthocard.press.base.languages import Language, language
from anthocard.press.base.markdown import markdown_html
from anthocard.press.base.number_text import tidy
from anthocard.press.words.back import make_back
from anthocard.press.words.card import Card
from anthocard.press.words.caution_words import in_language
from anthocard.press.words.history import EditionStep, steps_of
from anthocard.press.words.spec import Cited, Figure, cited, rests_on

#: Lines on one page of the book from which it is set closer; measured on the base theme.
FULL_LINES = 20.0
#: What a drink's pictures take beside the words of its facing page; measured likewise.
PICTURE_LINES = 1.5


@dataclass(frozen=True, slots=True)
class BookEntry:
    """One recipe in the book: its card, and its texts as safe HTML below the book's headings.

    `why` and its title are a drink's alone; `fit` is roomy, or full where there is much to say.
    """

    card: Card
    guest_text: Markup
    staff_text: Markup
    why_title: str
    why: tuple[str, ...]
    fit: str


@dataclass(frozen=True, slots=True)
class Entry:
    """One line of an index: the word, and the recipes it leads to as (name, slug, note)."""

    word: str
    leads: tuple[tuple[str, str, str], ...]


@dataclass(frozen=True, slots=True)
class RuleEntry:
    """A rule of care and the recipes it is about."""

    words: str
    source: str
    recipes: tuple[tuple[str, str], ...]


class Allergens(TypedDict):
    """The table of allergens: drinks down, allergens across, a sign in each cell."""

    labels: tuple[str, ...]  # over the columns
    rows: list[tuple[str, str, list[str]]]  # name, slug and signs of each drink
    nobody: list[str]  # those that no drink has


def leaf(card: Card, computed: Computed) -> BookEntry:
    """What the book says of one recipe."""
    back = make_back(computed, card) if computed.is_drink else None
    why = back.why if back else ()
    return BookEntry(
        card=card,
        guest_text=_lowered(card.guest_text),
        staff_text=_lowered(card.staff_text),
        why_title=back.title if back else "",
        why=why,
        fit="full" if _fullest(card, why) > FULL_LINES else "roomy",
    )


def _fullest(card: Card, why: tuple[str, ...]) -> float:
    """About how many lines stand on the fuller page of a drink, or on what else is made."""
    care = sum(
        1 + len(line) // 75
        for line in (card.holds, *card.cautions, card.shelf_life, *card.shelf_life_reasons, *why)
    )
    method = sum(1 + len(line) // 60 for line in (card.staff_text + card.guest_text).split("\n"))
    pours = 1.6 * sum(1 + len(pour.name) // 30 for pour in card.pours)
    if card.kind == "drink":
        return max(pours + method, care + len(card.figures) + PICTURE_LINES)
    return pours + method + care


def _lowered(text: str) -> Markup:
    """Markdown whose headings stand below the recipe's own, which is a second."""
    html = str(markdown_html(text))
    for level in (5, 4, 3, 2):
        html = html.replace(f"<h{level}>", f"<h{level + 1}>")
        html = html.replace(f"</h{level}>", f"</h{level + 1}>")
    return Markup(html)


def titles(tongue: Language) -> dict[str, str]:
    """The title of the chapter of each kind of recipe."""
    return {
        "infusion": tongue.gettext("Infusions"),
        "solution": tongue.gettext("Solutions"),
        "syrup": tongue.gettext("Syrups"),
        "preparation": tongue.gettext("Preparations"),
        "drink": tongue.gettext("Drinks"),
    }


def measures(house: House) -> list[Figure]:
    """The house's own measures, dilutions and glasses, each with how it is known."""
    tongue = language(house.language)

    def measured(on: date) -> str:
        return tongue.gettext("measured %(day)s", day=tongue.day(on))

    rows = [
        Figure(
            f"1 {tongue.word('unit', name)}",
            f"{tidy(own.ml, 2, tongue)} ml",
            measured(own.measured),
        )
        for name, own in house.measures.items()
    ]
    for method, done in house.methods.items():
        if done.dilution is not None and done.measured is not None:
            melt = tongue.gettext(
                "%(percent)s %% of the start in water", percent=tidy(done.dilution, 0, tongue)
            )
            rows.append(Figure(tongue.word("method", method), melt, measured(done.measured)))
    if house.spirit_measure is not None:
        by_law = f"{tidy(house.spirit_measure, 1, tongue)} ml", tongue.gettext("by law")
        rows.append(Figure(tongue.gettext("spirit measure"), *by_law))
    for name, glass in house.glasses.items():
        brim = tongue.gettext("%(ml)s ml to the brim", ml=tidy(glass.holds, 0, tongue))
        rows.append(Figure(name, brim))
    return rows


def allergens(computed: Mapping[str, Computed], tongue: Language) -> Allergens:
    """Those that nobody has have no column."""
    signs = {
        "contains": tongue.pgettext("allergen in a cell", "has"),
        "may contain": tongue.pgettext("allergen in a cell", "may"),
        "unchecked": "?",
        "none known": "–",
    }
    worded = (in_language(one, tongue) for one in computed.values())
    drinks = [one for one in worded if one.is_drink and one.allergens]
    found = {a.key: a.label for d in drinks for a in d.allergens if a.state != "none known"}
    rows = []
    for one in sorted(drinks, key=lambda d: d.name.casefold()):
        states = {a.key: a.state for a in one.allergens}
        rows.append((one.name, one.slug, [signs[states.get(k, "none known")] for k in found]))
    clear = sorted({a.label for d in drinks for a in d.allergens} - set(found.values()))
    return {"labels": tuple(found.values()), "rows": rows, "nobody": clear}


def rules(computed: Mapping[str, Computed], tongue: Language) -> list[RuleEntry]:
    """Every caution that some recipe calls for, once, in the order of the rules table."""
    entries: dict[str, tuple[str, str, list[tuple[str, str]]]] = {}
    for one in (in_language(one, tongue) for one in computed.values()):
        for caution in one.cautions:
            if "spec" in caution.on:
                rule = entries.setdefault(caution.key, (caution.staff, caution.source, []))
                rule[2].append((one.name, one.slug))
    return [RuleEntry(words, source, tuple(names)) for words, source, names in entries.values()]


def decisions(house: House) -> tuple[Figure, ...]:
    """Each rule the house tightened or loosened: which and how, why, and on which day."""
    tongue = language(house.language)
    return tuple(
        Figure(_decision(key, own, tongue), own.reason, tongue.day(own.date))
        for key, own in house.rules.items()
    )


def _decision(key: str, own: OwnRule, tongue: Language) -> str:
    """“keeping-sharp: loosened, 30 days, for frost acid alone”, the rule as the house names it."""
    parts = [f"{key}: {tongue.word('decision', own.state)}"]
    if own.days is not None:
        parts.append(tongue.ngettext("%(n)d day", "%(n)d days", own.days))
    if own.only:
        parts.append(tongue.gettext("for %(recipes)s alone", recipes=", ".join(own.only)))
    return ", ".join(parts)


def defer(computed: Mapping[str, Computed], tongue: Language) -> list[str]:
    """Whom to ask, once each."""
    lines = (
        tongue.word("caution", c.defer)
        for one in computed.values()
        for c in one.cautions
        if c.defer
    )
    return list(dict.fromkeys(lines))


def glossary(tongue: Language) -> list[tuple[str, str]]:
    """Each word of the glossary and what it means, in the order of its words."""
    rows = read_table("anthocard.press.words", "glossary.yaml")["words"]
    entries = [
        (tongue.word("term", term), tongue.word("glossary", str(row["words"])))
        for term, row in rows.items()
    ]
    return sorted(entries, key=lambda one: one[0].casefold())


Lead = tuple[str, str, str, str]  # word, name, slug, note


def indexes(
    computed: Mapping[str, Computed], cards: Mapping[str, Card], tongue: Language
) -> tuple[tuple[str, list[Entry]], ...]:
    """Each index with its title."""
    return (
        (tongue.gettext("Index by colour"), _index(_by_colour(computed, tongue))),
        (tongue.gettext("Index by glass"), _index(_by_glass(cards))),
        (tongue.gettext("Index by plant"), _index(_by_plant(computed, tongue))),
    )


def _by_colour(computed: Mapping[str, Computed], tongue: Language) -> Iterator[Lead]:
    for one in computed.values():
        states = ((tongue.gettext("before"), one.before), (tongue.gettext("after"), one.after))
        for when, state in states:
            if state is not None:
                name = tongue.word("colour", state.colour.name)
                note = f"{name} {when}" if one.is_drink else name
                yield name.split()[-1], one.name, one.slug, note


def _by_glass(cards: Mapping[str, Card]) -> Iterator[Lead]:
    return ((card.glass, card.name, card.slug, "") for card in cards.values() if card.glass)


def _by_plant(computed: Mapping[str, Computed], tongue: Language) -> Iterator[Lead]:
    for one in computed.values():
        liquid = (one.after or one.before).liquid
        for key in PLANTS:
            if float(liquid[f"{key}_au_ml"]) > 0.0:
                yield tongue.word("plant", plant(key).label), one.name, one.slug, ""


def _index(leads: Iterable[Lead]) -> list[Entry]:
    by_word: dict[str, list[tuple[str, str, str]]] = {}
    for word, name, slug, note in leads:
        by_word.setdefault(word, []).append((name, slug, note))
    return [
        Entry(word, tuple(sorted(by_word[word], key=lambda lead: lead[0].casefold())))
        for word in sorted(by_word, key=str.casefold)
    ]


def sources(computed: Mapping[str, Computed], tongue: Language) -> list[Cited]:
    """Every source once, with what it gave."""
    rows: dict[tuple[str, str], set[str]] = {}
    for one in computed.values():
        for source in one.sources:
            what = rests_on(source, tongue)
            rows.setdefault((source.source, source.how), set()).add(what)
    return [
        cited(", ".join(sorted(what)), source, how, tongue)
        for (source, how), what in sorted(rows.items(), key=lambda pair: sorted(pair[1]))
    ]


def changes(
    cards: Mapping[str, Card], ledger: Mapping[str, Any], tongue: Language
) -> list[tuple[str, str, EditionStep]]:
    """The latest step of every recipe that has changed, by name."""
    return [
        (card.name, card.slug, step)
        for card in sorted(cards.values(), key=lambda card: card.name.casefold())
        for step in steps_of(ledger, card.slug, tongue)[:1]
    ]
