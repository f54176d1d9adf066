from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from anthocard.diagnostics.diagnostic import AuthorError
from anthocard.house.files import FOLDERS
from anthocard.house.reader import read_house
from hypothesis import HealthCheck, given, settings, strategies as st

House = Callable[..., Path]
SYRUP = "---\nname: {name}\nparts: [100 g sucrose, 100 ml still water]\n---\n"


def test_a_good_house_is_read_in_silence(house: House) -> None:
    """A house without mistakes gives a book without warnings, with everything in it."""
    collection = read_house(house())
    assert collection.warnings == ()
    assert [recipe.name for recipe in collection.recipes] == ["Blue Gin", "Blue Hour"]
    drink = collection.drinks["Blue Hour"]
    assert [(p.amount.value, p.amount.unit, p.name) for p in drink.pours] == [
        (50.0, "ml", "blue gin"),
        (15.0, "ml", "honey syrup"),
        (1.0, "dash", "aromatic bitters"),
    ]
    assert drink.garnish == ("a bay leaf",)
    assert drink.guest_text == "Violet, until you pour."
    assert drink.staff_text == "## Method\n1. Shake."
    assert collection.infusions["Blue Gin"].dose.g_per_l == 8.0


def test_names_are_found_whatever_their_case_hyphens_and_blanks(house: House) -> None:
    """“blue-gin”, “BLUE  GIN” and “Blue Gin” are one thing, and an alias leads to its line."""
    collection = read_house(house())
    blue = collection.infusions["Blue Gin"]
    assert collection.find("blue-gin") is blue
    assert collection.find("BLUE  GIN") is blue
    assert collection.find("moon water") is None
    pea = collection.find("butterfly pea")
    assert pea is not None
    assert pea.name == "dried butterfly pea flowers"


def test_every_value_knows_its_place(house: House) -> None:
    """A place leads to the line, column and length of the value itself."""
    collection = read_house(house())
    drink = collection.drinks["Blue Hour"]
    place = collection.at(drink, ("pours", 1))
    assert (place.path, place.line, place.column, place.length) == (
        "recipes/drinks/blue-hour.md",
        9,
        5,
        17,
    )
    assert place.text == "  - 15 ml honey syrup"
    assert collection.at(drink, ("reveal", "amount")).line == 13
    assert collection.at(collection.house, ("glasses", "highball", "width")).line == 6
    assert collection.at(drink, ("pours",), key=True).line == 7


def test_a_house_line_changes_only_what_it_says(house: House) -> None:
    """An overlay keeps the generic composition and takes the house's price; places follow."""
    plain = read_house(house()).stock["gin"]
    collection = read_house(house(**{"stock.yaml": "Gin: {price: 21.50, pack: 70 cl}\n"}))
    gin = collection.stock["gin"]
    assert (gin.price, gin.pack and gin.pack.text) == (21.5, "70 cl")
    assert gin.model_copy(update={"price": None, "pack": None}) == plain
    assert collection.at(gin, ("price",)).line == 1
    assert collection.at(collection.stock["vodka"]).path == "the generic stock table"


def test_a_house_line_of_another_kind_replaces_the_generic_one(house: House) -> None:
    """Composition of a spirit never leaks into a syrup of the same name."""
    collection = read_house(house(**{"stock.yaml": "gin: {kind: syrup, sugar_g_per_l: 300}\n"}))
    assert collection.stock["gin"].abv_percent == 0.0


def test_a_house_alias_wins_over_a_generic_name(house: House) -> None:
    """What the house wrote comes before what is generic, names before aliases."""
    lines = "marsh spirit: {kind: spirit, abv_percent: 43 %, aliases: [gin, vodka]}\n"
    collection = read_house(house(**{"stock.yaml": lines}))
    assert collection.find("vodka") is collection.stock["marsh spirit"]


def test_mistakes_of_all_files_come_in_one_go(house: House) -> None:
    """Each file's mistakes are told, those of names included, ordered by file and line."""
    extra = {
        "drinks/a.md": "---\nname: A\nglass: tub\nmethod: stird\npours: [5 ml moon water]\n---\n",
        "syrups/b.md": "---\nname: B\nparts: [5 gin]\n---\n",
        "solutions/c.md": "no front-matter",
    }
    with pytest.raises(AuthorError) as told:
        read_house(house(**extra))
    assert [(m.place.path.split("/")[-1], m.kind) for m in told.value.mistakes] == [
        ("a.md", "unknown-glass"),
        ("a.md", "not-a-choice"),
        ("a.md", "unknown-ingredient"),
        ("c.md", "no-front-matter"),
        ("b.md", "missing-unit"),
    ]


