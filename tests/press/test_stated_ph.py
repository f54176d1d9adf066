"""What is told of a pH: a figure where one holds, a range where traces decide, nothing beyond the model."""

from __future__ import annotations

import pytest
from anthocard.engine.findings import Uncertainty
from anthocard.facts.chemistry.carbonation import open_water
from anthocard.facts.chemistry.equilibrium import measure_ph
from anthocard.press.base.number_text import EN, ph_text
from anthocard.press.data.recipe_json import as_json

from tests.engine.conftest import HOUSE
from tests.engine.opened import opened
from tests.score.outside import computed


def salt(grams: float, name: str) -> dict[str, str]:
    text = f"kind: solution\nname: s\nparts: [{grams} g {name}]\nmade_up_to: 1 l\n"
    return {"solutions/s.md": text}


@pytest.mark.parametrize("grams", [10.0, 29.4, 50.0])
def test_a_salt_without_free_acid_prints_a_range(grams: float) -> None:
    """Trisodium citrate reads anything from about 7.5 to 9.0 (suppliers' specifications at 1-5 %): a
    trace of alkali or acid, of which pharmacopoeias allow 0.2 %, decides.
    """
    one = computed(salt(grams, "trisodium citrate"), at_c=25.0)["s"].before
    assert isinstance(one.stated_ph, tuple)
    low, high = one.stated_ph
    assert 7.5 <= low <= 8.05
    assert 8.75 <= high <= 9.15
    assert ph_text(one.stated_ph) == f"{low:.1f}-{high:.1f}"


def test_with_free_acid_the_same_salt_has_a_ph() -> None:
    """A citrate buffer is weighed and has one figure, within 0.1."""
    text = "kind: solution\nname: s\nparts: [20 g trisodium citrate, 8 g citric acid]\nmade_up_to: 1 l\n"
    one = computed({"solutions/s.md": text})["s"]
    assert isinstance(one.before.stated_ph, float)
    assert one.uncertainty_before is not None
    assert one.uncertainty_before.ph.plus_minus < 0.1


@pytest.mark.parametrize(
    ("grams", "name", "beyond"),
    [
        (50.0, "trisodium citrate", False),
        (100.0, "trisodium citrate", True),
        (50.0, "tripotassium citrate", False),
        (70.0, "tripotassium citrate", True),  # above 1 mol/kg and below 1.5
        (60.0, "trisodium citrate", False),  # the same strength of sodium is told
    ],
)
def test_too_strong_a_salt_is_beyond_the_model_on_every_paper(
    grams: float, name: str, beyond: bool
) -> None:
    """Past 1.5 mol/kg, 1 of potassium citrate, no card, label, log, JSON or page tells a pH."""
    from anthocard.press.words.bottle_label import make_label
    from anthocard.press.words.card import make_card
    from anthocard.press.words.log_sheets import batch_log
    from anthocard.press.words.spec import figures

    house = opened(salt(grams, name))
    one = house.computed["s"]
    assert one.before.beyond is beyond
    card = make_card(one, house.collection.house)
    label = make_label(one, card, house.collection.house)
    told = (dict(batch_log(one, EN).targets)["pH"], figures(one, EN)[0].before, label.strength)
    assert all(("not known" in words) is beyond for words in told)
    assert (as_json(one)["liquid"]["ph"] is None) is beyond


def test_a_neutral_spirit_has_a_ph_with_an_honest_spread() -> None:
    """Neutral spirits read 6 to 7 and one vodka 7.64; what alkalinity they bring, 0.3 to 4 meq/l."""
    text = "kind: drink\nname: d\nglass: small glass\nmethod: built\nice: none\npours: [100 ml vodka]\n"
    one = computed({"drinks/d.md": text}, at_c=20.0)["d"]
    assert one.uncertainty_before is not None
    assert one.uncertainty_before.ph.p5 < 6.0
    assert one.uncertainty_before.ph.p95 > 7.64
    assert float(one.before.liquid["strong_cation_mmol"]) == pytest.approx(0.1, rel=0.01)


def test_water_in_the_air_is_sour_by_a_little() -> None:
    """Pure water in balance with 420 ppm of carbon dioxide reads 5.6 (textbooks, no source)."""
    assert measure_ph(open_water(1000.0), 20.0).ph == pytest.approx(5.62, abs=0.03)


MEASURED = {
    "ph": "calibrations:\n  - {of: lemon juice, ph: 2.3, measured: 2026-01-01}\n",
    "melt": "methods: {stirred: {dilution: 25 % of the start, measured: 2026-01-01}}\n",
}
DRINK = {
    "infusions/g.md": "kind: infusion\nname: blue gin\nplant: butterfly pea\ninto: gin\ndose: 3 g per litre\ntime: 12 h\n",
    "drinks/d.md": "kind: drink\nname: d\nglass: small glass\nmethod: stirred\npours: [50 ml blue gin]\nreveal: {pour: lemon juice, amount: 15 ml}\n",
}


def after(more: str = "") -> Uncertainty:
    found = computed(DRINK, house=HOUSE + more)["d"].uncertainty_after
    assert found is not None
    return found


def test_a_reading_narrows_only_what_was_read() -> None:
    """A juice's pH narrows the pH and leaves the strength as unsure as it was, and the other way round."""
    plain, ph, melt = (after(), after(MEASURED["ph"]), after(MEASURED["melt"]))
    assert ph.ph.plus_minus < plain.ph.plus_minus
    assert ph.abv_percent == plain.abv_percent
    assert melt.abv_percent.plus_minus < plain.abv_percent.plus_minus
    assert melt.ph.plus_minus > ph.ph.plus_minus


@pytest.mark.parametrize(("gin_ml", "kind"), [(15, "ethanol"), (90, "far-ethanol")])
def test_beyond_20_percent_vol_it_is_said_that_nobody_measured(gin_ml: int, kind: str) -> None:
    """The doubt of a strong drink names ethanol's effect as unmeasured; that of a weak one does not."""
    text = f"kind: drink\nname: d\nglass: tall glass\nmethod: built\nice: none\npours: [{gin_ml} ml gin, 60 ml acid]\n"
    acid = "kind: solution\nname: acid\nparts: [20 g citric acid, 12 g trisodium citrate]\nmade_up_to: 1 l\n"
    found = computed({"drinks/d.md": text, "solutions/a.md": acid})["d"].uncertainty_before
    assert found is not None
    assert not {"ethanol", "far-ethanol"} - {kind} & {one.kind for one in found.ph_by}
    assert ("not measured above 20 % vol" in " ".join(one.words for one in found.ph_by)) == (
        "far-ethanol" in {one.kind for one in found.ph_by}
    )
    if kind == "far-ethanol":
        assert kind in {one.kind for one in found.ph_by}
