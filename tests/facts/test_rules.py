"""The table of cautions: whole, worded, and asked about the right places."""

from __future__ import annotations

import pytest
from anthocard.diagnostics.tables import TableError
from anthocard.facts.law.rules import Ingredient, Profile, Rule, _rule, rules, worded


def rule(key: str) -> Rule:
    return next(one for one in rules() if one.key == key)


def test_the_table_is_whole() -> None:
    """Tripwire: as many rules as were written, keys once, each with somebody to tell and to ask."""
    keys = [one.key for one in rules()]
    assert len(keys) == len(set(keys)) == 101
    assert sum(one.local for one in rules()) == 45
    assert all(one.guest or one.staff for one in rules())
    assert all("authority" in one.defer for one in rules())
    assert keys[-1] == "local-code"


def test_every_wording_can_be_filled_in() -> None:
    """No figure a rule prints is missing from a profile."""
    facts = Profile("drink", ph_low=3.0, drinks=1.2, drink_label="UK unit", contains_words="milk")
    for one in rules():
        for text in (one.guest, one.staff, one.label):
            assert "{" not in worded(text, facts)


def test_copper_answers_to_ph_and_vessel() -> None:
    """Food Code 4-101.14: below pH 6, and not at it; not in glass; not where it is lined."""
    copper = rule("copper")
    assert copper.applies(Profile("drink", ph_low=5.99, vessel="copper mug"))
    assert not copper.applies(Profile("drink", ph_low=6.0, vessel="copper mug"))
    assert not copper.applies(Profile("drink", ph_low=3.0, vessel="goblet"))
    assert not copper.applies(Profile("drink", ph_low=3.0, vessel="lined copper mug"))


def test_ten_milligrams_of_sulphite_are_told_here_and_not_there() -> None:
    """EU and GB say more than 10, the US says 10 or more."""
    eu, us = rule("sulphites-above"), rule("sulphites-from")

    def at(mg_per_l: float, place: str) -> Profile:
        return Profile("drink", frozenset({place}), sulphite_mg_per_l=mg_per_l)

    assert not eu.applies(at(10.0, "EU"))
    assert eu.applies(at(10.1, "EU"))
    assert us.applies(at(10.0, "US"))
    assert not us.applies(at(9.9, "US"))
    assert not us.applies(at(50.0, "EU"))


def test_a_local_rule_stays_at_home_unless_waived() -> None:
    """The place decides, and a house may take the rule up elsewhere."""
    facts = Profile("infusion", frozenset({"GB"}), abv_percent=40.0)
    assert not rule("bottle-refill-us").applies(facts)
    assert rule("bottle-refill-us").applies(facts, elsewhere=True)


def test_one_ingredients_form_does_not_speak_for_anothers() -> None:
    """A water extract of one plant beside dried flowers of another still leaves the flowers."""
    facts = Profile(
        "drink",
        frozenset({"US"}),
        ingredients=(
            Ingredient("flowers", "plant", "plant", plant="butterfly_pea", form="dried flowers"),
            Ingredient("blue", "other", "pour", plant="spirulina", form="water extract"),
        ),
    )
    assert rule("butterfly-pea-us").applies(facts)


def test_what_is_there_is_never_rounded_down_to_nothing() -> None:
    """0.3 mg is under 1 mg, never 0 mg; nothing at all stays nothing."""
    words = "{quinine_mg:.0f} mg, {drinks:.1f} drinks, {caffeine_mg:.0f} mg"
    facts = Profile("drink", quinine_mg=0.3, drinks=0.04, caffeine_mg=0.0)
    assert worded(words, facts) == "< 1 mg, < 0.1 drinks, 0 mg"


GOOD = {
    "when": {"kind": True},
    "staff": "Look.",
    "source": "here",
    "how": "chosen",
    "stands_on": ["card", "batch", "spec"],
    "absent": {"label": "no room", "menu": "not theirs", "prep": "too early"},
}


@pytest.mark.parametrize(
    "change",
    [
        {"colour": "red"},
        {"when": {"mood": True}},
        {"places": ["ZZ"]},
        {"places": "US"},
        {"staff": "{mood}"},
        {"staff": ""},
        {"guest": "Words that stand on no menu."},
        {"stands_on": ["card", "batch", "spec", "menu"]},
        {"stands_on": ["card", "spec"]},
        {"stands_on": ["card", "batch", "spec", "wall"]},
        {"absent": {"label": "no room", "menu": "not theirs", "prep": ""}},
    ],
)
def test_a_broken_rule_is_refused(change: dict[str, object]) -> None:
    """Unknown columns, facts, places and figures, rules that say nothing, and papers left open."""
    _rule("good", GOOD, "ask")
    with pytest.raises(TableError, match=r"rules.yaml: bad"):
        _rule("bad", GOOD | change, "ask")
