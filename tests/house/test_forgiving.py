"""What has one meaning is read, however it is written; what has two is asked back."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from pathlib import Path

import pytest
from anthocard.diagnostics.diagnostic import AuthorError
from anthocard.facts.units.forgiven import habits_of
from anthocard.facts.units.written_numbers import middle
from anthocard.house.collection import Collection
from anthocard.house.reader import read_house

from tests.engine.conftest import HOUSE, write_house

DRINK = """\
kind: drink
name: Nip
glass: small glass
method: stirred
pours: [50 ml gin]
"""
STEEP = "name: tea\nplant: dried hibiscus\ninto: gin\ndose: 2 g per litre\ntime: 2 h\n"
ACID = "name: sharp\nparts: [6 g citric acid]\nmade_up_to: 100 ml\n"


def read(folder: Path, files: Mapping[str, str], house: str = HOUSE) -> Collection:
    return read_house(write_house(folder, files, house))


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("kind: drink", "Kind: Drink"),
        ("kind: drink", "kind: Cocktail"),
        ("name: Nip", "NAME: Nip"),
        ("method: stirred", "Method: Stirred"),
        ("method: stirred", "method: gerührt"),
        ("method: stirred", "method: stir"),
        ("pours: [50 ml gin]", "Pours: [50 mls gin]"),
        ("pours: [50 ml gin]", 'pours: ["50,0 ml Gin"]'),
        ("pours: [50 ml gin]", "pours: [{Amount: 50 ml, Of: GIN}]"),
    ],
)
def test_a_drink_is_the_same_drink(tmp_path: Path, old: str, new: str) -> None:
    """Capitals, German, a word's other forms: the same values, names aside."""
    drinks = []
    for folder, text in (("a", DRINK), ("b", DRINK.replace(old, new))):
        (tmp_path / folder).mkdir()
        collection = read(tmp_path / folder, {"drinks/nip.md": text})
        drink = collection.drinks["Nip"]
        found = collection.find(drink.pours[0].name)
        assert found is not None
        drinks.append((drink.method, drink.pours[0].amount.value, found.name))
    assert drinks[0] == drinks[1]


@pytest.mark.parametrize(
    ("text", "hours"),
    [("overnight", 12.0), ("Over night", 12.0), ("über Nacht", 12.0), ("90 Minuten", 1.5),
     ("2-3 h", 2.5), ("2 to 3 Stunden", 2.5), ("7200 seconds", 2.0)],
)  # fmt: skip
def test_times(tmp_path: Path, text: str, hours: float) -> None:
    """A night, a range by its middle, German, seconds."""
    steep = STEEP.replace("time: 2 h", f"time: {text}")
    assert read(tmp_path, {"infusions/tea.md": steep}).infusions["tea"].time == pytest.approx(hours)


def test_a_bottle_is_the_stocks_pack(tmp_path: Path) -> None:
    """By any of its names, and so many of them; without a pack it is asked for."""
    files = {
        "stock.yaml": "gin: {pack: 700 ml}\n",
        "syrups/punch.md": "name: punch\nparts: [1 bottle gin, 2 Flaschen dry gin, 100 g sucrose]\n",
    }
    amounts = [part.amount.value for part in read(tmp_path, files).syrups["punch"].parts]
    assert amounts == [700.0, 1400.0, 100.0]
    files["syrups/punch.md"] = "name: punch\nparts: [1 bottle vodka]\n"
    with pytest.raises(AuthorError, match="how much a bottle of vodka holds"):
        read(tmp_path, files)


def test_percent_of_what_is_made_up_to_a_mark(tmp_path: Path) -> None:
    """Six per cent of 100 ml are six grams, and its name is looked for like any other."""
    files = {"solutions/sharp.md": ACID.replace("6 g citric", "6 % citric")}
    (part,) = read(tmp_path, files).solutions["sharp"].parts
    assert (part.amount.value, part.amount.unit, part.name) == (6.0, "g", "citric acid")
    files = {"solutions/sharp.md": ACID.replace("6 g citric", "6 % citrc")}
    with pytest.raises(AuthorError, match="citrc acid"):
        read(tmp_path, files)


@pytest.mark.parametrize(
    ("place", "text", "day"),
    [
        ("GB", "5/3/2026", date(2026, 3, 5)),
        ("DE", "05.03.2026", date(2026, 3, 5)),
        ("US-CA", "05/03/2026", date(2026, 5, 3)),
        ("US", "25/03/2026", date(2026, 3, 25)),
        ("CA", "25/03/2026", date(2026, 3, 25)),
    ],
)
def test_days_as_people_write_them(tmp_path: Path, place: str, text: str, day: date) -> None:
    """The day first but in the United States; one above twelve is the day anywhere."""
    files = {"stock.yaml": f"gin: {{allergens: {{Checked: {text}}}}}\n"}
    house = HOUSE.replace("place: GB", f"place: {place}")
    assert read(tmp_path, files, house).stock["gin"].allergens.checked == day


@pytest.mark.parametrize(("place", "text"), [("CA", "05/03/2026"), ("GB", "31/02/2026")])
def test_a_day_of_two_readings_is_asked_back(tmp_path: Path, place: str, text: str) -> None:
    """Canada writes both ways; February has no 31st."""
    files = {"stock.yaml": f"gin: {{allergens: {{checked: {text}}}}}\n"}
    with pytest.raises(AuthorError, match="year-month-day"):
        read(tmp_path, files, HOUSE.replace("place: GB", f"place: {place}"))


def test_decimals_with_a_comma(tmp_path: Path) -> None:
    """A price and a plain number; “1,250” could be either, and is asked back."""
    line = "lemon juice: {{Price: 6,40, pack: 1 l, ph: {ph}}}\n"
    item = read(tmp_path, {"stock.yaml": line.format(ph="2,4")}).stock["lemon juice"]
    assert (item.price, item.ph) == (6.4, 2.4)
    with pytest.raises(AuthorError):
        read(tmp_path, {"stock.yaml": line.format(ph="1,250")})


def test_a_mistake_stands_where_it_was_written(tmp_path: Path) -> None:
    """Below a key in capitals too; and a key that is there twice in two spellings is told."""
    text = DRINK.replace("pours: [50 ml gin]", "Pours: [50 ml gim]")
    with pytest.raises(AuthorError) as told:
        read(tmp_path, {"drinks/nip.md": text})
    (mistake,) = told.value.mistakes
    assert mistake.place.written == "gim"
    with pytest.raises(AuthorError, match="“Glass” is not a key here"):
        read(tmp_path, {"drinks/nip.md": DRINK + "Glass: coupe\n"})


def test_a_range_of_an_amount_is_asked_back(tmp_path: Path) -> None:
    """One amount goes into a glass: the middle is offered, not taken."""
    text = DRINK.replace("50 ml gin", "45-50 ml gin")
    with pytest.raises(AuthorError, match=r"did you mean “47\.5 ml gin”"):
        read(tmp_path, {"drinks/nip.md": text})
    assert middle("a dash") == "a dash"
    assert middle("5-2 ml") == "5-2 ml"


def test_habits() -> None:
    """Where the month comes first."""
    assert [habits_of(p).day_first for p in ("GB", "US-NY", "CA-QC", None)] == [
        True, False, None, True,
    ]  # fmt: skip
