"""The pH engine: physical laws on random liquids, and PHREEQC as an outside reference."""

from __future__ import annotations

import numpy as np
import pytest
from anthocard.facts.chemistry.acids import acid, water_pk
from anthocard.facts.chemistry.activity import electrode_offset
from anthocard.facts.chemistry.alcohol import spirit
from anthocard.facts.chemistry.equilibrium import (
    PhReading,
    infer_strong_ions,
    limits,
    measure_ph,
    shares,
)
from anthocard.facts.chemistry.liquid import ACIDS, Liquid
from anthocard.facts.chemistry.speciation import Constants
from hypothesis import given, settings, strategies as st

from tests.facts import laboratory

amount = st.floats(0.0, 60.0)
DRINK_ACIDS = (
    "citric",
    "malic",
    "tartaric",
    "phosphoric",
    "carbonic",
    "acetic",
    "lactic",
    "quinine",
)


@st.composite
def drinks(draw: st.DrawFn) -> Liquid:
    """A liquid of 100 g of water, up to 80 g of ethanol and any acids and salts of a drink."""
    parts = {f"{key}_mmol": draw(st.just(0.0) | amount) for key in DRINK_ACIDS}
    return Liquid.of(
        water_g=100.0,
        ethanol_g=draw(st.floats(0.0, 80.0)),
        sugar_g=draw(amount),
        strong_cation_mmol=draw(amount),
        strong_anion_mmol=draw(st.just(0.0) | amount),
        **parts,
    )


temperatures = st.floats(-5.0, 50.0)


@given(drinks(), temperatures)
@settings(deadline=None, max_examples=60)
def test_charge_balance_closes(liquid: Liquid, temperature_c: float) -> None:
    """At the pH found, positive and negative charge are equal, written out term by term here."""
    reading = measure_ph(liquid, temperature_c)
    assert abs(laboratory.charge_imbalance(liquid, reading, temperature_c)) < 1e-8
    charge = (liquid["strong_cation_mmol"] - liquid["strong_anion_mmol"]) / 1000.0
    for key in DRINK_ACIDS:
        each = shares(liquid, reading, key, temperature_c)
        assert each.sum() == pytest.approx(1.0, abs=1e-12)
        mean = each @ (acid(key).charge - np.arange(each.size))
        charge = charge + mean * liquid[f"{key}_mmol"] / 1000.0
    water = abs(float(charge)) / float(liquid.solvent_kg)
    assert -3.0 < float(reading.ph_star) < 15.0
    if 2.0 < reading.ph_star < 11.0:
        assert water < 0.03  # what H+ and OH- have to carry, at most 1e-2 over their gamma


@given(drinks(), drinks(), st.floats(0.01, 50.0))
@settings(deadline=None, max_examples=40)
def test_order_and_size_of_a_batch_change_no_ph(a: Liquid, b: Liquid, factor: float) -> None:
    """Pouring a into b, b into a, or a batch of both, gives one pH."""
    one, other, batch = a + b, b + a, (a + b) * factor
    assert measure_ph(other).ph == pytest.approx(measure_ph(one).ph, abs=1e-9)
    assert measure_ph(batch).ph == pytest.approx(measure_ph(one).ph, abs=1e-7)


@given(drinks(), st.sampled_from(["citric", "malic", "phosphoric", "acetic"]), st.floats(0.1, 20.0))
@settings(deadline=None, max_examples=40)
def test_strong_acid_lowers_ph_and_base_raises_it(liquid: Liquid, key: str, mmol: float) -> None:
    """Adding acid never raises the pH of an ordinary acid drink; adding base never lowers it."""
    before = float(measure_ph(liquid).ph)
    soured = liquid + Liquid.of(strong_anion_mmol=mmol)
    assert float(measure_ph(soured).ph) < before
    assert float(measure_ph(liquid + Liquid.of(strong_cation_mmol=mmol)).ph) > before
    # A weak acid added to a stronger acid can shield it a hair through ionic strength alone.
    assert float(measure_ph(liquid + Liquid.of(**{f"{key}_mmol": mmol})).ph) < before + 1e-6


