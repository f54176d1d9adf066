"""How many poisons and claims nobody had in mind are told, and how many harmless things are.

The even places of each list of care_probes.yaml were looked at while the tables were widened; the
odd ones were only counted.
"""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml
from anthocard.facts.law.claims import claims_in
from anthocard.facts.law.hazards import named

PROBES = yaml.safe_load(Path(__file__).with_name("care_probes.yaml").read_text(encoding="utf-8"))
HALVES = {"looked at": 0, "only counted": 1}
CLAIMS = [(key, words) for key, listed in PROBES["claims"].items() for words in listed]


def alarmed(name: str) -> bool:
    """Whether a name is refused, or asked about as if it were a poison."""
    return any(hit.hazard.forbidden for hit in named(name))


@pytest.mark.parametrize("half", HALVES)
def test_poisons_nobody_had_in_mind(half: str) -> None:
    """19 of 20 at least, by whatever name, language, part or slip of the pen."""
    probes = PROBES["forbidden"][HALVES[half] :: 2]
    missed = [name for name in probes if not alarmed(name)]
    assert len(missed) <= 0.05 * len(probes), missed


@pytest.mark.parametrize("half", HALVES)
def test_limits_and_papers_nobody_had_in_mind(half: str) -> None:
    """Nine of ten at least of what has a limit, wants a paper or a word to a guest."""
    probes = PROBES["told"][HALVES[half] :: 2]
    missed = [name for name in probes if all(h.hazard.verdict == "food" for h in named(name))]
    assert len(missed) <= 0.10 * len(probes), missed


@pytest.mark.parametrize("half", HALVES)
def test_harmless_names_pass(half: str) -> None:
    """None in twenty is refused."""
    probes = PROBES["controls"][HALVES[half] :: 2]
    refused = [name for name in probes if alarmed(name)]
    assert len(refused) <= 0.05 * len(probes), refused


@pytest.mark.parametrize("half", HALVES)
def test_claims_nobody_had_in_mind(half: str) -> None:
    """Three of four at least are told, by the check that they belong to or another."""
    probes = CLAIMS[HALVES[half] :: 2]
    missed = [words for _, words in probes if not claims_in(words)]
    assert len(missed) <= 0.25 * len(probes), missed


@pytest.mark.parametrize("half", HALVES)
def test_fair_sentences_pass(half: str) -> None:
    """One in ten at most is told of."""
    probes = PROBES["fair"][HALVES[half] :: 2]
    told = [(words, claims_in(words)[0].words) for words in probes if claims_in(words)]
    assert len(told) <= 0.10 * len(probes), told
