"""What people call things, and what is offered where a name is not known."""

from __future__ import annotations

import pytest
from anthocard.diagnostics.tables import read_table
from anthocard.facts.stock import SHELVES, generic_stock
from anthocard.facts.stock_names import Near, family_of, nearest_of_kind

WORDS = [word for item in generic_stock().values() for word in (item.name, *item.aliases)]
GERMAN = [
    "Wodka", "Kirschwasser", "Zwetschgenwasser", "Korn", "Weinbrand", "Obstler", "Champagner", "Sekt",
    "Portwein", "roter Wermut", "Weißbier", "Apfelwein", "Kräuterlikör", "Eierlikör", "Kaffeelikör",
    "Zitronensaft", "Limettensaft", "Rhabarbersaft", "Apfelschorle", "Sodawasser", "Schwarztee",
    "Grüntee", "Kaffee", "Läuterzucker", "Honig", "Ahornsirup", "Holunderblütensirup", "Sahne",
    "Eiweiß", "Haferdrink", "Apfelessig", "Zitronensäure", "Natron", "Salz",
    "Minze", "Orangenzeste", "Cocktailkirsche", "Rosenwasser", "Zucker",
]  # fmt: skip
ENGLISH = [
    "tequila", "mezcal", "cognac", "cachaça", "pisco", "sake", "champagne", "prosecco", "dry vermouth",
    "sweet vermouth", "falernum", "lime cordial", "amaro", "fernet", "green tea", "earl grey",
    "bourbon", "scotch", "rye", "calvados", "armagnac", "grappa", "genever", "pastis", "port",
    "amontillado", "madeira", "amaretto", "limoncello", "creme de violette", "triple sec", "cassis",
    "espresso", "cold brew", "orgeat", "grenadine", "aquafaba", "oat milk", "cream of coconut",
    "worcestershire sauce", "hot sauce", "stout", "lager", "club soda", "whole egg",
]  # fmt: skip


def known() -> set[str]:
    from anthocard.house.collection import fold

    return {fold(word) for word in WORDS}


def test_there_are_more_than_three_hundred_lines() -> None:
    """Each of them with its source, and a word in German or English beside its name for most."""
    tables = [read_table("anthocard.facts", f"stock_{shelf}.yaml")["stock"] for shelf in SHELVES]
    rows = {name: row for table in tables for name, row in table.items()}
    assert sum(map(len, tables)) == len(rows) >= 300
    assert sum(bool(row.get("aliases")) for row in rows.values()) / len(rows) > 0.9
    assert all(row["source"] for row in rows.values())


@pytest.mark.parametrize("word", [*ENGLISH, *GERMAN])
def test_a_word_of_the_bar_is_known(word: str) -> None:
    """As it is said in English and in German, accents or not."""
    from anthocard.house.collection import fold

    assert fold(word) in known()


SLIPS = [
    ("tequilla", "tequila"), ("mescal", "mezcal"), ("lemon juise", "lemon juice"),
    ("cranbery juice", "cranberry juice"), ("orang bitters", "orange bitters"),
    ("champange", "champagne"), ("gingerbeer", "ginger beer"), ("strawbery liqueur", "strawberry liqueur"),
    ("white rumm", "white rum"), ("dry vermuth", "dry vermouth"),
]  # fmt: skip


@pytest.mark.parametrize(("typed", "meant"), SLIPS)
def test_a_slip_is_mended(typed: str, meant: str) -> None:
    """One letter too many, too few or wrong."""
    assert nearest_of_kind(typed, WORDS) == Near(meant, slip=True)


@pytest.mark.parametrize(
    "typed",
    ["banana rum", "smoked gin", "mango vodka", "hay liqueur", "fig syrup", "kumquat juice", "pine bitters",
     "moon water", "nettle tea", "Quittensirup", "Tannenlikör", "Feigensaft", "birch vinegar", "goat milk"],
)  # fmt: skip
def test_never_a_bottle_of_another_kind(typed: str) -> None:
    """What is not known is compared with its own kind alone."""
    kind = family_of(typed)
    near = nearest_of_kind(typed, WORDS)
    assert kind is not None
    assert near is None or family_of(near.name) == kind


def test_nonsense_is_like_nothing() -> None:
    """A word that says no kind and is no slip gets no offer."""
    assert nearest_of_kind("unobtainium", WORDS) is None