@given(
    st.sampled_from(["citric", "malic", "tartaric", "acetic", "phosphoric"]), st.floats(0.1, 50.0)
)
@settings(deadline=None, max_examples=30)
def test_water_raises_an_acid_towards_7(key: str, mmol: float) -> None:
    """Diluting a plain acid raises its pH at every step and never past that of water."""
    water_g = np.geomspace(100.0, 1e7, 30)
    ph = measure_ph(Liquid.of(water_g=water_g, **{f"{key}_mmol": mmol})).ph
    assert np.all(np.diff(ph) > 0)
    assert ph[-1] < measure_ph(Liquid.of(water_g=1.0)).ph


@given(drinks(), st.floats(1.5, 10.0), temperatures)
@settings(deadline=None, max_examples=60)
def test_inferred_ions_give_the_ph_back(liquid: Liquid, ph: float, temperature_c: float) -> None:
    """What `infer_strong_ions` adds makes the meter, at the liquid's own ethanol, read that pH."""
    told = infer_strong_ions(liquid, ph, temperature_c)
    assert measure_ph(told, temperature_c).ph == pytest.approx(ph, abs=1e-6)
    added = told.amounts - liquid.amounts
    changed = np.flatnonzero(np.abs(added) > 0)
    assert changed.size <= 1
    assert np.all(added >= 0)


def test_a_batch_is_its_members() -> None:
    """5,000 liquids solved at once: each has the pH it has alone, whatever lies beside it."""
    rng = np.random.default_rng(5)
    parts = {
        f"{key}_mmol": rng.uniform(0, 5, (50, 100)) * (rng.random((50, 100)) < 0.4) for key in ACIDS
    }
    batch = Liquid.of(
        water_g=100.0, ethanol_g=rng.uniform(0, 40, (50, 100)),
        strong_cation_mmol=rng.uniform(0, 9, (50, 100)), **parts,
    )  # fmt: skip
    ph = measure_ph(batch, 5.0).ph
    assert ph.shape == (50, 100)
    for at in [(0, 0), (7, 31), (49, 99)]:
        assert measure_ph(Liquid(batch.amounts[at]), 5.0).ph == pytest.approx(ph[at], abs=1e-8)


def test_extremes_settle() -> None:
    """10,000 liquids far beyond any drink (to 3 mol/kg of each acid and salt, 75 % ethanol, -10 to
    60 °C) all find their pH, and their charges balance.
    """
    rng = np.random.default_rng(3)

    def some(odds: float) -> np.ndarray:
        return 10.0 ** rng.uniform(-4.0, 3.5, 10_000) * (rng.random(10_000) < odds)

    wild = Liquid.of(
        water_g=1000.0,
        ethanol_g=3.0 * some(0.5),
        strong_cation_mmol=some(0.6),
        strong_anion_mmol=some(0.6),
        **{f"{key}_mmol": some(0.3) for key in ACIDS},
    )
    temperature_c = rng.uniform(-10.0, 60.0, 10_000)
    reading = measure_ph(wild, temperature_c)
    assert np.all((reading.ph > -2.0) & (reading.ph < 16.5))
    assert np.max(np.abs(laboratory.charge_imbalance(wild, reading, temperature_c))) < 1e-6


def test_water_and_nothing() -> None:
    """Pure water reads half of pKw; an empty glass or dry sugar has no pH, and no warning."""
    assert measure_ph(Liquid.of(water_g=5.0)).ph == pytest.approx(water_pk() / 2, abs=1e-6)
    assert np.isnan(measure_ph(Liquid.of()).ph)
    some = measure_ph(Liquid.of(sugar_g=5.0, water_g=[0.0, 1.0]))
    assert np.isnan(some.ph[0])
    assert np.isnan(some.ionic_strength_mol_per_kg[0])
    assert np.isfinite(some.ph[1])
    untouched = infer_strong_ions(Liquid.of(), 3.0)
    assert not untouched.amounts.any()
    assert measure_ph(Liquid.of(water_g=np.ones((0, 3)))).ph.shape == (0, 3)


def test_strong_acid_by_hand() -> None:
    """0.01 mol/kg HCl: pH = 2 + A √0.01/(1+1.5 √0.01) = 2.044 (0.01 m HCl pa_H 2.04, memory)."""
    ph = measure_ph(Liquid.of(water_g=1000.0, strong_anion_mmol=10.0)).ph
    assert ph == pytest.approx(2.0 + 0.511 * 0.1 / 1.15, abs=1e-3)


