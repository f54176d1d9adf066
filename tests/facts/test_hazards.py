"""The hazard tables: every row with its source, and names found whole, by part, and in spite of slips."""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml
from anthocard.facts.law.hazards import Hit, hazards, named
from anthocard.facts.law.rules import rule_of
from hypothesis import given, strategies as st

CHECKS = yaml.safe_load(
    (Path(__file__).parents[1] / "engine" / "hazard_checks.yaml").read_text(encoding="utf-8")
)
PLANTS = [name for names in CHECKS["plants"].values() for name in names]
HARMLESS = [name for names in CHECKS["harmless"].values() for name in names]


def told(words: str) -> list[Hit]:
    return [hit for hit in named(words) if hit.hazard.verdict != "food"]


def forbidden(words: str) -> bool:
    return any(hit.hazard.forbidden for hit in told(words))


def test_the_tables_are_wide_and_say_where_they_are_from() -> None:
    """More than 200 hazards; who says so, how we know and on what day stands on every row."""
    rows = [row for row in hazards() if row.verdict != "food"]
    assert len(rows) > 200
    assert all(row.source and row.how and row.checked and row.why for row in rows)
    assert all(row.names or row.latin for row in rows)


def test_a_rule_named_by_a_row_exists() -> None:
    """What a row leaves to a caution is really said by one."""
    assert {row.rule for row in hazards() if row.rule and rule_of(row.rule) is None} == set()


@pytest.mark.parametrize(
    "name", [*PLANTS, *CHECKS["rows"]["forbidden"], *CHECKS["shelves"]["forbidden"]]
)
def test_a_poison_is_known_by_any_of_its_names(name: str) -> None:
    """Planted poisons, in Latin, English and German, some misspelt: each is found."""
    assert forbidden(name)


@pytest.mark.parametrize("name", CHECKS["shelves"]["told"])
def test_what_has_a_limit_or_meets_somebody_is_known(name: str) -> None:
    """Limits, papers, medicines and allergen kin: each is found."""
    assert told(name)


@pytest.mark.parametrize("name", CHECKS["walked"])
def test_names_of_public_lists_are_known(name: str) -> None:
    """Poisonous plants as encyclopedias and garden pages list them: each is told of."""
    assert told(name)


@pytest.mark.parametrize("name", HARMLESS)
def test_plain_food_is_left_alone(name: str) -> None:
    """Herbs, flowers, fruit, spices and words that only hold a poison's name: nothing is said."""
    assert told(name) == []


@pytest.mark.parametrize(
    ("poison", "food"),
    [
        ("hyacinth", "grape hyacinth"), ("holly", "hollyhock"), ("cherry laurel", "cherry"),
        ("mountain laurel", "laurel leaf"), ("wild ginger", "ginger"), ("night jasmine", "jasmine"),
        ("marsh marigold", "marigold"), ("sweet pea", "pea shoots"), ("Lavendelheide", "Lavendel"),
        ("Tollkirsche", "Kirsche"), ("Rauschpfeffer", "Pfeffer"), ("Vanilleblume", "Vanille"),
        ("Christrose", "Rose"), ("Fenchelholz", "Fenchel"), ("buckthorn", "sea buckthorn"),
        ("Ipomoea tricolor", "Ipomoea batatas"), ("Salvia divinorum", "Salvia officinalis"),
        ("Mentha pulegium", "Mentha spicata"), ("digitalis", "digital"), ("Artemisia cina", "Artemisia dracunculus"),
        ("tulip bulb", "tulip petals"), ("robinia bark", "robinia blossom"), ("elder leaf", "elderflower"),
        ("D. purpurea", "digestif"), ("horse chestnut", "sweet chestnut"), ("Roßkastanie", "Esskastanie"),
    ],
)  # fmt: skip
def test_names_are_read_whole(poison: str, food: str) -> None:
    """The longest name wins, Latin species before genus, and no piece of a word convicts it."""
    assert told(poison)
    assert told(food) == []


def test_a_part_decides() -> None:
    """Elder by its part and by cooking; wood and honey of the robinia are no poison."""
    assert forbidden("elderberries; raw, on the stem")
    assert not forbidden("elderberries; ripe berries, off the stem, cooked")
    assert forbidden("Holunderblätter")
    assert told("Holunderblüten") == []
    assert forbidden("apricot kernels; raw")
    assert not forbidden("apricot kernels; roasted")
    assert told("apricot kernels; roasted")


@pytest.mark.parametrize(
    "name",
    ["foxglve", "foxgloev", "oleannder", "delphinum", "Maiglokchen", "hydrangia", "helleborre"],
)
def test_one_slip_of_the_pen_is_forgiven(name: str) -> None:
    """A letter missing, doubled, wrong or out of turn still finds the plant."""
    assert forbidden(name)


@given(st.sampled_from(sorted({name for row in hazards() for name in row.names})), st.data())
def test_case_hyphens_and_blanks_change_nothing(name: str, data: st.DataObject) -> None:
    """Any name is found in capitals, and with blanks written as hyphens or left out."""
    keys = {hit.hazard.key for hit in named(name)}
    joint = data.draw(st.sampled_from(["-", "", " "]))
    assert {hit.hazard.key for hit in named(name.upper())} == keys
    assert {hit.hazard.key for hit in named(joint.join(name.split()))} == keys


def test_a_genus_of_food_and_poison_asks_for_the_species() -> None:
    """A bare genus of mixed fame is told to name its species, and is not refused."""
    (hit,) = told("Solanum")
    assert hit.hazard.verdict == "paper"
