"""Conditions as data: each sort of key means what it says, and a broken one is refused."""

from __future__ import annotations

from dataclasses import dataclass

import pytest
from anthocard.diagnostics.tables import TableError
from anthocard.facts.law.conditions import Condition, asked, check, says


@dataclass(frozen=True)
class Part:
    name: str
    sound: bool | None = None


@dataclass(frozen=True)
class Thing:
    words: str = ""
    level: float | None = None
    marks: frozenset[str] = frozenset()
    parts: tuple[Part, ...] = ()


FULL = Thing("A copper Mug", 5.0, frozenset({"red", "blue"}), (Part("stem", False), Part("leaf")))


@pytest.mark.parametrize(
    ("when", "wanted"),
    [
        ({"words": ["copper"]}, True),
        ({"words": ["cop", "per"]}, False),
        ({"words": True}, True),
        ({"level_below": 6}, True),
        ({"level_below": 5}, False),
        ({"level_at_most": 5}, True),
        ({"level_above": 5}, False),
        ({"level_at_least": 5}, True),
        ({"marks": ["blue", "green"]}, True),
        ({"marks": ["green"]}, False),
        ({"parts": {"name": ["stem"], "sound": False}}, True),
        ({"parts": {"name": ["leaf"], "sound": True}}, False),
        ({"not": {"marks": ["green"]}}, True),
        ({"any": [{"marks": ["green"]}, {"level_below": 6}]}, True),
        ({"words": ["copper"], "level_above": 9}, False),
    ],
)
def test_a_condition_means_what_it_says(when: Condition, wanted: bool) -> None:
    """Words, sets, numbers, parts and their combinations, against one value."""
    check(when, Thing, "here")
    assert asked(when)(FULL) is wanted


def test_an_unknown_number_compares_with_nothing() -> None:
    """Neither below nor at least: nobody measured it."""
    assert not asked({"level_below": 6})(Thing())
    assert not asked({"level_at_least": 0})(Thing())


@pytest.mark.parametrize(
    ("text", "word", "wanted"),
    [
        ("on the stems", "stem", True),
        ("system", "stem", False),
        ("two Torches", "torch", True),
        ("unlined copper", "lined", False),
        ("pH-paper", "pH", True),
    ],
)
def test_words_are_found_whole(text: str, word: str, wanted: bool) -> None:
    """Case and plain plurals do not matter; parts of words do not count."""
    assert says(text, word) is wanted


@pytest.mark.parametrize(
    "when",
    [
        {},
        [],
        {"colour": ["red"]},
        {"words_below": 3},
        {"level_below": "six"},
        {"level": 3},
        {"level": ["six"]},
        {"any": {"level_below": 3}},
        {"any": []},
        {"not": {"colour": True}},
        {"words": {"name": ["x"]}},
        {"parts": {"weight_above": 3}},
    ],
)
def test_a_broken_condition_is_refused(when: object) -> None:
    """A key nobody can answer is a fault of the table, told when it is read."""
    with pytest.raises(TableError, match="here"):
        check(when, Thing, "here")


@pytest.mark.parametrize("off", [-4e-12, 0.0, 4e-12])
def test_a_limit_that_is_reached_but_for_a_rounding_is_reached(off: float) -> None:
    """A wine of 10 mg/l is one however its litre was added up: neither below nor above it."""
    at = Thing(level=10.0 * (1.0 + off))
    assert asked({"level_at_least": 10})(at)
    assert asked({"level_at_most": 10})(at)
    assert not asked({"level_below": 10})(at)
    assert not asked({"level_above": 10})(at)


def test_what_is_off_a_limit_by_what_one_can_measure_is_off_it() -> None:
    under, over = Thing(level=9.999999), Thing(level=10.000001)
    assert asked({"level_below": 10})(under)
    assert not asked({"level_at_least": 10})(under)
    assert asked({"level_above": 10})(over)
    assert not asked({"level_at_most": 10})(over)
