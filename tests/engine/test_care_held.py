"""How much of what nobody had in mind is told: rounds written before the tables were looked at.

Measured once before anything was widened, the first round gave 182 of 189 poisons refused (187
told), 52 of 62 limits, 0 of 100 harmless names refused (6 told: kin, sap and florists' flowers), 75
of 87 claims, 1 of 40 fair sentences told. The second, written after that round had been looked at,
gave 99 of 100, 27 of 30, 0 of 60 (0 told), 58 of 67, 2 of 40.
"""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml
from anthocard.facts.law.claims import claims_in
from anthocard.facts.law.hazards import named

ROUNDS = yaml.safe_load(Path(__file__).with_name("care_held.yaml").read_text(encoding="utf-8"))


def refused(name: str) -> bool:
    """Whether a name is an error or asked about as a poison, and no mere caution."""
    return any(hit.hazard.forbidden for hit in named(name))


def told(name: str) -> bool:
    """Whether anything at all is said of a name."""
    return any(hit.hazard.verdict != "food" for hit in named(name))


@pytest.mark.parametrize("written", ROUNDS)
def test_poisons_of_a_round(written: str) -> None:
    """19 of 20 at least are refused."""
    names = ROUNDS[written]["forbidden"]
    missed = [name for name in names if not refused(name)]
    assert len(missed) <= 0.05 * len(names), missed


@pytest.mark.parametrize("written", ROUNDS)
def test_harmless_names_of_a_round(written: str) -> None:
    """None is refused, and one in ten at most is told of."""
    names = ROUNDS[written]["harmless"]
    assert [name for name in names if refused(name)] == []
    assert sum(map(told, names)) <= 0.10 * len(names)


@pytest.mark.parametrize("written", ROUNDS)
def test_claims_of_a_round(written: str) -> None:
    """Three in four at least are told, by whichever check."""
    claims = [one for listed in ROUNDS[written]["claims"].values() for one in listed]
    missed = [words for words in claims if not claims_in(words)]
    assert len(missed) <= 0.25 * len(claims), missed


@pytest.mark.parametrize("written", ROUNDS)
def test_fair_sentences_of_a_round(written: str) -> None:
    """One in ten at most is told of."""
    fair = ROUNDS[written]["fair"]
    wrong = [words for words in fair if claims_in(words)]
    assert len(wrong) <= 0.10 * len(fair), wrong


def test_a_slip_in_a_long_name_is_heard() -> None:
    """A whole name of many words goes before the harmless word that is left of it."""
    assert refused("lily of the vally")
    assert refused("St. Ignatius bean") == refused("St Ignatius bean")
    assert told("St. John's wort")
