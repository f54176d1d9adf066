"""Processes that want more than care: found in what staff read, in English and German, and in keys."""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml
from anthocard.facts.law.processes import done_in, held, processes
from anthocard.facts.law.rules import rule_of

CHECKS = yaml.safe_load(
    (Path(__file__).parents[1] / "engine" / "hazard_checks.yaml").read_text(encoding="utf-8")
)


@pytest.mark.parametrize(
    ("key", "sentence"),
    [(key, one) for key, sentences in CHECKS["processes"].items() for one in sentences],
)
def test_a_process_is_found(key: str, sentence: str) -> None:
    """Steps written down before the table: each is known for what it is."""
    assert key in {process.key for process, _ in done_in(sentence)}


@pytest.mark.parametrize("sentence", CHECKS["no_processes"])
def test_an_ordinary_step_is_left_alone(sentence: str) -> None:
    """Steps that only hold a process's word, or forbid it: nothing is said."""
    assert done_in(sentence) == ()


def test_every_process_says_what_to_mind_and_what_to_ask() -> None:
    """Each row has a caution without figures, its question to the authority, and its source."""
    for one in processes():
        assert one.ask
        assert one.source
        rule = rule_of(one.rule)
        assert rule is not None
        assert "{" not in rule.staff


def test_steeping_warm_for_hours_is_known_by_its_keys() -> None:
    """Four hours between 22 and 59 °C are food held warm; hot, cool and short ones are not."""
    assert [one.key for one in held(45.0, 4.0)] == ["warm-infusion"]
    assert held(20.0, 24.0) == held(60.0, 24.0) == held(45.0, 3.9) == ()
