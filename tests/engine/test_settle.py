"""Wishes in front-matter: settled before the drink is worked out, on every paper as amounts."""

from __future__ import annotations

import pytest
from anthocard.diagnostics.diagnostic import AuthorError
from anthocard.house.model import Drink

from tests.engine.conftest import Computer
from tests.engine.opened import opened
from tests.engine.test_uncertainty import GIN, WHITE_SYRUP

BUFFER = "kind: solution\nname: hold\nparts: [12 g trisodium citrate]\nmade_up_to: 100 ml\n"
ACID = "kind: solution\nname: sharp\nparts: [55 g citric acid]\nmade_up_to: 1 l\n"
MADE = {
    "infusions/g.md": GIN, "syrups/s.md": WHITE_SYRUP,
    "solutions/h.md": BUFFER, "solutions/a.md": ACID,
}  # fmt: skip


def drink(pours: str, reveal: str) -> dict[str, str]:
    return MADE | {
        "drinks/d.md": "kind: drink\nname: d\nglass: small glass\nmethod: stirred\n"
        f"pours: [{pours}]\nreveal: {{pour: sharp, {reveal}}}\n"
    }


def test_two_wishes_at_once(computer: Computer) -> None:
    """Buffer for the colour before, acid for the colour after: both are met together."""
    files = drink("50 ml blue gin, 10 ml fino sherry, hold until pH 5.5", "until: pH 3.2")
    one = computer(files)["d"]
    assert one.after is not None
    assert one.before.ph == pytest.approx(5.5, abs=0.1)
    assert one.after.ph == pytest.approx(3.2, abs=0.06)
    assert [found.name for found in one.dialled] == ["hold", "sharp"]
    for found in one.dialled:
        assert found.exact_ph == pytest.approx(found.wish.value, abs=0.01)


def test_the_amount_is_that_of_every_paper(computer: Computer) -> None:
    """A settled recipe is one written with that amount: same figures, same curve."""
    wished = computer(drink("50 ml blue gin, 10 ml white syrup", "until: pH 3"))["d"]
    assert isinstance(wished.recipe, Drink)
    assert wished.recipe.reveal is not None
    assert wished.recipe.reveal.amount is not None
    assert wished.reveal is not None
    dose = f"amount: {wished.recipe.reveal.amount.text}"
    written = computer(drink("50 ml blue gin, 10 ml white syrup", dose))["d"]
    assert wished.reveal == written.reveal
    assert wished.after is not None
    assert written.after is not None
    assert wished.after.ph == written.after.ph


def test_a_trade_off_is_a_warning() -> None:
    """A bound that binds does not stop a publish; it is told."""
    files = drink("50 ml blue gin", "until: pH 2.5 with acidity 2-4 g/l")
    assert "trade-off" in {mistake.kind for mistake in opened(files).warnings}


@pytest.mark.parametrize(
    ("pours", "reveal", "kind"),
    [
        ("50 ml blue gin", "until: green", "unreachable"),
        ("50 ml blue gin", "until: pH 1", "bad-wish-or-unreachable"),
        ("50 ml blue gin, hold until pH 5, sharp until pH 5", "amount: 5 ml", "two-wishes"),
        ("50 ml blue gin, mint leaf until pH 4", "amount: 5 ml", "dry-wish"),
        ("50 ml blue gin, hodl until pH 5", "amount: 5 ml", "unknown-ingredient"),
        ("50 ml blue gin, hold until pH 5 while pH stays ≥ 6", "amount: 5 ml", "contradiction"),
    ],
)
def test_what_cannot_be_settled_stops_the_publish(pours: str, reveal: str, kind: str) -> None:
    """Colours no dose reaches, two wishes for one pH, leaves, misspelt names, contradictions."""
    with pytest.raises(AuthorError) as error:
        opened(drink(pours, reveal))
    kinds = {mistake.kind for mistake in error.value.mistakes}
    assert kinds & ({"bad-wish", "unreachable"} if "or" in kind.split("-") else {kind})
