"""How sure a drink is: the cloud is fixed, honest about what is measured, and quick."""

from __future__ import annotations

import time
from typing import Any

import numpy as np
import pytest
from anthocard.engine.findings import Uncertainty
from anthocard.engine.together import alone
from anthocard.engine.trust import lattice, measured as sureness, uncertainty
from anthocard.engine.trust.uncertainty import uncertainties

from tests.engine.conftest import HOUSE, Computer

GIN = """\
kind: infusion
name: blue gin
plant: butterfly pea
into: gin
dose: 3 g per litre
time: 12 h
"""
DRINK = """\
kind: drink
name: d
glass: small glass
method: stirred
pours: [50 ml blue gin, 15 ml white syrup]
reveal: {pour: lemon juice, amount: 15 ml}
"""
WHITE_SYRUP = """\
kind: syrup
name: white syrup
parts: [100 g sucrose, 100 g still water]
"""
FILES = {"infusions/g.md": GIN, "syrups/s.md": WHITE_SYRUP, "drinks/d.md": DRINK}
MEASURED = """\
calibrations:
  - {of: lemon juice, ph: 2.3, measured: 2026-01-01}
  - {of: blue gin, ph: 5, diluted: 5, absorbances: {574: 0.3, 618: 0.3}, measured: 2026-01-01}
  - {of: blue gin, ph: 3, diluted: 5, absorbances: {545: 0.3, 618: 0.12}, measured: 2026-01-01}
methods: {stirred: {dilution: 45 % of the start, weighings: 3, measured: 2026-01-01}}
"""


def both(computer: Computer, house: str = HOUSE) -> tuple[Uncertainty, Uncertainty]:
    one = computer(FILES, house)["d"]
    assert one.uncertainty_before is not None
    assert one.uncertainty_after is not None
    return one.uncertainty_before, one.uncertainty_after


def test_the_same_drink_has_the_same_cloud(computer: Computer) -> None:
    """A card never changes by chance."""
    assert both(computer) == both(computer)


def test_the_figures_lie_inside_their_spread(computer: Computer) -> None:
    """The drink as worked out is an ordinary drink of its own cloud."""
    one = computer(FILES)["d"]
    for state, doubt in ((one.before, one.uncertainty_before), (one.after, one.uncertainty_after)):
        assert state is not None
        assert doubt is not None
        assert doubt.ph.p5 < state.ph < doubt.ph.p95
        assert doubt.abv_percent.p5 < state.abv_percent < doubt.abv_percent.p95
        for spread, value in zip(doubt.lab, state.colour.lab, strict=True):
            assert spread.p5 < value < spread.p95
        lights = [shade.lab[0] for shade in doubt.strip]
        assert lights[0] <= lights[2]  # the darker end first


def test_a_sour_drink_on_defaults_is_within_what_is_claimed(computer: Computer) -> None:
    """±0.3 (95 %) on defaults after the acid: two standard deviations of the cloud are no more."""
    _, after = both(computer)
    two_sd = after.ph.plus_minus * 2.0 / 1.645
    assert 0.05 < two_sd < 0.3


def test_measuring_narrows(computer: Computer) -> None:
    """A pH, a strength, a pK and a dilution of the house's own make every figure surer."""
    before, after = both(computer)
    sure_before, sure_after = both(computer, HOUSE + MEASURED)
    assert sure_after.ph.plus_minus < after.ph.plus_minus
    assert sure_after.delta_e00 < 0.7 * after.delta_e00
    assert sure_before.abv_percent.plus_minus < 0.6 * before.abv_percent.plus_minus


def test_what_dominates_is_named(computer: Computer) -> None:
    """Colour hangs on the infusion's strength until it is measured, and never afterwards."""
    _, after = both(computer)
    assert after.colour_by[0].words == "the strength of blue gin"
    assert any(one.of == "lemon juice" for one in after.ph_by)
    assert all(0.05 <= one.share <= 1.0 for one in (*after.ph_by, *after.colour_by))
    _, sure = both(computer, HOUSE + MEASURED)
    assert (sure.colour_by[0].kind, sure.colour_by[0].of) != ("strength", "blue gin")


def test_water_knows_no_ethanol(computer: Computer) -> None:
    """Without alcohol there is no % vol to doubt and no electrode in ethanol."""
    files = {
        "infusions/g.md": GIN.replace("into: gin", "into: still water"),
        "syrups/s.md": WHITE_SYRUP,
        "drinks/d.md": DRINK,
    }
    doubt = computer(files)["d"].uncertainty_after
    assert doubt is not None
    assert doubt.abv_percent.p95 == 0.0
    assert not any(one.kind in ("ethanol", "electrode") for one in doubt.ph_by)


