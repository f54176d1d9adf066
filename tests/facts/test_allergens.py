"""Allergens: words, families, lists and the two lines for sulphites."""

from __future__ import annotations

import pytest
from anthocard.facts.law import allergens
from anthocard.facts.law.allergens import (
    allergen_key,
    broadened,
    declare_sulphites,
    keys_on,
    possibly,
)


def test_the_lists_are_as_long_as_the_law_says() -> None:
    """Fourteen in the EU and GB (Annex II); nine in the US (21 USC 321(qq)) beside sulphites."""
    assert len(keys_on("EU")) == len(keys_on("GB")) == 14
    assert len(keys_on("US")) == 9 + 1
    assert {key for name in ("EU", "GB", "US", "ANZ", "CA") for key in keys_on(name)} == set(
        keys_on("all")
    )


@pytest.mark.parametrize(
    ("word", "key"),
    [
        ("Milk", "milk"),
        ("sulfites", "sulphites"),
        ("SO2", "sulphites"),
        ("tree  nuts", "tree nuts"),
        ("prawn", "crustaceans"),
        ("soya", "soy"),
        ("tahini", "sesame"),
        ("lupine", "lupin"),
    ],
)
def test_a_word_means_one_allergen(word: str, key: str) -> None:
    """Whatever the case, the spelling or the blanks."""
    assert allergen_key(word) == key


def test_a_strange_word_is_no_allergen() -> None:
    """Nothing is guessed."""
    with pytest.raises(KeyError):
        allergen_key("gravel")


def test_no_word_means_two_allergens() -> None:
    """Tripwire: a synonym listed twice would silently win for one of them."""
    rows = allergens._rows()
    words = [word.casefold() for row in rows.values() for word in row["synonyms"]]
    assert len(words) == len(set(words))
    for row in rows.values():
        assert {*row.get("counts_as", ()), *row.get("may_be", ())} <= rows.keys()


def test_families() -> None:
    """An almond is a tree nut, wheat is gluten, and gluten may be wheat."""
    assert broadened(["almond"]) == {"almond", "tree nuts"}
    assert "gluten" in broadened(["wheat"])
    assert possibly(["gluten"]) == {"wheat"}


def test_names_in_free_words() -> None:
    """“celery salt” holds celery; a pea flower with butter in its name holds no milk."""
    assert allergens.named_in("a rim of celery salt") == {"celery"}
    assert allergens.named_in("toasted almonds") == {"almond", "tree nuts"}
    assert allergens.named_in("dried butterfly pea flowers") == frozenset()
    assert allergens.named_in("nutmeg") == frozenset()


@pytest.mark.parametrize(
    ("mg", "eu", "us"), [(9.99, False, False), (10.0, False, True), (10.01, True, True)]
)
def test_more_than_ten_and_ten_or_more(mg: float, eu: bool, us: bool) -> None:
    """Annex II 12 says more than 10 mg/l, 27 CFR 5.63(c)(7) says 10 ppm or more."""
    assert declare_sulphites(mg, "EU") is declare_sulphites(mg, "GB") is eu
    assert declare_sulphites(mg, "US") is us


def test_ten_that_is_a_sum_of_floats_is_ten() -> None:
    """Dilution arithmetic leaves crumbs, and they decide nothing."""
    assert not declare_sulphites(10.0 + 1e-12, "EU")
    assert declare_sulphites(10.0 - 1e-12, "US")
