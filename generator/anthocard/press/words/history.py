"""What changed between two editions of a recipe, kept from one build to the next.

Belongs here: comparing what the last build's cards showed with this one's, in words for staff, and
the ledger that holds them. Does not belong here: the words of a card (card.py), the stamp (the
engine).

The ledger is `staff/editions.json`: by slug, what the card of the latest edition showed and what
each earlier step changed, newest first. Amounts are kept as printed; figures as figures, so that
they are worded when they are read, in the language of that day. It holds no dates, so the same book
over the same ledger gives the same bytes; without one, every recipe starts anew.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Final

from anthocard.engine.results import Computed
from anthocard.press.base.languages import Language
from anthocard.press.base.number_text import EN, fixed, ph_text
from anthocard.press.words.card import Card

LEDGER = "staff/editions.json"
EDITIONS_KEPT = 12  # editions looked back on; chosen
NEWS: Final = ("changed", "new")


@dataclass(frozen=True, slots=True)
class EditionStep:
    """One step between two editions: the stamp it led to, the one before, and what is different."""

    to: str
    was: str
    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class News:
    """Cards by the names of their drinks: what the ones on the wall have against this build."""

    changed: tuple[str, ...]
    new: tuple[str, ...]
    gone: tuple[str, ...]


def news_of(before: Mapping[str, Any], ledger: Mapping[str, Any]) -> News:
    """What a publish did to the cards; nothing is news where there was no build before."""
    fresh = {slug: one for slug, one in ledger.items() if one != before.get(slug)}
    changed, new = (
        _names(one for slug, one in fresh.items() if news_in(ledger, slug) == what) for what in NEWS
    )
    gone = (one for slug, one in before.items() if slug not in ledger)
    return News(changed, new, _names(gone) if ledger else ())


def news_in(ledger: Mapping[str, Any], slug: str) -> str:
    """“changed” or “new” of a recipe that the publish which last changed anything made so."""
    entry = ledger.get(slug)
    news = entry.get("news") if isinstance(entry, dict) else None
    return str(news) if isinstance(news, str) and news in NEWS else ""


def _names(entries: Iterable[Mapping[str, Any]]) -> tuple[str, ...]:
    """Those of drinks: only drinks have a card."""
    drinks = (one for one in entries if isinstance(one, dict) and one.get("kind") == "drink")
    return tuple(sorted(str(one.get("name")) for one in drinks))


def read_ledger(text: str | None) -> dict[str, Any]:
    """The ledger of the last build; empty where there is none or it cannot be read."""
    try:
        read = json.loads(text) if text else {}
    except ValueError:
        return {}
    return read if isinstance(read, dict) else {}


def written_on(
    ledger: Mapping[str, Any], figures: Mapping[str, Mapping[str, Any]]
) -> dict[str, Any]:
    """The ledger with this build's figures (by slug); recipes that are gone are dropped."""
    now = {slug: _entry(ledger.get(slug), one) for slug, one in sorted(figures.items())}
    return _with_news(ledger, now)


def follow(
    ledger: Mapping[str, Any],
    editions: Mapping[str, str],
    figures: Callable[[str], Mapping[str, Any]],
) -> dict[str, Any]:
    """The same, by the edition of each slug; `figures` is asked only where that has changed."""
    same = {
        slug: dict(ledger[slug])
        for slug, edition in editions.items()
        if isinstance(ledger.get(slug), dict) and ledger[slug].get("edition") == edition
    }
    rest = {slug: figures(slug) for slug in editions if slug not in same}
    now = {slug: _entry(ledger.get(slug), one) for slug, one in rest.items()}
    return _with_news(ledger, dict(sorted({**same, **now}.items())))


def _with_news(
    ledger: Mapping[str, Any], now: Mapping[str, Mapping[str, Any]]
) -> dict[str, dict[str, Any]]:
    """Each entry with its news. What was news stays so until something else changes, so that the
    same book over its own ledger gives the same bytes.
    """
    stood = {slug: one.get("edition") for slug, one in ledger.items() if isinstance(one, dict)}
    if stood == {slug: one["edition"] for slug, one in now.items()}:
        return {slug: dict(one) for slug, one in now.items()}
    entries = {}
    for slug, one in now.items():
        changed = stood.get(slug) not in (None, one["edition"])
        what = NEWS[0] if changed else NEWS[1] if stood and slug not in stood else None
        bare = {key: value for key, value in one.items() if key != "news"}
        entries[slug] = {**bare, "news": what} if what else bare
    return entries


