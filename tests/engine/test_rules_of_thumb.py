"""What bartenders know by heart, held against the whole engine.

Every row here is common practice, no source: the tolerances are wide, and say what "about" means.
"""

from __future__ import annotations

import numpy as np
import pytest
from anthocard.facts.colour import colours, names

from tests.engine.conftest import Computer

BLUE = "kind: infusion\nname: blue gin\nplant: butterfly pea\ninto: gin\ndose: 1 g in 250 ml\ntime: 2 h\n"
SHARP = "kind: solution\nname: sharp acid\nparts: [47 g still water, 3 g citric acid]\n"
BUFFER = "kind: solution\nname: buffer\nparts: [10 g sodium citrate]\nmade_up_to: 100 ml\n"
ROSE = "kind: infusion\nname: rose gin\nplant: rose\ninto: gin\ndose: 2.5 g in 250 ml\ntime: 12 h\n"
CABBAGE = "kind: infusion\nname: cabbage vodka\nplant: red cabbage\ninto: vodka\ndose: 4 g in 250 ml\ntime: 12 h\n"


def drink(name: str, pours: str, rest: str = "method: stirred\n") -> str:
    return f"kind: drink\nname: {name}\nglass: tall glass\npours: [{pours}]\n{rest}"


def hue(lab: tuple[float, float, float]) -> float:
    return float(colours.lch_of_lab(lab)[2])


def test_three_grams_of_acid_in_47_of_water_is_six_percent_by_weight(computer: Computer) -> None:
    """3 g in 47 g of water is 6 % w/w."""
    one = computer({"solutions/a.md": SHARP})["a"]
    grams = [measure.g for measure in one.measures]
    assert grams[1] / sum(grams) == pytest.approx(0.06, abs=1e-9)  # type: ignore[operator,arg-type]


def test_one_part_salt_to_four_of_water_is_twenty_percent_by_weight(computer: Computer) -> None:
    """1 part salt to 4 of water is 20 % w/w."""
    text = "kind: solution\nname: saline\nparts: [10 g salt, 40 g still water]\n"
    liquid = computer({"solutions/s.md": text})["s"].before.liquid
    salt_g = float(liquid["strong_anion_mmol"]) * 58.44 / 1000.0  # NaCl, IUPAC atomic weights
    assert salt_g / float(liquid.mass_g) == pytest.approx(0.20, abs=0.001)


def test_butterfly_pea_two_hours_is_deep_blue(computer: Computer) -> None:
    """1 g dried butterfly pea in 250 ml of spirit, 2 h, is deep blue."""
    assert computer({"infusions/b.md": BLUE})["b"].before.colour.name == "deep blue"


def test_rose_is_pale_yellow_in_spirit_and_pink_in_tonic(computer: Computer) -> None:
    """2.5 g rose buds in 250 ml, 12 h: pale yellowish, not pink; pink once tonic is in."""
    both = computer(
        {
            "infusions/r.md": ROSE,
            "drinks/d.md": drink(
                "d",
                "50 ml rose gin",
                "method: built\nice: cubed\nreveal: {pour: tonic water, amount: 100 ml}\n",
            ),
        }
    )
    assert 60 < hue(both["r"].before.colour.lab) < 110
    after = both["d"].after
    assert after is not None
    assert "pink" in after.colour.name


def test_red_cabbage_is_purple_in_spirit_and_pinkish_red_with_lime(computer: Computer) -> None:
    """4 g dehydrated red cabbage in 250 ml, 12 h: vivid purple; with lime, pinkish red."""
    both = computer(
        {
            "infusions/c.md": CABBAGE,
            "drinks/d.md": drink(
                "d",
                "50 ml cabbage vodka",
                "method: shaken\nreveal: {pour: lime juice, amount: 22.5 ml}\n",
            ),
        }
    )
    spirit, after = both["c"].before.colour, both["d"].after
    assert 295 < hue(spirit.lab) < 335, "between violet and purple"
    assert float(np.hypot(*spirit.lab[1:])) > 40, "vivid"
    assert after is not None
    assert hue(after.colour.lab) > 345 or hue(after.colour.lab) < 35