def test_what_could_not_be_read_is_not_also_unknown(house: House) -> None:
    """A drink that pours a broken syrup is not blamed for it."""
    extra = {
        "syrups/honey.md": "---\nname: Marsh Honey\nparts: [5 gin]\n---\n",
        "drinks/a.md": "---\nname: A\nglass: highball\nmethod: built\n"
        "pours: [5 ml marsh honey]\n---\n",
    }
    with pytest.raises(AuthorError) as told:
        read_house(house(**extra))
    assert [m.kind for m in told.value.mistakes] == ["missing-unit"]


def test_a_recipe_in_the_wrong_folder_is_told(house: House) -> None:
    """A folder and the `kind:` of a file in it must agree; without `kind:` the folder decides."""
    text = SYRUP.format(name="Plain")
    collection = read_house(house(**{"syrups/plain.md": text}))
    assert "Plain" in collection.syrups
    wrong = text.replace("---\nname", "---\nkind: syrup\nname", 1)
    with pytest.raises(AuthorError, match="a syrup does not belong in drinks/"):
        read_house(house(**{"drinks/plain2.md": wrong.replace("Plain", "Plainer")}))


def test_two_recipes_cannot_share_a_name_or_an_address(house: House) -> None:
    """Names are compared folded, across kinds, and so are the addresses made of file names."""
    extra = {
        "syrups/one.md": SYRUP.format(name="BLUE-HOUR"),
        "syrups/Blue Hour.md": SYRUP.format(name="Other"),
    }
    with pytest.raises(AuthorError) as told:
        read_house(house(**extra))
    assert sorted(m.kind for m in told.value.mistakes) == ["duplicate-name", "same-file-name"]


def test_only_warnings_do_not_stop_a_house(house: House) -> None:
    """Steps without a heading, or a file that lies elsewhere, are warnings in the book."""
    extra = {"syrups/plain.md": SYRUP.format(name="Plain") + "1. Stir.\n", "drink/x.md": "x"}
    collection = read_house(house(**extra))
    assert [m.kind for m in collection.warnings] == ["not-read", "steps-for-guests"]
    assert all(m.severity == "warning" for m in collection.warnings)


def test_a_recipe_is_found_by_its_file(house: House) -> None:
    """The folder and name of a file lead to the recipe, however the path is written."""
    folder = house()
    collection = read_house(folder)
    drink = collection.drinks["Blue Hour"]
    assert collection.recipe(folder / "drinks" / "blue-hour.md") is drink
    assert collection.recipe(Path("drinks/blue-hour.md")) is drink
    assert collection.recipe(folder / "drinks" / "none.md") is None
    assert collection.recipe("BLUE HOUR") is collection.recipe("blue-hour") is drink
    assert collection.recipe("red hour") is None
    assert collection.slug(drink) == "blue-hour"
    assert collection.sources["Blue Hour"].kind == "drink"


WRITTEN = st.one_of(
    st.text(max_size=120),
    st.text("ab:-[]{}&*!|>'\"#%@` \n\t0123456789.,/", max_size=120),
    st.lists(
        st.sampled_from(
            [
                "name: x",
                "pours:",
                "  - 50 ml gin",
                "  - {amount: 5, of: y}",
                "glass: [",
                "price: -1",
                "reveal:",
                "  pour: gin",
                "  until: pH 3",
                "kind: drink",
                "parts: 3",
                "into: no",
                "---",
                "dose: 8 g/l",
                "time: 12:30",
                "allergens: {checked: 2026-13-01}",
                "garnish: 5",
            ]
        ),
        max_size=12,
    ).map("\n".join),
)


@settings(
    max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(front=WRITTEN, body=WRITTEN, kind=st.sampled_from(sorted(FOLDERS)), yaml=WRITTEN)
def test_whatever_is_written_the_reader_only_complains(
    house: House, front: str, body: str, kind: str, yaml: str
) -> None:
    """Any text at all gives a book or an AuthorError whose places lie in the files."""
    text = f"---\n{front}\n---\n{body}"
    folder = house(**{f"{FOLDERS[kind]}/x.md": text, "stock.yaml": yaml})
    try:
        read_house(folder)
    except AuthorError as told:
        for mistake in told.mistakes:
            assert mistake.message
            assert mistake.place.line >= 1
            assert mistake.place.path.startswith("recipes/")
            assert str(mistake)
    finally:
        (folder / FOLDERS[kind] / "x.md").unlink()
