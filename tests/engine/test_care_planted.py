"""Eighty planted hazards raise eighty, and sixty harmless recipes none: half by another hand.

care_planted.yaml was committed as it came, and measured before any table was touched: 58 of 60
plants were refused, 28 of 40 limits, papers and words to guests told, 15 of 40 sentences on what is
done, 41 of 50 claims, 9 of 40 fair sentences; nothing was said of the 60 recipes. Of 25 situations
of law a row told 15. Then the tables were widened by families, parts and turns of phrase with the
even places (first, third …) in sight; the odd ones were only counted. Since then (even and odd):
30 + 29 plants, 20 + 14 limits, 20 + 17 processes, 25 + 20 claims, 0 + 2 fair sentences told.

Situation 4 of law is not asked for: a long drink of gin is above 1.2 % vol and outside §5 AromenDV
and §6 FrSaftV. Situation 20 is told as it is disputed: lawyers write that Tennessee let the rule on
discounts go and kept those on two drinks at once and on larger ones. Situation 22 (cannabis in
Canada) is not told as law: the text could not be read; the plant itself is refused.
"""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path

import pytest
import yaml
from anthocard.facts.law.claims import claims_in
from anthocard.facts.law.hazards import named
from anthocard.facts.law.places import jurisdiction
from anthocard.facts.law.processes import done_in
from anthocard.facts.law.statutes import law_of
from anthocard.facts.stock import generic_stock
from anthocard.house.collection import fold

from tests.engine.opened import drink
from tests.engine.test_care_probes import HALVES, alarmed
from tests.engine.test_hazards import CHECKS, of, stocked, told

DAY = date(2026, 11, 26)
PLANTED = yaml.safe_load(Path(__file__).with_name("care_planted.yaml").read_text(encoding="utf-8"))
#: By situation of law, from 0: a row that tells it, and a word of its text.
LAW = {
    0: ("de-add-farbstoff", "mit Farbstoff"), 1: ("de-price-softdrink", "cheapest"),
    2: ("de-minors", "under 18"), 4: ("de-stills", "distillery"), 5: ("at-allergens", "writing"),
    6: ("at-price-softdrinks", "two kinds"), 7: ("ch-promotions", "happy hour"),
    8: ("ch-minors", "under 18"), 9: ("fr-openbar", "lump sum"), 10: ("fr-happyhour", "alike"),
    11: ("fr-evin", "health message"), 12: ("gb-measures", "25 or 35 ml"),
    13: ("gb-lownames", "1.2 %"), 14: ("gb-ppds", "allergens"), 15: ("gb-promotions", "barred"),
    16: ("us-tonka", "tonka"), 17: ("us-menu-calories", "20 and more"),
    18: ("egg-us", "consumer advisory"), 19: ("us-tn-promotions", "22:00"),
    20: ("us-il-happyhours", "22:00"), 22: ("anz-packed", "standard drinks"),
    23: ("nz-promotions", "25 %"), 24: ("ie-promotions", "no happy hour"),
}  # fmt: skip
#: Our half of the laws: a place, and a row that has to be told there.
OUR_LAW = [
    ("US-TN", "tn-infusing"), ("US-IL", "il-infusing"), ("US-OK", "ok-infusing"),
    ("GB", "gb-producer"), ("DE", "de-quinine-mark"), ("DE", "de-smoke"), ("EU", "eu-claims"),
    ("US-CA", "us-ca-sb68"), ("US-NY", "fog-nyc"), ("BE", "bp-be"),
]  # fmt: skip


def half(key: str, which: str) -> list[str]:
    rows = PLANTED[key][HALVES[which] :: 2]
    return [row["say"] if isinstance(row, dict) else row for row in rows]


@pytest.mark.parametrize("which", HALVES)
def test_plants_of_another_hand(which: str) -> None:
    """19 of 20 at least are refused."""
    names = half("plants", which)
    missed = [name for name in names if not alarmed(name)]
    assert len(missed) <= 0.05 * len(names), missed


@pytest.mark.parametrize(("which", "share"), [("looked at", 1.0), ("only counted", 0.7)])
def test_limits_of_another_hand(which: str, share: float) -> None:
    """All that was looked at is told, and seven in ten of what was not."""
    names = half("told", which)
    found = [name for name in names if any(h.hazard.verdict != "food" for h in named(name))]
    assert len(found) >= share * len(names), sorted({*names} - {*found})


@pytest.mark.parametrize(("which", "share"), [("looked at", 1.0), ("only counted", 0.85)])
def test_processes_of_another_hand(which: str, share: float) -> None:
    """A sentence on what is done is known for a process, whatever it is called."""
    texts = half("processes", which)
    assert sum(bool(done_in(text)) for text in texts) >= share * len(texts)