def test_colour_follows_dose(computer: Computer) -> None:
    """Colorant scales with volume: twice the coloured spirit is darker, in the same hue family."""
    two = computer(
        {
            "infusions/b.md": BLUE,
            "drinks/weak.md": drink("weak", "10 ml blue gin, 50 ml gin"),
            "drinks/strong.md": drink("strong", "20 ml blue gin, 40 ml gin"),
        }
    )
    assert two["strong"].before.colour.lab[0] < two["weak"].before.colour.lab[0] - 5


def test_aromatised_wine_already_moves_the_blue(computer: Computer) -> None:
    """Vermouth shifts a blue drink a little towards violet before any acid is poured."""
    two = computer(
        {
            "infusions/b.md": BLUE,
            "drinks/plain.md": drink("plain", "15 ml blue gin, 45 ml gin"),
            "drinks/wine.md": drink("wine", "15 ml blue gin, 35 ml gin, 10 ml dry vermouth"),
        }
    )
    moved = hue(two["wine"].before.colour.lab) - hue(two["plain"].before.colour.lab)
    assert 2 < moved < 40


def test_five_millilitres_of_acid_turn_a_stirred_blue_drink_pink(computer: Computer) -> None:
    """About 5 ml of a 6 % acid solution turns a stirred blue drink gentle pink.

    “Pink” is read as the far side of purple, hue 325-15; the model has it magenta-pink.
    """
    one = computer(
        {
            "infusions/b.md": BLUE,
            "solutions/a.md": SHARP,
            "drinks/d.md": drink(
                "d",
                "10 ml blue gin, 50 ml gin",
                "method: stirred\nreveal: {pour: sharp acid, amount: 5 ml}\n",
            ),
        }
    )["d"]
    assert one.after is not None
    assert 230 < hue(one.before.colour.lab) < 305, "blue before"
    assert hue(one.after.colour.lab) > 325 or hue(one.after.colour.lab) < 15, "pink after"


def test_small_doses_of_buffer_move_a_drink_in_small_steps(computer: Computer) -> None:
    """10 g of sodium citrate in 100 ml is the buffer: half a millilitre more of it in a sour lifts
    the pH by a tenth to a quarter.
    """
    files = {"infusions/b.md": BLUE, "solutions/a.md": SHARP, "solutions/c.md": BUFFER}
    for dose in range(4):
        buffer = f", {dose / 2} ml buffer" if dose else ""
        files[f"drinks/d{dose}.md"] = drink(
            f"d{dose}", f"50 ml blue gin, 20 ml lemon juice{buffer}"
        )
    computed = computer(files)
    steps = np.diff([computed[f"d{dose}"].before.ph for dose in range(4)])
    assert np.all((steps > 0.09) & (steps < 0.26)), steps


def test_dilution_raises_the_ph_and_brings_blue_back(computer: Computer) -> None:
    """Water lifts the pH of an acid drink and turns its hue back towards blue."""
    two = computer(
        {
            "infusions/b.md": BLUE,
            "solutions/a.md": SHARP,
            "drinks/short.md": drink("short", "15 ml blue gin, 35 ml gin, 3 ml sharp acid"),
            "drinks/long.md": drink(
                "long", "15 ml blue gin, 35 ml gin, 3 ml sharp acid, 120 ml still water"
            ),
        }
    )
    assert two["long"].before.ph > two["short"].before.ph + 0.1
    assert hue(two["long"].before.colour.lab) < hue(two["short"].before.colour.lab) - 3


def test_every_name_used_here_is_in_the_vocabulary() -> None:
    """The words above are the words cards print."""
    assert {"deep blue", "rose pink"} <= {name.word for name in names.vocabulary()}
