"""What is filled: sensible vessels for what is made, in the sizes a house has."""

from __future__ import annotations

import itertools

import pytest
from anthocard.engine.trade.batching import make
from anthocard.engine.trade.vessels import Vessel, called, filled, goes_solid, kinds, usual
from anthocard.facts.units.written_numbers import MeasureError
from anthocard.house.settings import House, VesselKind
from hypothesis import given, strategies as st

from tests.engine.opened import Opened, drink, house, opened

SALINE = "kind: solution\nname: salt water\nparts: [20 g salt, 80 g still water]\n"
SYRUP = "kind: syrup\nname: sweet\nparts: [500 g sucrose, 500 g still water]\n"
FROZEN = SALINE.replace("salt water", "frost").replace("20 g", "2 g") + "store: freezer, lidded\n"
GAS = (
    "kind: preparation\nname: gas\nsteps:\n  - add: [1 l still water]\n"
    "  - chill: 4 °C\n  - {carbonate: 3 volumes, temperature: 4 °C, vessel: bottle}\n"
    "  - bottle: 200 ml\n"
)
KEGGED = "kind: preparation\nname: tap\nsteps:\n  - add: [4 l still water]\n  - keg: nitrogen\n"


def there(more: str = "") -> Opened:
    return opened(
        {
            "solutions/salt-water.md": SALINE, "syrups/sweet.md": SYRUP, "solutions/frost.md": FROZEN,
            "preparations/gas.md": GAS, "preparations/tap.md": KEGGED,
            "drinks/d.md": drink("50 ml gin, 10 ml sweet"),
        },
        house(more=more),
    )  # fmt: skip


def put(found: Opened, slug: str, ml: float) -> tuple[str, float, int]:
    made = make(found.computed[slug], ml, found.collection, found.shelf)
    assert made.labels == made.bottles
    return made.vessel, made.bottle_ml, made.bottles


def test_two_millilitres_of_saline_are_no_bottle_of_700() -> None:
    """Drops in droppers, syrup in squeeze bottles, ice in tubs with room, the rest in bottles."""
    found = there()
    assert put(found, "salt-water", 2.0) == ("dropper bottle", 10.0, 1)
    assert put(found, "salt-water", 93.0) == ("dropper bottle", 100.0, 1)
    assert put(found, "salt-water", 690.0) == ("bottle", 700.0, 1)
    assert put(found, "salt-water", 1900.0) == ("bottle", 1000.0, 2)
    assert put(found, "sweet", 410.0) == ("squeeze bottle", 500.0, 1)
    assert put(found, "frost", 900.0) == ("freezer tub", 1000.0, 1)
    assert put(found, "frost", 901.0) == ("freezer tub", 2000.0, 1)  # a tenth left empty


def test_a_recipes_own_last_step_goes_before() -> None:
    """Bottled at 200 ml, kegged with nitrogen: not what the kind would be filled into."""
    found = there()
    assert put(found, "gas", 900.0) == ("bottle", 200.0, 5)
    assert put(found, "tap", 4000.0)[0] == "keg"


def test_a_house_fills_the_sizes_it_has() -> None:
    """Of a kind it names its own, of the others the usual ones; with none of a kind, a bottle."""
    found = there(
        "vessels: {dropper bottle: [], squeeze bottle: [350 ml], bottle: [500 ml, 1 l]}\n"
    )
    assert put(found, "salt-water", 2.0) == ("bottle", 500.0, 1)
    assert put(found, "sweet", 300.0) == ("squeeze bottle", 350.0, 1)
    assert put(found, "sweet", 2500.0) == ("bottle", 1000.0, 3)
    assert put(found, "frost", 400.0) == ("freezer tub", 500.0, 1)


def test_a_vessel_is_called_as_a_bar_calls_it() -> None:
    """A kind, a size, or both; a large size alone is a keg; what is no vessel is told with a mend."""
    said = {"name": "h", "place": "GB", "currency": "GBP", "vessels": {"jar": ("330 ml",)}}
    own = House.model_validate(said)
    assert called("squeeze bottle", own) == (
        Vessel("squeeze bottle", 250.0), Vessel("squeeze bottle", 500.0),
    )  # fmt: skip
    assert called("Jars", own) == (Vessel("jar", 330.0),)
    assert called("50 ml", own) == (Vessel("bottle", 50.0),)
    assert called("50 ml dropper bottle", own) == (Vessel("dropper bottle", 50.0),)
    assert called("19 l", own) == called("19 l keg", own) == (Vessel("keg", 19000.0),)
    for wrong in ("bucket", "jarr", "", "0 ml", "ml keg"):
        with pytest.raises(MeasureError) as refused:
            called(wrong, own)
        assert refused.value.mend


@given(
    st.floats(0.5, 50_000.0),
    st.lists(st.floats(5.0, 30_000.0), min_size=1, max_size=6),
    st.sampled_from(kinds()),
)
def test_all_of_it_goes_in_and_no_vessel_is_spare(ml: float, sizes: list[float], kind: str) -> None:
    """They hold it, one fewer would not, and where one is enough no smaller one would be."""
    vessels = tuple(Vessel(kind, size) for size in sorted(sizes))
    one, count = filled(ml, vessels)
    assert count * one.holds_ml >= ml * (1.0 - 1e-6)
    assert (count - 1) * one.holds_ml < ml
    if count == 1:
        assert all(other.holds_ml < ml for other in vessels if other.ml < one.ml)
    else:
        assert one == vessels[-1]


def test_kinds_are_the_same_in_a_house_and_in_the_table() -> None:
    """What a house may write is what there is a row of."""
    assert set(VesselKind.__args__) == set(kinds())
    for kind in kinds():
        wide, high = Vessel(kind, 1e6).label_mm
        assert wide >= Vessel(kind, 1.0).label_mm[0] > 38.1
        assert high > 21.2


def test_sizes_that_are_sold_are_in_the_table() -> None:
    """Bottles from 50 ml to 1.5 l: each bears a label of its own, larger than the next smaller one;
    those between the usual ones are filled where they are named alone.
    """
    sold = (50, 100, 200, 250, 330, 350, 375, 500, 700, 750, 1000, 1500)
    wide = [Vessel("bottle", float(ml)).label_mm for ml in sold]
    assert all(a < b and c < d for (a, c), (b, d) in itertools.pairwise(wide))
    assert put(there(), "salt-water", 340.0) == ("bottle", 500.0, 1)
    assert put(there("vessels: {bottle: [350 ml]}\n"), "salt-water", 340.0) == ("bottle", 350.0, 1)


def test_what_goes_solid() -> None:
    """Words of storing in three languages, and only what freezes there."""
    for words in ("in the freezer", "Gefrierschrank", "au congélateur"):
        assert goes_solid(words, freezer_safe=False)
        assert not goes_solid(words, freezer_safe=True)
    assert not goes_solid("5 °C or colder", freezer_safe=False)
    found = there()
    assert {one.kind for one in usual(found.computed["d"].recipe, found.collection.house)} == {
        "bottle"
    }
