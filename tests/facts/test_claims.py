"""Claims in words for guests: found in three languages, and not where nothing is claimed."""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml
from anthocard.facts.law.claims import checks, claims_in
from anthocard.facts.law.places import nearest

CHECKS = yaml.safe_load(
    (Path(__file__).parents[1] / "engine" / "hazard_checks.yaml").read_text(encoding="utf-8")
)


def found(sentence: str) -> set[str]:
    return {claim.check.key for claim in claims_in(sentence)}


@pytest.mark.parametrize(
    ("check", "sentence"),
    [(check, one) for check, sentences in CHECKS["claims"].items() for one in sentences],
)
def test_a_claim_is_found(check: str, sentence: str) -> None:
    """Claims written down before the table, by what a bar might say: each calls for its check."""
    assert check in found(sentence)


@pytest.mark.parametrize("sentence", CHECKS["fair"])
def test_a_fair_sentence_is_left_alone(sentence: str) -> None:
    """Warnings, duties, tastes and colours, and words that only hold a claim's: nothing is said."""
    assert found(sentence) == set()


@pytest.mark.parametrize(
    ("check", "sentence"),
    [
        ("health", "Un spritz détox, bon pour la santé."),
        ("alcohol-free", "Sans alcool, tout en couleur."),
        ("driver", "Un dernier pour la route."),
        ("excess", "Cul sec et à volonté."),
        ("pregnancy", "Sans danger pendant la grossesse."),
    ],
)
def test_french_is_read_too(check: str, sentence: str) -> None:
    """The third language of the tables, with and without accents."""
    assert check in found(sentence)
    assert check in found(sentence.replace("é", "e").replace("à", "a"))


def test_who_warns_claims_nothing_and_who_denies_sugar_does() -> None:
    """A denial lets warnings to guests pass, and is itself the claim where something is left out."""
    assert found("Not for children, nor for drivers, nor in pregnancy.") == set()
    assert "nutrition" in found("No sugar at all.")
    assert "nutrition" in found("No carbohydrates in it.")
    assert "health" in found("No hangover, we promise.")


def test_the_nearest_place_speaks() -> None:
    """The house's own place before the union it lies in, and that before everywhere."""
    rows = {"EU": 1, "DE": 2, "US": 3, "US-MA": 4, "else": 5}
    assert nearest(rows, frozenset({"DE", "EU"})) == 2
    assert nearest(rows, frozenset({"IT", "EU"})) == 1
    assert nearest(rows, frozenset({"US-MA", "US"})) == 4
    assert nearest(rows, frozenset({"JP"})) == 5
    assert nearest({}, frozenset({"JP"})) is None


def test_every_check_says_its_law_its_mend_and_where_both_are_from() -> None:
    """No check without a law for everywhere, a mend, and a source."""
    for check in checks().values():
        assert check.law["else"]
        assert check.mend
        assert check.source
        assert check.how in ("read", "second-hand", "memory")
