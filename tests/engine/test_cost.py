"""Cost of a serve: packs, yields, waste, tax, targets, and honesty about what has no price."""

from __future__ import annotations

import pytest
from anthocard.diagnostics.diagnostic import AuthorError
from anthocard.engine.results import Cost
from anthocard.engine.trade import cost

from tests.engine.opened import drink, house, opened

STOCK = """\
gin: {pack: 700 ml, price: 21}
lemon juice: {pack: 1 kg, price: 10.30}
egg white: {pack: 12 pieces, price: 3}
mint leaf: {pack: 100 pieces, price: 2}
dried butterfly pea flowers: {pack: 100 g, price: 20}
"""


def costed(text: str, more: str = "", stock: str = STOCK) -> Cost:
    found = opened({"stock.yaml": stock, "drinks/d.md": text}, house(more=more)).computed["d"].cost
    assert found is not None
    return found


@pytest.mark.parametrize(
    ("pours", "wanted"),
    [
        ("70 ml gin", 2.10),
        ("2.8 cl gin", 0.84),
        ("50 ml lemon juice", 50 * 1.03 * 0.0103),  # by weight, at 1.03 g/ml
        ("1 egg white", 0.25),
        ("15 ml egg white", 0.125),  # thirty to a piece
        ("10 ml gin, 90 ml still water", 0.30),  # water from the tap is not counted
    ],
)
def test_a_pour_costs_its_share_of_the_pack(pours: str, wanted: float) -> None:
    """By volume, by weight, by the piece, and across them."""
    found = costed(drink(pours))
    assert found.total == pytest.approx(wanted, rel=1e-3)
    assert found.unpriced == ()


def test_strain_loss_is_paid_for() -> None:
    """A litre of infusion costs its gin and flowers over what came through."""
    infusion = (
        "kind: infusion\nname: pea gin\nplant: butterfly pea\ninto: gin\ndose: 10 g per litre\n"
        "time: 100 min\nstrained: 80 %\nbatch: 1 l\n"
    )
    files = {"stock.yaml": STOCK, "infusions/pea-gin.md": infusion}
    found = opened(files, house(more="pour_cost_target: 20\n")).computed["pea-gin"].cost
    assert found is not None
    assert found.total == pytest.approx((30.0 + 2.0) / 0.8, rel=1e-6)
    assert found.target_price is None  # a price is of what is sold, by the glass


def test_waste_garnish_tax_and_target() -> None:
    """5 % waste over gin and mint; 12.00 with 20 % tax is 10.00; a fifth of the price as target."""
    more = "vat_percent: 20\nwaste_percent: 5\npour_cost_target: 20\n"
    found = costed(drink("70 ml gin", "garnish: a mint leaf\nprice: 12\n"), more)
    total = (2.10 + 0.02) * 1.05
    assert found.total == pytest.approx(total)
    assert found.waste == pytest.approx(0.106)
    assert found.net_price == pytest.approx(10.0)
    assert found.margin == pytest.approx(10.0 - total)
    assert found.pour_cost_percent == pytest.approx(10 * total)
    assert found.target_price == pytest.approx(total / 0.2 * 1.2)


def test_what_has_no_price_is_named_and_the_rest_is_summed() -> None:
    """The known part counts, as a bound, and what is missing from it is told by name."""
    found = costed(drink("70 ml gin, 10 ml lime juice", "garnish: smoked quartz\nprice: 12\n"))
    assert found.unpriced == ("lime juice", "smoked quartz")
    assert found.total == pytest.approx(2.10)
    assert found.margin == pytest.approx(12.0 - 2.10)
    assert found.pour_cost_percent == pytest.approx(100 * 2.10 / 12.0)


def test_one_unpriced_pinch_does_not_hide_what_the_spirit_costs() -> None:
    """A pinch of salt in the infused gin has no price: the gin's share still counts."""
    files = {
        "stock.yaml": STOCK,
        "syrups/salted.md": "kind: syrup\nname: salted gin\nparts: [700 ml gin, 1 g salt]\n",
        "drinks/d.md": drink("70 ml salted gin"),
    }
    found = opened(files).computed["d"].cost
    assert found is not None
    assert found.total == pytest.approx(2.10, rel=0.01)
    assert found.unpriced == ("salt in salted gin",)
    assert (found.of, found.currency) == ("serve", "GBP")


def test_water_is_no_price_for_what_is_steeped_in_it() -> None:
    """A plant without a price in water from the tap is unpriced, not free."""
    water = (
        "kind: infusion\nname: rose water\nplant: rose\ninto: still water\n"
        "dose: 10 g per litre\ntime: 100 min\n"
    )
    files = {
        "stock.yaml": STOCK,
        "infusions/rose-water.md": water,
        "drinks/d.md": drink("70 ml gin, 30 ml rose water"),
    }
    found = opened(files).computed["d"].cost
    assert found is not None
    assert found.unpriced == ("rose water",)


def test_no_prices_no_cost() -> None:
    """A house that does not count pays for nothing on paper."""
    assert opened({"drinks/d.md": drink("70 ml gin")}).computed["d"].cost is None


def test_a_price_needs_a_currency() -> None:
    """Without one the house is refused, with the line to add."""
    text = house().replace("currency: GBP\n", "")
    with pytest.raises(AuthorError, match="currency") as told:
        opened({"stock.yaml": STOCK}, text)
    (mistake,) = told.value.mistakes
    assert (mistake.kind, mistake.place.line) == ("missing-key", 1)


@pytest.mark.parametrize("line", ["gin: {price: -3}", "gin: {price: a lot}", "gin: {pack: -1 l}"])
def test_impossible_prices_and_packs_are_told_with_their_line(line: str) -> None:
    """Nothing costs less than nothing."""
    with pytest.raises(AuthorError) as told:
        opened({"stock.yaml": f"# prices\n{line}\n"})
    (mistake,) = told.value.mistakes
    assert mistake.place.line == 2
    assert mistake.mend


@pytest.mark.parametrize(
    ("dose", "strained", "line"),
    [
        ("8 g per litre", "strained: -10 %\n", 8),
        ("8 g per litre", "strained: 0 %\n", 8),
        ("400 g per litre", "", 6),  # petals that drink up all of it
    ],
)
def test_a_yield_below_or_at_nothing_is_told(dose: str, strained: str, line: int) -> None:
    """An infusion that gives nothing is a mistake in the writing."""
    text = (
        f"kind: infusion\nname: x\nplant: rose\ninto: gin\ndose: {dose}\ntime: 100 min\n{strained}"
    )
    with pytest.raises(AuthorError) as told:
        opened({"infusions/x.md": text})
    (mistake,) = [one for one in told.value.mistakes if one.severity == "error"]
    assert mistake.place.line == line
    assert mistake.mend


def test_sums_refuse_nonsense() -> None:
    """No price and no target give no figure."""
    for refused in (
        lambda: cost.pour_cost_percent(1.0, 0.0),
        lambda: cost.price_for(1.0, 0.0, 20.0),
    ):
        with pytest.raises(ValueError, match=r"\w+"):
            refused()
