"""A turn that is none is told as none, and how a drink is worked is never told as its opposite."""

from __future__ import annotations

from typing import get_args

import pytest
from anthocard.diagnostics.tables import read_table
from anthocard.engine.mix.chill import how_worked
from anthocard.engine.trust.turning import turns
from anthocard.house.ice import Ice, Method
from anthocard.house.model import Drink

from tests.engine.opened import drink, opened

PEA = {
    "infusions/pea.md": "kind: infusion\nname: pea gin\nplant: butterfly pea\ninto: gin\n"
    "dose: 8 g per litre\ntime: 100 min\n"
}


def poured(reveal: str, more: str = "") -> dict[str, str]:
    text = drink("40 ml pea gin, 60 ml still water", f"reveal: {{{reveal}}}\n{more}")
    return {**PEA, "drinks/d.md": text}


def test_a_pour_that_nobody_sees_is_a_warning_of_its_own_and_the_first() -> None:
    """A drop of water turns nothing: told before every other warning, and not as anybody's eyes."""
    there = opened(poured("pour: still water, amount: 1 ml"))
    one = there.computed["d"]
    assert one.delta_e00 is not None
    assert one.delta_e00 < 5
    assert not turns(one)
    assert one.warnings[0].kind == "no-turn"
    assert "unseen-turn" not in {warning.kind for warning in one.warnings}
    assert "steady: true" in one.warnings[0].mend


def test_nothing_is_said_where_nothing_is_meant_to_happen() -> None:
    """`steady: true` is the recipe's own word that the pour turns nothing."""
    there = opened(poured("pour: still water, amount: 1 ml", "steady: true\n"))
    assert "no-turn" not in {warning.kind for warning in there.computed["d"].warnings}


def test_a_turn_is_a_turn() -> None:
    """Lemon turns it, and nothing is warned of."""
    there = opened(poured("pour: lemon juice, amount: 15 ml"))
    assert turns(there.computed["d"])
    assert "no-turn" not in {warning.kind for warning in there.computed["d"].warnings}


def test_every_method_and_ice_has_its_row() -> None:
    """What an author may write and what the table knows are the same words."""
    table = read_table("anthocard.engine.mix", "methods.yaml")
    assert set(get_args(Method)) == set(table["methods"])
    assert set(get_args(Ice)) == set(table["ices"])


@pytest.mark.parametrize("method", get_args(Method))
def test_what_is_worked_with_ice_is_never_told_as_without(method: str) -> None:
    """Shaken and strained is “shaken with ice, served up”; “no ice” only where there was none."""
    row = read_table("anthocard.engine.mix", "methods.yaml")["methods"][method]
    one = Drink.model_validate(
        {"name": "x", "glass": "y", "method": method, "pours": [{"amount": "50 ml", "of": "gin"}]},
        strict=False,
    )
    worked, served = how_worked(one)
    assert ("with ice" in worked) is row["iced"]
    assert served == ("served up" if row["iced"] else "no ice")


def test_a_second_shake_chills_and_a_dry_one_alone_does_not() -> None:
    """Dry-shaken then shaken is as cold and diluted as shaken; dry-shaken alone melts nothing."""

    def melt(method: str) -> float:
        text = drink("50 ml gin, 25 ml lemon juice").replace("method: built", f"method: {method}")
        return opened({"drinks/d.md": text}).computed["d"].melt_ml

    assert melt("dry-shaken then shaken") == pytest.approx(melt("shaken"))
    assert melt("shaken") > 10
    assert melt("dry-shaken") == 0