def steps_of(ledger: Mapping[str, Any], slug: str, tongue: Language) -> tuple[EditionStep, ...]:
    """What changed in a recipe, newest first."""
    steps = ledger.get(slug, {}).get("steps", [])
    return tuple(
        EditionStep(
            one["to"],
            one["was"],
            tuple(_worded(line, tongue) for line in one["lines"])
            or (tongue.gettext("words, papers or the tables behind it"),),
        )
        for one in steps
    )


def shown(card: Card, computed: Computed) -> dict[str, Any]:
    """What a card shows that is worth telling apart, as the ledger keeps it."""
    poured = (*card.pours, *(one.pour for one in card.reveals))
    return {
        "edition": card.edition,
        "name": card.name,
        "kind": card.kind,
        "amounts": {one.name: f"{one.number} {one.unit}".strip() for one in poured},
        "figures": dict(_figures(computed)),
    }


def _entry(old: Any, new: Mapping[str, Any]) -> dict[str, Any]:
    if not isinstance(old, dict) or "edition" not in old:
        return {**new, "steps": []}
    if old["edition"] == new["edition"]:
        return dict(old)
    lines = [*_differences(old, new)]
    step = {"to": new["edition"], "was": old["edition"], "lines": lines}
    return {**new, "steps": [step, *old.get("steps", [])][:EDITIONS_KEPT]}


def _figures(computed: Computed) -> Iterator[tuple[str, Any]]:
    """Each figure by its name and when it holds, to as many places as are printed."""
    first = "before" if computed.is_drink else "made"
    for when, state in ((first, computed.before), ("after", computed.after)):
        if state is not None:
            ph = state.stated_ph
            ends = ph if isinstance(ph, tuple) else (ph,)
            yield f"pH {when}", [None if end is None else round(end, 1) for end in ends]
            yield f"strength {when}", round(state.abv_percent, 1)
            yield f"colour {when}", state.colour.name


def _differences(old: Mapping[str, Any], new: Mapping[str, Any]) -> Iterator[list[Any]]:
    """Each difference: of what (an amount or a figure), its name, what it was and is, or None."""
    for part in ("amounts", "figures"):
        was, now = old.get(part, {}), new[part]
        for name in (*now, *(n for n in was if n not in now)):
            line = [part, name, was.get(name), now.get(name)]
            same = [part, name, was.get(name), was.get(name)]
            if _worded(line, EN) != _worded(same, EN):  # another version may have kept it otherwise
                yield line


def _worded(line: Any, tongue: Language) -> str:
    """One difference in words; what a ledger of another version holds stays as it is."""
    if not isinstance(line, list) or len(line) != 4:
        return str(line)
    part, name, *values = line
    if part == "figures":
        was, now = (None if one is None else _value_text(name, one, tongue) for one in values)
        name = _label(name, tongue)
    else:
        was, now = values
    if was is None:
        return tongue.gettext("%(name)s: new, %(now)s", name=name, now=now)
    if now is None:
        return tongue.gettext("%(name)s: gone, was %(was)s", name=name, was=was)
    return f"{name}: {was} → {now}"


def _label(name: str, tongue: Language) -> str:
    """“pH before”; what an unknown version named stays as it is."""
    known = {
        "pH made": "pH",
        "pH before": tongue.gettext("pH before"),
        "pH after": tongue.gettext("pH after"),
        "strength made": tongue.gettext("strength"),
        "strength before": tongue.gettext("strength before"),
        "strength after": tongue.gettext("strength after"),
        "colour made": tongue.gettext("colour"),
        "colour before": tongue.gettext("colour before"),
        "colour after": tongue.gettext("colour after"),
    }
    return known.get(name, name)


def _value_text(name: str, value: Any, tongue: Language) -> str:
    if name.startswith("pH") and isinstance(value, list):
        return ph_text(value[0] if len(value) == 1 else tuple(value), 1, tongue)
    if name.startswith("strength") and isinstance(value, float):
        return f"{fixed(value, 1, tongue)} % vol"
    return tongue.word("colour", value) if isinstance(value, str) else str(value)
