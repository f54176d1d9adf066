"""How drinks stand and change: shares of a whole, layers by density, sized ice, reveals in order."""

from __future__ import annotations

from pathlib import Path
from typing import Any, Final

import numpy as np
import pytest
import yaml
from anthocard.diagnostics.diagnostic import AuthorError
from anthocard.facts.chemistry.liquid import Liquid
from anthocard.facts.ice_pieces import pieces
from anthocard.press.build.recipe_cache import keys_of
from hypothesis import given, settings, strategies as st

from tests.engine.conftest import HOUSE
from tests.engine.opened import Opened, opened

ORDERS: Final[list[dict[str, Any]]] = yaml.safe_load(
    (Path(__file__).parent / "layer_orders.yaml").read_text(encoding="utf-8")
)["orders"]
BLUE = "kind: infusion\nname: blue gin\nplant: butterfly pea\ninto: gin\ndose: 7 g per litre\ntime: 100 min\n"
SHARP = "kind: solution\nname: sharp\nparts: [60 g citric acid]\nmade_up_to: 1 l\n"
BASIS = {"infusions/blue.md": BLUE, "solutions/sharp.md": SHARP}


def drink(pours: str, rest: str = "method: built\n", name: str = "d") -> str:
    return f"kind: drink\nname: {name}\nglass: tall glass\npours: [{pours}]\n{rest}"


def one(text: str) -> Opened:
    return opened({**BASIS, "drinks/d.md": text})


def _stack(names: list[str], key: str) -> str:
    pours = ", ".join(f"20 ml {name}" for name in names)
    return drink(pours, "method: layered\n", key)


@pytest.fixture(scope="module")
def stacked() -> Opened:
    """Every stated order as a drink."""
    files = {
        f"drinks/order-{n}.md": _stack([name for name, _ in row["layers"]], f"Order {n}")
        for n, row in enumerate(ORDERS)
    }
    return opened(files)


@pytest.mark.parametrize("n", range(len(ORDERS)))
def test_layers_lie_in_the_order_of_stated_densities(stacked: Opened, n: int) -> None:
    """20 of 20: as stated from the bottom up, nothing would change places."""
    told = stacked.computed[f"order-{n}"].glassful
    assert told is not None
    stated = [density for _, density in ORDERS[n]["layers"]]
    assert stated == sorted(stated, reverse=True)
    assert [layer.names[0] for layer in told.layers] == [name for name, _ in ORDERS[n]["layers"]]


def test_there_are_twenty_orders() -> None:
    assert len(ORDERS) == 20


@pytest.mark.parametrize("n", [0, 4, 9, 16])
def test_a_layer_that_would_sink_names_both_with_their_densities(n: int) -> None:
    """Upside down the first two that would swap are told, and the order that holds."""
    names = [name for name, _ in ORDERS[n]["layers"]][::-1]
    with pytest.raises(AuthorError) as refused:
        one(_stack(names, "d"))
    (mistake,) = [m for m in refused.value.mistakes if m.kind == "layers-swap"]
    assert names[0] in mistake.message
    assert names[1] in mistake.message
    assert mistake.message.count("g/ml") == 2
    assert mistake.mend.index(names[-1]) < mistake.mend.index(names[0])


def test_layers_closer_than_bottles_differ_are_told() -> None:
    """Two liqueurs 0.02 g/ml apart: within what brands differ by. Syrup under gin is sure."""
    close = one(_stack(["banana liqueur", "hazelnut liqueur"], "d"))
    (told,) = [mistake for mistake in close.warnings if mistake.kind == "layers-unsure"]
    assert "stock.yaml" in told.mend
    sure = one(_stack(["sugar syrup", "gin"], "d"))
    assert not [mistake for mistake in sure.warnings if mistake.kind.startswith("layers")]


def test_layers_keep_their_own_colour_until_they_are_stirred() -> None:
    """Red below, gold above; only stirred is it one colour, and its pH lies between theirs."""
    found = one(drink("45 ml tequila, 90 ml orange juice, sink 15 ml grenadine")).computed["d"]
    assert found.glassful is not None
    assert found.stirred is not None
    below, above = found.glassful.layers
    assert below.colour.hex != above.colour.hex
    assert found.stirred.colour.hex not in (below.colour.hex, above.colour.hex)
    assert below.ph is not None
    assert above.ph is not None
    assert below.ph < found.stirred.ph < above.ph
    assert found.before.stated_ph == (below.ph, above.ph)


