"""Places: those that exist, what they lie in, and the fixed measures of spirits."""

from __future__ import annotations

import pytest
from anthocard.facts.chemistry.alcohol import drink_label, standard_drinks
from anthocard.facts.law.allergens import keys_on
from anthocard.facts.law.places import exists, in_fixed_measures, jurisdiction, known_places


@pytest.mark.parametrize("code", ["GB", "EU", "US-CA", "DE", "DE-BY", "NO", "AU-VIC", "GB-SCT"])
def test_a_place_that_exists(code: str) -> None:
    """Countries, the Union, and parts of countries."""
    assert exists(code)
    assert code in jurisdiction(code).within


@pytest.mark.parametrize("code", ["", "UK", "ZZ", "us", "US-ZZ", "USA", "EU-DE", "GB-", "US CA"])
def test_a_place_that_does_not(code: str) -> None:
    """Malformed codes and well-formed ones of nowhere."""
    assert not exists(code)
    with pytest.raises(KeyError):
        jurisdiction(code)


def test_a_place_lies_in_its_country_and_union() -> None:
    """Rules of the whole hold in the part, never the other way round."""
    assert jurisdiction("DE-BY").within == {"DE-BY", "DE", "EU"}
    assert jurisdiction("US-CA").within == {"US-CA", "US"}
    assert jurisdiction("US").within == {"US"}
    assert "EU" not in jurisdiction("GB").within


def test_a_part_without_a_row_goes_by_its_country() -> None:
    """Texas counts US drinks, France goes by the Union, Brazil by nobody's row."""
    assert jurisdiction("US-TX").drinks == "us"
    assert jurisdiction("FR").allergens == "EU"
    assert not jurisdiction("BR").known


@pytest.mark.parametrize(
    ("code", "grams"),
    [("CA-ON", 13.45), ("IE", 10), ("FR", 10), ("ES", 10), ("NL", 10), ("PL", 10), ("IT", 12),
     ("DK", 12), ("AT", 20), ("DE", 10), ("SE", 10)],
)  # fmt: skip
def test_a_country_counts_its_own_drinks(code: str, grams: float) -> None:
    """Canada's guidance 2023; Kalinowski and Humphreys 2016 for the others; else the WHO's ten."""
    where = jurisdiction(code)
    assert float(standard_drinks(grams, where.drinks)) == pytest.approx(1.0)
    assert where.drinks == "who" or drink_label(where.drinks) != drink_label("who")


def test_every_row_points_at_rows_that_exist() -> None:
    """Tripwire: drinks and lists of allergens are in their tables; 249 countries, 27 members."""
    for code in (*known_places(), "BR"):
        where = jurisdiction(code)
        assert keys_on(where.allergens)
        assert drink_label(where.drinks)
    letters = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
    two = [a + b for a in letters for b in letters]
    assert sum(exists(code) for code in two) == 249 + 1  # and EU
    assert sum("EU" in jurisdiction(code).within for code in two if exists(code)) == 27 + 1


@pytest.mark.parametrize(
    ("spirits", "liquids", "house", "allowed"),
    [
        ([25.0], 1, None, True),
        ([70.0], 2, None, True),
        ([50.0], 2, 25.0, True),
        ([35.0], 2, 25.0, False),
        ([40.0], 2, 25.0, False),
        ([40.0], 2, None, False),
        ([40.0], 3, 25.0, True),
        ([25.0, 35.0], 2, None, False),
        ([12.5], 1, 25.0, False),
        ([30.0], 1, 30.0, False),
        ([], 1, 25.0, True),
    ],
)
def test_spirits_by_the_measure_in_britain(
    spirits: list[float], liquids: int, house: float | None, allowed: bool
) -> None:
    """SI 1988/2039 art. 3: 25 or 35 ml and multiples of one of them, unless three liquids meet."""
    assert in_fixed_measures(spirits, liquids, jurisdiction("GB"), house) is allowed
    assert in_fixed_measures(spirits, liquids, jurisdiction("US"), house)
