"""The grammar of a wish: what can be asked for, and what contradicts itself."""

from __future__ import annotations

from math import inf

import pytest
from anthocard.facts.units.written_numbers import MeasureError
from anthocard.house.serving.pours import UNDIALLED, Pour, Reveal
from anthocard.house.wish import Bound, parse_wish, split_until
from hypothesis import given, strategies as st
from pydantic import ValidationError


@pytest.mark.parametrize(
    ("text", "sort", "value", "word"),
    [
        ("pH 3.1", "ph", 3.1, ""),
        ("ph 3,1", "ph", 3.1, ""),
        ("hue 350", "hue", 350.0, ""),
        ("hue 360°", "hue", 0.0, ""),
        ("acidity 7 g/l", "acidity", 7.0, ""),
        ("acidity 6-8 g/l", "acidity", 7.0, ""),
        ("rose", "word", 0.0, "rose"),
        ("Deep Blue", "word", 0.0, "deep blue"),
        ("as blue as can be", "most", 0.0, "blue"),
    ],
)
def test_every_sort_of_aim(text: str, sort: str, value: float, word: str) -> None:
    """A pH, a hue, an acidity, a colour's word and a superlative are told apart."""
    wish = parse_wish(text, "after")
    assert (wish.sort, wish.value, wish.word, wish.bounds) == (sort, value, word, ())


@pytest.mark.parametrize(
    ("text", "bound"),
    [
        ("rose with acidity 6-8 g/l", Bound("acidity", 6.0, 8.0)),
        ("rose with acidity 6 to 8 g/l", Bound("acidity", 6.0, 8.0)),
        ("rose while pH stays ≥ 3", Bound("ph", 3.0, inf)),
        ("rose while pH stays at least 3", Bound("ph", 3.0, inf)),
        ("rose with sugar at most 80 g/l", Bound("sugar", -inf, 80.0)),
        ("rose with at most 20 ml", Bound("dose", -inf, 20.0)),
        ("rose with strength at least 15 % vol", Bound("strength", 15.0, inf)),
        ("rose while after-pH stays <= 3.4", Bound("ph", -inf, 3.4)),
    ],
)
def test_every_sort_of_bound(text: str, bound: Bound) -> None:
    """Bounds are read as a bartender says them, and a reveal's may say “after”."""
    assert parse_wish(text, "after").bounds == (bound,)


def test_bounds_add_up() -> None:
    """Commas and “and” join bounds."""
    wish = parse_wish("as blue as can be while before-pH stays ≥ 5, acidity 0-2 g/l and at most 5 ml",
                      "before")  # fmt: skip
    assert [bound.quantity for bound in wish.bounds] == ["ph", "acidity", "dose"]


@pytest.mark.parametrize(
    ("text", "kind", "says"),
    [
        ("blurple", "bad-wish", "did you mean"),
        ("pH 14", "bad-wish", "1 to 11"),
        ("hue 400", "bad-wish", "hue 350"),
        ("rose with charm", "bad-wish", "acidity 6-8"),
        ("pH 3 while pH stays ≥ 4", "contradiction", "take one"),
        ("rose with acidity 6-8 g/l and acidity 9-10 g/l", "contradiction", "take one"),
        ("rose with acidity 8-6 g/l", "contradiction", "take one"),
        ("rose while before-pH stays ≥ 5", "contradiction", "take one"),
    ],
)
def test_what_cannot_be_wished_for(text: str, kind: str, says: str) -> None:
    """Unknown words and contradictions are told while reading, with a way out."""
    with pytest.raises(MeasureError) as error:
        parse_wish(text, "after")
    assert error.value.kind == kind
    assert says in error.value.mend


def test_a_pour_may_be_a_wish() -> None:
    """“NAME until WISH” stands where an amount would, at nothing until it is worked out."""
    pour = Pour.model_validate("citrate buffer until pH 5.2")
    assert (pour.name, pour.amount) == ("citrate buffer", UNDIALLED)
    assert pour.until is not None
    assert Pour.model_validate({"of": "citrate buffer", "until": "pH 5.2"}) == pour
    assert Pour.model_validate("50 ml gin").until is None
    assert split_until("50 ml gin") is None


@pytest.mark.parametrize("row", [{"of": "gin"}, {"of": "gin", "amount": "5 ml", "until": "rose"}])
def test_a_pour_is_one_or_the_other(row: dict[str, str]) -> None:
    """Neither or both of amount and wish is a mistake, for a pour as for a reveal."""
    with pytest.raises(ValidationError, match="needs an amount or a wish"):
        Pour.model_validate(row)
    given = {"pour": "verjus", **{key: row[key] for key in row if key != "of"}}
    with pytest.raises(ValidationError, match="needs an amount or a wish"):
        Reveal.model_validate(given)


WORDS = ["pH", "hue", "rose", "as", "blue", "can be", "with", "while", "and", ",", "≥", "at most",
         "acidity", "sugar", "6-8", "3.1", "g/l", "ml", "before-pH", "stays", "°", "1e9", "-"]  # fmt: skip


@given(st.one_of(st.text(max_size=60), st.lists(st.sampled_from(WORDS), max_size=9).map(" ".join)))
def test_any_text_is_read_or_refused(text: str) -> None:
    """Whatever is written, a wish comes out, or one mistake with a mend."""
    try:
        wish = parse_wish(text, "after")
    except MeasureError as error:
        mend = error.mend
    else:
        mend = wish.text
        assert wish.sort in {"ph", "acidity", "hue", "word", "most"}
        assert all(bound.low <= bound.high for bound in wish.bounds)
    assert mend or not text.strip()