@settings(max_examples=10, deadline=None)
@given(st.integers(1, 6), st.integers(1, 6), st.integers(40, 200))
def test_parts_scale(first: int, second: int, size: int) -> None:
    """Parts share the size in their ratio, whatever both are."""
    pours = f"{first} parts gin, {second} parts dry vermouth"
    found = one(drink(pours, f"method: built\nsize: {size} ml\n")).computed["d"].measures
    assert found[0].ml is not None
    assert found[1].ml is not None
    assert found[0].ml + found[1].ml == pytest.approx(size, rel=1e-9)
    assert found[0].ml * second == pytest.approx(found[1].ml * first, rel=1e-9)


def test_a_ratio_is_its_parts() -> None:
    """Both ways of writing are one drink."""
    rest = "method: stirred\nsize: 90 ml\n"
    ratio = one(drink('"2:1 gin, dry vermouth"', rest)).computed["d"]
    parts = one(drink("2 parts gin, 1 part dry vermouth", rest)).computed["d"]
    assert [m.ml for m in ratio.measures] == [m.ml for m in parts.measures]
    assert ratio.before.ph == parts.before.ph
    assert ratio.before.volume_ml == parts.before.volume_ml


@settings(max_examples=8, deadline=None)
@given(st.permutations(["{pour: sharp, amount: 2 ml, how: dropped}",
                        "{pour: lemon juice, amount: 6 ml, how: squeezed}",
                        "{pour: still water, amount: 20 ml}"]))  # fmt: skip
def test_the_order_of_what_is_stirred_in_changes_nothing_at_the_end(order: list[str]) -> None:
    """After all of them the drink is the same; mass in is mass out at every stage."""
    text = drink(
        "45 ml blue gin, 40 ml still water", f"method: built\nreveals: [{', '.join(order)}]\n"
    )
    found = one(text).computed["d"]
    assert found.after is not None
    end = opened({**BASIS, "drinks/d.md": drink(
        "45 ml blue gin, 40 ml still water, 2 ml sharp, 6 ml lemon juice, 20 ml still water",
        "method: built\nsteady: true\n")}).computed["d"].before  # fmt: skip
    assert found.after.ph == pytest.approx(end.ph, abs=0.02)  # but for the temperature of mixing
    assert np.allclose(found.after.liquid.amounts, end.liquid.amounts, rtol=1e-9)
    masses = [float(state.liquid.mass_g) for state in found.states]
    added = [measure.g or 0.0 for measure in found.revealed]
    assert np.allclose(np.diff(masses), added, rtol=1e-9)


def test_allergens_of_every_reveal_stay() -> None:
    """What only the first of several brings is still told of the drink."""
    reveals = "reveals: [{pour: cream, amount: 10 ml}, {pour: lemon juice, amount: 5 ml}]\n"
    assert (
        one(drink("45 ml blue gin", f"method: built\n{reveals}")).state("d", "milk") == "contains"
    )


def test_no_colour_comes_from_nothing() -> None:
    """Gin, water and sugar in layers are as colourless as they are stirred."""
    found = one(drink("20 ml sugar syrup, 40 ml still water, 30 ml gin", "method: layered\n"))
    told = found.computed["d"].glassful
    assert told is not None
    assert all(layer.colour.name == "colourless" for layer in told.layers)


def test_each_stage_is_told_with_its_cautions() -> None:
    """Before and after each of two reveals there are states, and keys of what holds then."""
    reveals = (
        "reveals: [{pour: sharp, amount: 1 ml, how: dropped}, {pour: tonic water, how: topped}]\n"
    )
    found = one(drink("45 ml blue gin, 40 ml still water", f"method: built\n{reveals}")).computed[
        "d"
    ]
    assert len(found.states) == len(found.cautions_at) == 3
    assert set().union(*found.cautions_at) <= {one.key for one in found.cautions}
    assert found.turn is not None
    assert found.turn.poured_ml[-1] > found.revealed_ml
    assert np.all(np.diff(found.turn.poured_ml) >= 0.0)
    at = float(np.interp(found.revealed_ml, found.turn.poured_ml, found.turn.ph))
    assert found.after is not None
    assert at == pytest.approx(found.after.ph, abs=0.02)


