"""Windows, ±, light and wishes in words."""

from __future__ import annotations

from dataclasses import replace

import pytest
from anthocard.engine.findings import Window
from anthocard.engine.results import Computed
from anthocard.press.base.number_text import EN
from anthocard.press.data.recipe_json import as_json
from anthocard.press.words import confidence as sure
from anthocard.press.words.card import make_card

from tests.engine.opened import Opened, opened
from tests.engine.test_calibration import FILES
from tests.engine.test_uncertainty import HOUSE, MEASURED


@pytest.fixture(scope="module")
def bar() -> Opened:
    """A drink with readings, a wish and a warm lamp."""
    files = dict(FILES)
    files["drinks/d.md"] = files["drinks/d.md"].replace("amount: 15 ml", "until: pH 3.2")
    return opened(files, HOUSE + MEASURED + "light: 2700\n")


def test_everything_is_on_the_card(bar: Opened) -> None:
    """Window, ±, shades, our light, the wish and the readings reach the card as words."""
    card = make_card(bar.computed["d"], bar.collection.house)
    assert "colour is right" in card.window
    assert card.after is not None
    assert card.after.give.startswith("±0.")
    assert len(card.after.shades) == 3
    assert card.after.ours.startswith("#")
    assert card.light == "2700 K"
    assert "lemon juice until pH 3.2" in card.wishes[0].label
    rows = {row.label: row for row in card.figures}
    assert "±" in rows["pH"].after
    assert "±" in rows["Strength"].before
    assert rows["Sugar to acid"].after.endswith(": 1")
    assert card.measure_first.startswith("To be surer, measure ")
    infusion = make_card(bar.computed["g"], bar.collection.house)
    assert infusion.calibrations[0].before.startswith("× ")


@pytest.mark.parametrize(
    ("low", "high", "says"),
    [
        (4.0, 7.0, "5 ml; the colour is right at 4-7 ml"),
        (4.0, None, "5 ml; the colour is right from 4 ml on"),
        (4.0, 12.0, "5 ml; the colour is right from 4 ml on"),
        (0.0, None, ""),
    ],
)
def test_the_line_on_the_card(bar: Opened, low: float, high: float | None, says: str) -> None:
    """Dose and range in one breath; nothing where nothing can go wrong."""
    one = bar.computed["d"]
    assert one.reveal is not None
    window = Window(low, high, 2.0, 4.0, 1.0, 1.0, 0.5, narrow=False)
    last = replace(one.stages[-1], measure=replace(one.reveal, ml=5.0))
    shown = replace(one, window=window, stages=(last,))
    assert sure.window_line(shown, EN) == says


def test_the_json_has_it_too(bar: Opened) -> None:
    """The documented keys, whole for a drink and null or empty for what has none."""
    data, made = as_json(bar.computed["d"]), as_json(bar.computed["s"])
    assert data["window"]["low_ml"] < data["dialled"][0]["ml"]
    low, middle, high = data["uncertainty"]["after"]["ph"]
    assert low < middle < high
    assert set(data["seen_by"]) == {"normal", "protan", "deutan", "tritan"}
    assert data["in_our_light"]["after"]["hex"].startswith("#")
    assert (made["window"], made["dialled"]) == (None, [])
    low, middle, high = made["uncertainty"]["before"]["ph"]
    assert low < middle < high
    assert made["uncertainty"]["after"] is None
    assert as_json(bar.computed["g"])["calibrations"][0]["unit"] == "times"


def test_a_card_without_findings_stays_plain(bar: Opened) -> None:
    """What the engine did not find out is not invented."""
    bare: Computed = replace(
        bar.computed["d"], window=None, uncertainty_before=None, uncertainty_after=None, ours_before=None,
        ours_after=None, eyes=None, dialled=(), fits=(),
    )  # fmt: skip
    card = make_card(bare, bar.collection.house)
    assert (card.window, card.sureness, card.wishes, card.calibrations) == ("", (), (), ())
    assert card.before.shades == ()
