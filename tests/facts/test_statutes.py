"""Law by place: every row dated and sourced, in force from its day to its end, and its clock."""

from __future__ import annotations

from datetime import date, timedelta

from anthocard.facts.law.places import jurisdiction, known_places
from anthocard.facts.law.statutes import law_of, statutes, topics, unchecked, whom_to_ask

DAY = date(2026, 11, 26)


def keys(place: str, day: date = DAY, topic: str = "") -> set[str]:
    return {one.key for one in law_of(jurisdiction(place).within, day, topic)}


def test_every_row_says_where_it_is_from_and_how_we_know() -> None:
    """Tripwire: as many rows as were written, keys once, none “read” that was not read here."""
    rows = statutes()
    assert len(rows) == len({one.key for one in rows}) == 138
    assert all(one.text and one.source for one in rows)
    read = {one.key for one in rows if one.how == "read"}
    assert read == {
        "tn-infusing", "il-infusing", "ok-infusing", "al-infusing", "ca-infusing",
        "us-advance-mixing", "us-tonka", "us-calamus", "us-ca-sb68", "us-il-promotions", "ch-minors",
        "ch-promotions", "de-add-farbstoff", "de-add-konservierung", "de-add-nitrit",
        "de-add-antiox", "de-add-geschmack", "de-add-geschwaerzt", "de-add-gewachst",
        "de-add-phosphat", "de-add-suessung", "de-add-phenylalanin", "de-add-abfuehrend",
        "de-add-grundlage", "de-add-form", "de-lmidv", "de-quinine-mark", "de-smoke",
        "de-caffeine", "de-price-softdrink", "de-drunk", "de-minors", "de-stills", "de-liqueur",
        "milk-de", "egg-de", "n2o-de",
    }  # fmt: skip
    assert {one.how for one in rows} == {"read", "second-hand", "memory"}


def test_a_place_has_its_own_law_and_that_of_all_it_lies_in() -> None:
    """Tennessee and Illinois differ in days and labels; the federal rows hold in both."""
    assert "tn-infusing" in keys("US-TN", topic="infusing")
    assert "il-infusing" not in keys("US-TN")
    assert "us-refill" in keys("US-TN") & keys("US-IL")
    assert {"de-stills", "eu-claims"} <= keys("DE")


def test_a_row_holds_from_its_first_day_to_its_last() -> None:
    """Producer approval came when the compounder's licence went: one of the two holds on any day."""
    before, after = date(2025, 1, 30), date(2025, 2, 1)
    assert keys("GB", before) & {"gb-producer", "gb-compounder-old"} == {"gb-compounder-old"}
    assert keys("GB", after) & {"gb-producer", "gb-compounder-old"} == {"gb-producer"}


def test_a_row_nobody_looked_at_for_a_year_is_found() -> None:
    """The day is the caller's; a year later to the day it is still good, a day after it is not."""
    rows = law_of(jurisdiction("DE").within, DAY)
    checked = max(one.checked for one in rows)
    assert unchecked(rows, checked + timedelta(days=365)) == ()
    assert unchecked(rows, checked + timedelta(days=366)) == rows


def test_every_list_ends_with_whom_to_ask() -> None:
    """Each place we know names offices, the nearest first; an unknown one is told what to look for."""
    for place in known_places():
        assert whom_to_ask(jurisdiction(place).within)
    assert "Hauptzollamt" in whom_to_ask(jurisdiction("DE").within)
    assert "Tennessee" in whom_to_ask(jurisdiction("US-TN").within)
    assert "food authority" in whom_to_ask(jurisdiction("BR").within)


def test_topics_cover_what_houses_ask() -> None:
    """Infusing, allergens, additives, quinine, claims, promotions and the rest are there."""
    assert {
        "infusing", "distilling", "allergens", "additives", "quinine", "caffeine", "claims", "serving",
        "minors", "promotions", "calories", "low-alcohol", "butterfly-pea", "raw-egg", "raw-milk",
        "dry-ice", "nitrous-oxide", "vacuum", "labels", "smoke",
    } <= topics()  # fmt: skip