@pytest.mark.parametrize("which", HALVES)
def test_claims_of_another_hand(which: str) -> None:
    """Three in four at least are told."""
    texts = half("claims", which)
    missed = [text for text in texts if not claims_in(text)]
    assert len(missed) <= 0.25 * len(texts), missed


@pytest.mark.parametrize("which", HALVES)
def test_fair_sentences_of_another_hand(which: str) -> None:
    """One in ten at most is told of."""
    texts = half("fair", which)
    assert sum(bool(claims_in(text)) for text in texts) <= 0.10 * len(texts)


@pytest.mark.parametrize("number", sorted(LAW))
def test_situations_of_law_of_another_hand(number: int) -> None:
    """A row that holds in the place (in England, where it is England's) says what has to be said."""
    key, word = LAW[number]
    place = PLANTED["laws"][number]["place"]
    where = jurisdiction("GB-ENG" if place == "GB" else place).within
    (row,) = [one for one in law_of(where, DAY) if one.key == key]
    assert word in row.text


def test_eighty_planted_hazards_raise_eighty() -> None:
    """Plants, processes, claims and laws, ten of each by either hand: the first ten of each list.

    Of the laws of another hand the fourth is passed over (see above). Plants, sentences and claims
    are told by a house that holds them.
    """
    ours = [name for names in CHECKS["plants"].values() for name in names][:10]
    theirs = PLANTED["plants"][:10]
    stock = told({"stock.yaml": stocked([*ours, *theirs])})
    plants = {one.place.line for one in of(stock, "hazard") if one.severity == "error"}

    steps = [texts[0] for texts in CHECKS["processes"].values()][:10]
    steps += [row["say"] for row in PLANTED["processes"][:10]]
    done = {Path(one.place.path).stem for one in of(told(drinks(steps, [])), "process")}

    said = [text for texts in CHECKS["claims"].values() for text in texts][:10]
    said += [row["say"] for row in PLANTED["claims"][:10]]
    claims = {Path(one.place.path).stem for one in of(told(drinks([], said)), "claim")}

    laws = [n for n in LAW if n != 3][:10]
    law = [key for place, key in OUR_LAW if key in keys(place)]
    law += [LAW[n][0] for n in laws if LAW[n][0] in keys(PLANTED["laws"][n]["place"])]
    assert [len(plants), len(done), len(claims), len(law)] == [20, 20, 20, 20]


def test_sixty_harmless_recipes_raise_nothing_hard() -> None:
    """One house of all of them: no mistake, no hazard, no process, nobody's claim."""
    assert len(PLANTED["harmless"]) == 60
    known = {fold(name) for item in generic_stock().values() for name in (item.name, *item.aliases)}
    files, bought = {}, {}
    for number, recipe in enumerate(PLANTED["harmless"]):
        pours, laid = [], []
        for line in recipe["pours"]:
            amount, name = split(line)
            if amount:
                pours.append(f"{amount} {name}")
                bought[name] = fold(name) in known
            else:
                laid.append(name)
        more = f"garnish: {laid}\n" if laid else ""
        text = drink(", ".join(pours), more).replace("name: d\n", f"name: {recipe['name']!r}\n")
        files[f"drinks/d{number}.md"] = (
            f"---\n{text}---\nCold.\n\n## Method\n\n1. {recipe['method']}\n"
        )
    files["stock.yaml"] = stocked([name for name, known_one in bought.items() if not known_one])
    mistakes = told(files)
    assert [one for one in mistakes if one.severity == "error"] == []
    assert of(mistakes, "hazard") + of(mistakes, "process") + of(mistakes, "claim") == []


def keys(place: str) -> set[str]:
    return {one.key for one in law_of(jurisdiction(place).within, DAY)}


def drinks(steps: list[str], said: list[str]) -> dict[str, str]:
    """A drink for each step for staff, and for each sentence to guests."""
    return {
        f"drinks/d{number}.md": "---\n"
        + drink("50 ml gin").replace("name: d\n", f"name: d{number}\n")
        + f"---\n{guest}\n\n## Method\n\n1. {staff}\n"
        for number, (guest, staff) in enumerate(
            [*(("Blue.", step) for step in steps), *((text, "Stir.") for text in said)]
        )
    }


def split(line: str) -> tuple[str, str]:
    """An amount by volume as a bar writes it, and what it is of; no amount where it is laid on.

    Two barspoons of sugar are left on the side: a house weighs its powders.
    """
    found = re.match(r"([0-9,]+ (?:ml|cl|barspoon|dash(?:es)?)) (.+)", line)
    return (found[1], found[2]) if found else ("", line)