def test_a_frozen_ball_leaves_the_drink_cold() -> None:
    """The same reveal frozen is colder than poured, and no colder than ice melts."""
    rest = "method: built\nreveals: [{{pour: sharp, amount: 20 ml, how: {}}}]\n"
    poured, frozen = (
        one(drink("60 ml blue gin", rest.format(how))).computed["d"] for how in ("poured", "frozen")
    )
    assert poured.after is not None
    assert frozen.after is not None
    assert frozen.after.temperature_c < poured.after.temperature_c - 5.0
    assert frozen.after.temperature_c >= 0.0
    assert np.array_equal(frozen.after.liquid.amounts, poured.after.liquid.amounts)


def test_a_glass_that_is_full_cannot_be_topped_up() -> None:
    with pytest.raises(AuthorError) as refused:
        one(drink("380 ml still water, top up with soda water", "method: built\n"))
    assert [m.kind for m in refused.value.mistakes] == ["no-room-left"]


def test_foam_counts_into_the_glass() -> None:
    """A sour that fits without its head does not fit with it."""
    text = drink("70 ml gin, 40 ml lemon juice, 40 ml sugar syrup, 30 ml egg white",
                 "method: dry-shaken then shaken\n").replace("tall glass", "small glass")  # fmt: skip
    kinds = {warning.kind: warning.message for warning in one(text).warnings}
    assert "foam" in kinds["overflow"]


def test_what_foams_is_shaken() -> None:
    kinds = {w.kind for w in one(drink("50 ml gin, 20 ml egg white", "method: stirred\n")).warnings}
    assert "no-foam" in kinds


@pytest.mark.parametrize(
    ("kind", "mm", "grams"),
    [
        ("large cube", 51, 121.6),
        ("sphere", 60, 103.7),
        ("sphere", 63.5, 122.9),
        ("cubed", 32, 30.0),
    ],
)
def test_a_piece_of_ice_weighs_its_geometry(kind: str, mm: float, grams: float) -> None:
    """By hand: 0.917 g/ml times the cube of the edge, or π/6 of it."""
    assert pieces()[kind].grams(mm) == pytest.approx(grams, abs=0.1)


def test_ice_displaces_no_more_than_its_weight_and_no_less_than_lies_under_the_level() -> None:
    """Archimedes where it floats; in a shallow drink it rests and displaces less."""
    deep = one(drink("200 ml still water", "method: built\nice: 2 cubes 30 mm\n")).computed["d"]
    text = drink("20 ml whisky", "method: built\nice: large cube 50 mm\n")
    house = HOUSE.replace("tall glass: {width: 60 mm", "tall glass: {width: 90 mm")
    shallow = opened({"drinks/d.md": text}, house).computed["d"]
    for found in (deep, shallow):
        assert found.glassful is not None
        assert found.glassful.ice is not None
    assert deep.glassful is not None
    assert deep.glassful.ice is not None
    assert shallow.glassful is not None
    assert shallow.glassful.ice is not None
    assert deep.glassful.ice.displaces_ml == pytest.approx(deep.glassful.ice.grams, rel=1e-6)
    assert 0.0 < shallow.glassful.ice.displaces_ml < shallow.glassful.ice.grams


def test_a_house_weighs_its_own_rinse() -> None:
    house = HOUSE + "  rinse: {ml: 1.4, measured: 2026-01-01}\n"
    found = opened({"drinks/d.md": drink("50 ml gin, 1 rinse absinthe")}, house).computed["d"]
    assert found.measures[1].ml == pytest.approx(1.4)
    assert not found.measures[1].unsure_share


def test_a_float_is_not_shaken_with_the_rest() -> None:
    """Wine floated on a shaken drink takes up no ice water: the melt is that of the rest."""
    base = "50 ml whisky, 25 ml lemon juice, 20 ml sugar syrup"
    plain = one(drink(base, "method: shaken\n")).computed["d"]
    floated = one(drink(f"{base}, float 15 ml red wine", "method: shaken\n")).computed["d"]
    assert floated.melt_ml == pytest.approx(plain.melt_ml, abs=0.5)
    assert isinstance(floated.before.liquid, Liquid)