@pytest.fixture
def asked(computer: Computer, monkeypatch: pytest.MonkeyPatch) -> tuple[Any, ...]:
    """What the cloud of the drink is made from."""
    calls: list[tuple[Any, ...]] = []

    def listen(*args: Any) -> object:
        calls.append(args)
        return uncertainties(*args)

    monkeypatch.setattr(sureness, "uncertainties", listen)
    computer(FILES)
    return calls[0]


def test_a_cloud_in_fifty_milliseconds(asked: tuple[Any, ...]) -> None:
    """Once warm a cloud, before and after, costs under 50 ms of processor time."""
    spent = []
    for _ in range(7):
        start = time.process_time()
        alone(uncertainties(*asked))
        spent.append(time.process_time() - start)
    assert min(spent) < 0.05


def test_a_lattice_tells_what_a_hundred_thousand_draws_by_chance_tell(
    asked: tuple[Any, ...], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The 5th and 95th percentile within 0.05 of a standard deviation, rms over pH, % vol and Lab
    before and after; a thousand draws in mirrored pairs were out by 0.063."""
    ours = figures(alone(uncertainties(*asked)))
    chance, count = np.random.default_rng(8), 100_000

    def by_chance(draws: lattice.Draws, kind: Any, of: str, sd: float, unit: str = "") -> Any:
        draws.inputs.append((kind, of, unit))
        draws.columns.append(chance.standard_normal(draws.count))
        return sd * draws.columns[-1]

    monkeypatch.setattr(lattice.Draws, "normal", by_chance)
    monkeypatch.setitem(uncertainty._table("draws")["cloud"], "count", count)
    theirs = figures(alone(uncertainties(*asked)))
    sd = (theirs[:, 2] - theirs[:, 0]) / (2 * 1.645)
    off = (ours - theirs) / sd[:, np.newaxis]
    assert len(off) == 10
    assert float(np.sqrt((off[:, [0, 2]] ** 2).mean())) <= 0.05
    assert float(np.abs(off[:, 1]).max()) <= 0.05


def figures(both: tuple[Uncertainty, Uncertainty | None]) -> Any:
    """(n, 3): p5, p50 and p95 of each figure."""
    spreads = [s for one in both if one for s in (one.ph, one.abv_percent, *one.lab)]
    return np.array([(s.p5, s.p50, s.p95) for s in spreads])


def test_what_the_house_makes_is_doubted_too(computer: Computer) -> None:
    """An infusion and a syrup carry their ±; a reading of the infusion narrows its colour."""
    plain, read = computer(FILES), computer(FILES, HOUSE + MEASURED)
    for slug in ("g", "s"):
        doubt = plain[slug].uncertainty_before
        assert doubt is not None
        assert doubt.ph.p5 < plain[slug].before.ph < doubt.ph.p95
        assert plain[slug].uncertainty_after is None
    first, second = plain["g"].uncertainty_before, read["g"].uncertainty_before
    assert first is not None
    assert second is not None
    assert second.delta_e00 < first.delta_e00


@pytest.mark.parametrize("grams", [1, 3, 10, 20])
def test_butterfly_pea_in_water_may_read_five(computer: Computer, grams: int) -> None:
    """p5 to p95 of its pH holds 5.0, what petals in pure water gave (an instrument maker's
    application note, 2025).
    """
    made = GIN.replace("into: gin", "into: still water").replace("3 g per", f"{grams} g per")
    doubt = computer({"infusions/g.md": made})["g"].uncertainty_before
    assert doubt is not None
    assert doubt.ph.p5 < 5.0 < doubt.ph.p95


def test_what_ethanol_does_to_the_colour_is_told(computer: Computer) -> None:
    """The lift of butterfly pea's pK by ethanol is a guess: once strength is measured and pK is
    not, it is among what a turned drink's colour hangs on; in water it is not.
    """
    reading = (
        "calibrations: [{of: blue gin, ph: 3, diluted: 5, absorbances: {545: 0.25}, "
        "measured: 2026-01-01}]\n"
    )
    told = both(computer, HOUSE + reading)[1]
    words = "what ethanol does to the colour of butterfly pea"
    assert words in [one.words for one in told.colour_by]
    water = {"infusions/g.md": GIN.replace("into: gin", "into: still water")}
    dry = computer(water)["g"].uncertainty_before
    assert dry is not None
    assert words not in [one.words for one in dry.colour_by]
