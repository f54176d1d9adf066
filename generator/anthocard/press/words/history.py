"""What changed between two editions of a recipe, kept from one build to the next.

Belongs here: comparing the figures of the last build with those of this one, in words for staff,
and the ledger that holds them. Does not belong here: the figures (recipe_json.py), the stamp
(the engine).

The ledger is `staff/editions.json`: by slug, the figures of the latest edition and what each
earlier step changed, newest first. It holds no dates, so the same book over the same ledger gives
the same bytes; without one, every recipe starts anew.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any, Final

from anthocard.press.base.number_text import told_ph

LEDGER = "staff/editions.json"
KEPT = 12  # editions looked back on; chosen
NEWS: Final = ("changed", "new")


@dataclass(frozen=True, slots=True)
class Step:
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
    told = entry.get("news") if isinstance(entry, dict) else None
    return str(told) if isinstance(told, str) and told in NEWS else ""


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
    told = {}
    for slug, one in now.items():
        changed = stood.get(slug) not in (None, one["edition"])
        what = NEWS[0] if changed else NEWS[1] if stood and slug not in stood else None
        bare = {key: value for key, value in one.items() if key != "news"}
        told[slug] = {**bare, "news": what} if what else bare
    return told


def steps_of(ledger: Mapping[str, Any], slug: str) -> tuple[Step, ...]:
    """What changed in a recipe, newest first."""
    steps = ledger.get(slug, {}).get("steps", [])
    return tuple(Step(one["to"], one["was"], tuple(one["lines"])) for one in steps)


def _entry(old: Any, new: Mapping[str, Any]) -> dict[str, Any]:
    kept = {
        "edition": new["edition"],
        "name": new["name"],
        "kind": new["kind"],
        "amounts": {one["name"]: one["metric"] or "as counted" for one in new["amounts"]},
        "figures": dict(_figures(new)),
    }
    if not isinstance(old, dict) or "edition" not in old:
        return {**kept, "steps": []}
    if old["edition"] == new["edition"]:
        return dict(old)
    lines = _differences(old, kept) or ["words, papers or the tables behind it"]
    step = {"to": new["edition"], "was": old["edition"], "lines": lines}
    return {**kept, "steps": [step, *old.get("steps", [])][:KEPT]}


def _figures(new: Mapping[str, Any]) -> dict[str, str]:
    """The figures worth telling apart, as printed."""
    told: dict[str, str] = {}
    for when in ("before", "after", "liquid"):
        state = new.get(when)
        if state:
            place = "" if when == "liquid" else f" {when}"
            told[f"pH{place}"] = _acidity(state)
            told[f"strength{place}"] = f"{state['abv_percent']:.1f} % vol"
            told[f"colour{place}"] = state["colour"]["name"]
    return told


def _acidity(state: Mapping[str, Any]) -> str:
    between = state.get("ph_between")
    return told_ph(tuple(between) if between else state["ph"])


def _differences(old: Mapping[str, Any], new: Mapping[str, Any]) -> list[str]:
    lines = []
    for part in ("amounts", "figures"):
        was, now = old.get(part, {}), new[part]
        for name in (*now, *(n for n in was if n not in now)):
            if was.get(name) == now.get(name):
                continue
            if name not in was:
                lines.append(f"{name}: new, {now[name]}")
            elif name not in now:
                lines.append(f"{name}: gone, was {was[name]}")
            else:
                lines.append(f"{name}: {was[name]} → {now[name]}")
    return lines