def test_a_variation_is_its_parent_but_for_what_it_says() -> None:
    """Written out in full it is the same drink, and it follows its parent."""
    parent = drink(
        "50 ml gin, 20 ml lemon juice, 1 dash orange bitters", "method: shaken\n", "Parent"
    )
    child = (
        "kind: drink\nname: Child\nbased_on: parent\ninstead: {gin: white rum}\n"
        "without: orange bitters\nalso: [5 ml agave syrup]\nice: crushed\n"
    )
    grandchild = "kind: drink\nname: Grandchild\nbased_on: Child\nmethod: stirred\n"
    files = {"drinks/a.md": grandchild, "drinks/b.md": child, "drinks/c.md": parent}
    found = opened(files)
    assert list(found.computed) == ["a", "b", "c"]
    whole = drink("50 ml white rum, 20 ml lemon juice, 5 ml agave syrup",
                  "method: shaken\nice: crushed\n")  # fmt: skip
    alone = opened({"drinks/d.md": whole}).computed["d"]
    assert (
        found.computed["b"].before.liquid.amounts.tolist() == alone.before.liquid.amounts.tolist()
    )
    assert found.computed["a"].measures == found.computed["b"].measures
    assert found.computed["a"].recipe.method == "stirred"  # type: ignore[union-attr]


def test_what_is_kept_of_a_variation_goes_by_its_parent_too() -> None:
    """Another dose in the parent is another cause for the child."""
    child = "kind: drink\nname: Child\nbased_on: d\n"
    first, other = (
        keys_of(opened({"drinks/d.md": drink(f"{ml} ml gin"), "drinks/e.md": child}).collection)
        for ml in (50, 45)
    )
    assert first["e"] != other["e"]


def _frozen(rest: str, glass: str = "tall glass") -> Any:
    """What is frozen in a drink of 200 ml water and 30 ml of sharp acid, frozen."""
    text = drink("200 ml still water", "method: built\nice: none\n")
    reveal = f"reveal: {{pour: sharp, amount: 30 ml, how: frozen{rest}}}\n"
    told = one(text.replace("tall glass", glass) + reveal).computed["d"].glassful
    assert told is not None
    return told


@pytest.mark.parametrize(
    ("rest", "kind", "count"), [("", "sphere", 1), (", pieces: 2 balls", "sphere", 2),
                                (", pieces: 3 cubes", "cubed", 3), (", pieces: 2 spears", "clear spear", 2)],
)  # fmt: skip
def test_a_frozen_reveal_is_in_as_many_pieces_as_are_written(
    rest: str, kind: str, count: int
) -> None:
    """All of it is in them, a ninth larger than its liquid, and afloat displaces its own weight."""
    found = _frozen(rest)
    (told,) = found.frozen
    assert (told.of, told.kind, told.pieces) == ("sharp", kind, count)
    assert told.ml == pytest.approx(30.0 * 0.998 / 0.917, rel=2e-3)
    assert count * pieces()[kind].volume_ml(told.mm) == pytest.approx(told.ml, rel=1e-6)
    assert told.displaces_ml == pytest.approx(told.grams / 1.0, rel=0.03)
    assert found.level_ml == pytest.approx(found.liquid_ml + told.displaces_ml)


def test_only_what_is_frozen_comes_in_pieces() -> None:
    """A pour in balls is none, a ball of a stated size neither: the amount tells it."""
    for reveal, kind in (
        ("{pour: sharp, amount: 30 ml, pieces: 2 balls}", "pieces-unfrozen"),
        ("{pour: sharp, amount: 30 ml, how: frozen, pieces: 2 balls 20 mm}", "ice-size"),
        ("{pour: sharp, amount: 30 ml, how: frozen, pieces: some}", "not-a-choice"),
    ):
        with pytest.raises(AuthorError) as refused:
            one(drink("60 ml blue gin", f"method: built\nreveal: {reveal}\n"))
        assert [m.kind for m in refused.value.mistakes] == [kind]