def test_spirit_sour_published_figures() -> None:
    """60 ml of 40 % spirit, 22.5 ml lemon at pH 2.3, 22.5 ml syrup: 2.71, and 2.45 if ethanol did
    nothing; 40 g of melt 2.65 (computed with an independent program; ±0.03 for the lemon's acids).
    """
    lemon = infer_strong_ions(Liquid.of(water_g=21.55, citric_mmol=48.0 * 22.5 / 192.123), 2.3)
    sour = spirit(60.0, 40.0) + lemon + Liquid.of(water_g=13.8, sugar_g=13.8)
    assert measure_ph(sour).ph == pytest.approx(2.71, abs=0.03)
    in_water = Constants(
        ethanol_scale=0.0, electrode_shift=-electrode_offset(sour.ethanol_mass_fraction)
    )
    assert measure_ph(sour, constants=in_water).ph == pytest.approx(2.45, abs=0.04)
    assert measure_ph(sour + Liquid.of(water_g=40.0)).ph == pytest.approx(2.65, abs=0.03)


def test_constants_are_drawn_in_one_call() -> None:
    """A cloud of constants broadcasts: each draw equals its own scalar call, and works as named."""
    drink = spirit(60.0, 40.0) + Liquid.of(citric_mmol=5.0, strong_cation_mmol=1.0)
    scale, shift = np.array([0.5, 1.0, 1.5]), np.array([0.0, 0.05, -0.05])
    cloud = measure_ph(
        drink, 5.0, Constants(scale, electrode_shift=shift, pk_shift={"citric": shift})
    ).ph
    assert cloud.shape == (3,)
    for i in range(3):
        one = Constants(scale[i], electrode_shift=shift[i], pk_shift={"citric": shift[i]})
        assert measure_ph(drink, 5.0, one).ph == pytest.approx(cloud[i], abs=1e-9)
    moved = measure_ph(drink, 5.0, Constants(electrode_shift=0.1)).ph
    assert moved - measure_ph(drink, 5.0).ph == pytest.approx(0.1, abs=1e-9)
    # Half-neutralised acetic acid has pH = pK but for activity, so a shift of pK is one of pH.
    buffer = Liquid.of(water_g=1000.0, acetic_mmol=2.0, strong_cation_mmol=1.0)
    shifted = measure_ph(buffer, constants=Constants(pk_shift={"acetic": 0.2})).ph
    assert shifted - measure_ph(buffer).ph == pytest.approx(0.2, abs=0.02)


def test_limits_are_named() -> None:
    """An ordinary sour oversteps nothing; neat strong spirit, brine, thick syrup and frost do."""

    def names(liquid: Liquid, temperature_c: float = 5.0) -> list[tuple[str, str]]:
        ionic = measure_ph(liquid, temperature_c).ionic_strength_mol_per_kg
        found = limits(liquid, ionic, temperature_c)
        assert all(limit.words for limit in found)
        return [(limit.name, limit.verdict) for limit in found]

    sour = spirit(60.0, 40.0) + Liquid.of(water_g=40.0, citric_mmol=5.0)
    assert names(sour) == []
    assert names(spirit(50.0, 60.0)) == [("ethanol", "refuse")]
    brine = Liquid.of(water_g=100.0, strong_cation_mmol=200.0, strong_anion_mmol=200.0)
    assert names(brine) == [("ionic_strength", "refuse")]
    assert names(Liquid.of(water_g=30.0, sugar_g=70.0)) == [("sugar", "warn")]
    assert names(sour, -4.0) == [("cold", "warn")]
    assert names(sour, 60.0) == [("hot", "warn")]


def test_given_reading_needs_no_solving() -> None:
    """Shares at a stated pH: at pH = pK of a zero-strength solution half of acetic acid is left."""
    at_pk = PhReading(np.array(4.756), np.array(4.756), np.array(0.0))
    half = shares(Liquid.of(water_g=1.0), at_pk, "acetic")
    assert half == pytest.approx([0.5, 0.5], abs=1e-9)
    with pytest.raises(KeyError):
        shares(Liquid.of(water_g=1.0), at_pk, "nitric")
