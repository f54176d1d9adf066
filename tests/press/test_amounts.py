"""Lines of amounts in words: a drink's own and those of a batch."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from anthocard.engine.trade.held_back import scaled
from anthocard.press.base.number_text import EN
from anthocard.press.words.amounts import batch_columns


def test_a_batch_line_has_both_columns(by_hand: Any) -> None:
    """By volume and by weight; what is only weighed has no volume, what is counted its word."""
    gin = by_hand.measure("gin", 50.0, g=47.5)
    assert batch_columns(scaled(gin, 10.0), EN) == ("500 ml", "475 g")
    assert batch_columns(scaled(gin, 60.0), EN) == ("3 litres", "2850 g")
    salt = by_hand.measure("salt", None, "g", count=0.25, g=0.25)
    assert batch_columns(scaled(salt, 10.0), EN) == ("", "2.5 g")
    mint = by_hand.measure("mint", None, "leaf", count=1.0, text="1 leaf")
    assert batch_columns(scaled(mint, 10.0), EN) == ("10 leaves", "")


def test_a_dash_that_nobody_weighed_is_counted(by_hand: Any) -> None:
    """The middle of its usual range stands in sums, and on no paper."""
    dash = by_hand.measure("bitters", 0.8, "dash", count=2.0, text="2 dashes", g=0.7)
    assert batch_columns(scaled(dash, 10.0), EN) == ("8 ml", "7 g")
    assert batch_columns(scaled(replace(dash, unsure_share=0.1), 10.0), EN) == ("20 dashes", "")
