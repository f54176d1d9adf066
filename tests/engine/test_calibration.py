"""Calibrations: parameters put in are found again, readings are heeded, nonsense is refused."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest
from anthocard.diagnostics.diagnostic import AuthorError, MistakeLog
from anthocard.engine.compute import compute
from anthocard.engine.mix.calibration import check_ages
from anthocard.engine.mix.fitting import fit
from anthocard.facts.chemistry.alcohol import spirit, water_density_g_per_ml
from anthocard.facts.chemistry.liquid import Liquid
from anthocard.facts.chemistry.volume import volume_ml
from anthocard.facts.colour.colours import to_lab
from anthocard.facts.colour.optics import chords, transmittance_through
from anthocard.facts.colour.pigments import absorbance_per_cm, coloured
from anthocard.facts.colour.spectra import NM
from anthocard.house.readings import Calibration

from tests.engine.conftest import HOUSE, Computer
from tests.engine.opened import opened
from tests.engine.test_uncertainty import DRINK, FILES, GIN, WHITE_SYRUP

DAY = date(2026, 1, 1)
PLANTS = ["butterfly_pea", "red_cabbage", "purple_sweet_potato", "black_carrot"]
NANOMETRES = (430, 520, 550, 574, 618)


def infusion(plant: str, au_per_cm: float) -> Liquid:
    """One millilitre of a 40 % vol infusion."""
    return spirit(1.0, 40.0) + coloured(plant, au_per_cm)


def reading(
    plant: str, ph: float, strength: float, pk_shift: float, noise: np.random.Generator
) -> Calibration:
    """Absorbances of an infusion `strength` times the recipe's, diluted 5, with 1 % noise."""
    liquid = infusion(plant, 3.0 * strength) + Liquid.of(water_g=4.0 * water_density_g_per_ml())
    spectrum = absorbance_per_cm(liquid, volume_ml(liquid), ph, pk_shift)
    values = np.interp(NANOMETRES, NM, spectrum) * (1.0 + 0.01 * noise.standard_normal(5))
    return Calibration(
        of="x", measured=DAY, ph=ph, diluted=5.0,
        absorbances=dict(zip(NANOMETRES, np.maximum(values, 0.0).tolist(), strict=True)),
    )  # fmt: skip


@pytest.mark.parametrize("plant", PLANTS)
@pytest.mark.parametrize(("strength", "pk_shift"), [(0.6, 0.3), (1.7, -0.25), (3.0, 0.0)])
def test_strength_and_pk_are_found_again(plant: str, strength: float, pk_shift: float) -> None:
    """From three pH with noise: strength within 5 %, pK within 0.1."""
    noise = np.random.default_rng(7)
    rows = [reading(plant, ph, strength, pk_shift, noise) for ph in (2.5, 4.0, 5.5)]
    found = fit(infusion(plant, 3.0), rows)
    assert found.knows_pk
    assert found.strength == pytest.approx(strength, rel=0.05)
    assert found.pk_shift == pytest.approx(pk_shift, abs=0.1)


def test_one_ph_says_nothing_of_pk() -> None:
    """A single pH fits the strength and leaves the pK where the table has it."""
    rows = [reading("red_cabbage", 5.0, 1.4, 0.0, np.random.default_rng(3))]
    found = fit(infusion("red_cabbage", 3.0), rows)
    assert not found.knows_pk
    assert abs(found.pk_shift) < 1e-3
    assert found.strength == pytest.approx(1.4, rel=0.05)


def test_a_photographed_swatch_tells_the_strength() -> None:
    """CIELAB through the sample tube, exact, gives the strength back within 5 %."""
    liquid = infusion("butterfly_pea", 3.0 * 1.5) + Liquid.of(
        water_g=9.0 * water_density_g_per_ml()
    )
    light = transmittance_through(absorbance_per_cm(liquid, volume_ml(liquid), 5.0), chords(40.0))
    lab = tuple(float(v) for v in to_lab(light))
    row = Calibration(of="x", measured=DAY, ph=5.0, diluted=10.0, lab=lab)  # type: ignore[arg-type]
    assert fit(infusion("butterfly_pea", 3.0), [row]).strength == pytest.approx(1.5, rel=0.05)


def test_the_ph_of_stock_is_heeded(computer: Computer) -> None:
    """A drink with measured lemon moves towards the meter's reading."""
    mild = HOUSE + "calibrations: [{of: lemon juice, ph: 2.7, measured: 2026-01-01}]\n"
    sharp = mild.replace("2.7", "2.1")
    before, after = computer(FILES, mild)["d"].after, computer(FILES, sharp)["d"].after
    assert before is not None
    assert after is not None
    assert before.ph > after.ph + 0.1


def test_the_latest_reading_stands(computer: Computer) -> None:
    """Of two readings of one juice the later is used, in whatever order they are written."""
    rows = (
        "calibrations:\n  - {of: lemon juice, ph: 2.2, measured: 2026-02-01}\n"
        "  - {of: lemon juice, ph: 2.6, measured: 2026-01-01}\n"
    )
    only = "calibrations: [{of: lemon juice, ph: 2.2, measured: 2026-02-01}]\n"
    two, one = computer(FILES, HOUSE + rows)["d"].after, computer(FILES, HOUSE + only)["d"].after
    assert two is not None
    assert one is not None
    assert two.ph == one.ph


SERIES = """\
  - {of: blue gin, ph: 5, diluted: 5, absorbances: {574: 0.3, 618: 0.3}, measured: 2026-01-01}
  - {of: blue gin, ph: 3, diluted: 5, absorbances: {545: 0.3, 618: 0.12}, measured: 2026-01-01}
"""
ROW = "  - {{of: {}, measured: 2026-{}}}\n"


def kinds(rows: str) -> list[str]:
    """What is told of readings, beside that they are old."""
    found = opened(FILES, f"{HOUSE}calibrations:\n{rows}").warnings
    told = {"backdated-reading", "readings-at-odds", "far-reading"}
    return [one.kind for one in found if one.kind in told]


def lemon(*readings: tuple[float, str]) -> str:
    return "".join(ROW.format(f"lemon juice, ph: {ph}", day) for ph, day in readings)


@pytest.mark.parametrize("later", [2.2, 2.6])
def test_the_last_line_of_a_day_stands(later: float, computer: Computer) -> None:
    """A reading that corrects one of the same day is the one that counts, whichever is lower."""
    rows = f"{HOUSE}calibrations:\n{lemon((2.4, '01-01'), (later, '01-01'))}"
    alone = f"{HOUSE}calibrations:\n{lemon((later, '01-01'))}"
    two, one = computer(FILES, rows)["d"].after, computer(FILES, alone)["d"].after
    assert two is not None
    assert one is not None
    assert two.ph == one.ph


def test_the_last_of_two_yields_stands(computer: Computer) -> None:
    """So it is with what came through the strainer, also where one row holds a pH as well."""
    rows = ROW.format("blue gin, strained: 80 %, ph: 5", "01-01")
    rows += ROW.format("blue gin, strained: 90 %", "01-01")
    files = {"infusions/g.md": GIN + "batch: 1 l\n"}
    one = computer(files, f"{HOUSE}calibrations:\n{rows}")["g"]
    assert one.before.volume_ml == pytest.approx(900.0, rel=0.01)
    assert [fit.measured for fit in one.fits if fit.unit == "pH"] == [5.0]


def test_a_colour_series_is_corrected_line_by_line(computer: Computer) -> None:
    """On one day a later line replaces that of its own pH; a later day replaces the series."""

    def strength(rows: str) -> float:
        fits = computer(FILES, f"{HOUSE}calibrations:\n{rows}")["g"].fits
        return next(one.fitted for one in fits if one.unit == "times")

    new = SERIES.splitlines(keepends=True)[0].replace("0.3", "0.2")
    second = SERIES.splitlines(keepends=True)[1]
    assert strength(SERIES + new) == strength(second + new)
    later = new.replace("2026-01-01", "2026-02-01")
    assert strength(SERIES + later) == strength(later)
    assert strength(later + SERIES) == strength(later)


def test_a_drink_is_held_against_its_last_reading(computer: Computer) -> None:
    """Of two meter readings of one state one is shown; the other state keeps its own."""
    rows = "".join(
        ROW.format(words, "01-01")
        for words in (
            "d, when: after, ph: 2.9", "d, when: before, ph: 6", "d, when: after, ph: 3.0"
        )
    )  # fmt: skip
    fits = computer(FILES, f"{HOUSE}calibrations:\n{rows}")["d"].fits
    assert sorted((one.what, one.measured) for one in fits) == [
        ("pH after", 3.0), ("pH before", 6.0)
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("rows", "told"),
    [
        (lemon((2.3, "01-01")), []),
        (lemon((2.3, "01-01"), (2.45, "01-02")), []),
        (lemon((2.3, "01-01"), (2.46, "01-02")), ["readings-at-odds"]),
        (lemon((2.46, "01-01"), (2.3, "01-01")), ["readings-at-odds"]),
        (lemon((2.3, "01-01"), (2.46, "03-01")), []),  # another month, another fruit
        (lemon((2.3, "01-01"), (2.7, "01-02"), (2.35, "01-02")), []),  # two of three agree
        (lemon((2.3, "01-02"), (2.3, "01-01")), ["backdated-reading"]),
        (lemon((2.3, "01-01"), (2.3, "01-02")), []),
        (lemon((2.81, "01-01")), ["far-reading"]),
        (lemon((2.79, "01-01")), []),
        (SERIES, []),
        (SERIES.replace("0.3", "1.8").replace("0.12", "0.72"), ["far-reading"]),
        (
            SERIES + SERIES.replace("0.3", "0.5").replace("0.12", "0.2").replace("01-01", "01-05"),
            ["readings-at-odds"],
        ),
        (
            SERIES + SERIES.replace("0.3", "0.35").replace("0.12", "0.14").replace("-01}", "-05}"),
            [],
        ),
    ],
)
def test_readings_that_cannot_both_be_true_are_told(rows: str, told: list[str]) -> None:
    """Beyond 0.15 pH, 0.7-1.4 times the strength, or far from the tables; backdated ones too."""
    assert kinds(rows) == told


def test_a_solution_reads_what_the_meter_read(computer: Computer) -> None:
    """A measured solution has that pH, and tells what it was without it."""
    files = {
        "solutions/s.md": "kind: solution\nname: sharp\nparts: [6 g citric acid, 94 g water]\n"
    }
    house = HOUSE + "calibrations: [{of: sharp, ph: 1.9, measured: 2026-01-01}]\n"
    one = computer(files, house, at_c=20.0)["s"]
    assert one.before.ph == pytest.approx(1.9, abs=0.001)
    assert one.fits[0].measured == 1.9
    assert one.fits[0].table != pytest.approx(1.9, abs=0.01)


def test_yield_is_heeded(computer: Computer) -> None:
    """What came through the strainer is the batch."""
    house = HOUSE + "calibrations: [{of: blue gin, strained: 80 %, measured: 2026-01-01}]\n"
    files = {"infusions/g.md": GIN + "batch: 1 l\n"}
    assert computer(files, house)["g"].before.volume_ml == pytest.approx(800.0, rel=0.01)


def test_residuals_fall_and_are_told(computer: Computer) -> None:
    """A fit brings each reading nearer than the table had it, and says both."""
    house = HOUSE + (
        "calibrations:\n"
        "  - {of: blue gin, ph: 5, diluted: 5, absorbances: {574: 0.5, 618: 0.45},"
        " measured: 2026-01-01}\n"
    )
    fits = computer(FILES, house)["g"].fits
    assert [one.unit for one in fits] == ["times", "AU"]
    assert fits[1].fitted < 0.5 * fits[1].table


def test_a_drink_far_from_its_reading_is_told() -> None:
    """A meter's pH far outside the doubt is a warning that names what to measure."""
    house = HOUSE + "calibrations: [{of: d, ph: 4.5, when: after, measured: 2026-01-01}]\n"
    found = opened(FILES, house)
    assert "far-from-measured" in {mistake.kind for mistake in found.warnings}
    assert found.computed["d"].fits[0].measured == 4.5
    near = house.replace("4.5", "2.9")
    assert "far-from-measured" not in {mistake.kind for mistake in opened(FILES, near).warnings}


def test_old_readings_are_told_once() -> None:
    """Past its time every reading and measure is named in one warning; fresh ones in none."""
    house = HOUSE + "calibrations: [{of: lemon juice, ph: 2.3, measured: 2026-01-01}]\n"
    collection = opened(FILES, house).collection
    for today, kinds in (
        (date(2026, 1, 20), []),
        (date(2026, 3, 1), ["old-calibration"]),
        (date(2025, 12, 1), ["future-calibration", "future-calibration"]),
    ):
        log = MistakeLog()
        check_ages(collection, today, log)
        assert [mistake.kind for mistake in log] == kinds
        assert not log.errors


def test_today_ages_and_changes_nothing_else() -> None:
    """The same house on two days: other warnings, the same figures and editions."""
    collection = opened(FILES, HOUSE).collection
    one, _ = compute(collection, today=date(2026, 1, 2))
    other, warnings = compute(collection, today=date(2036, 1, 2))
    assert [c.edition for c in one.values()] == [c.edition for c in other.values()]
    assert "old-calibration" in {mistake.kind for mistake in warnings}


@pytest.mark.parametrize(
    ("row", "kind"),
    [
        ("of: lemon juice, ph: 0.1", "out-of-range"),
        ("of: blue gin, colour: blue", "wrong"),
        ("of: blue gin, absorbances: {250: 0.3}", "wrong"),
        ("of: blue gin, absorbances: {574: 9}", "wrong"),
        ("of: blue gin, lab: [140, 0, 0]", "wrong"),
        ("of: blue gin", "bad-calibration"),
        ('of: blue gin, colour: "#3344aa", lab: [30, 20, -50]', "bad-calibration"),
        ("of: nothing here, ph: 3", "unknown-calibration"),
        ("of: blue gin, ph: 5, absorbances: {574: 3.9}, diluted: 900", "bad-calibration"),
        ("of: white syrup, ph: 0.6", "bad-calibration"),
    ],
)
def test_what_no_house_can_have_measured(row: str, kind: str) -> None:
    """Outside the physical range a reading is a mistake, with its place in house.yaml."""
    house = HOUSE + f"calibrations: [{{{row}, measured: 2026-01-01}}]\n"
    files = {"infusions/g.md": GIN, "syrups/s.md": WHITE_SYRUP, "drinks/d.md": DRINK}
    with pytest.raises(AuthorError) as error:
        opened(files, house)
    told = error.value.mistakes[0]
    assert "house.yaml" in told.place.path
    assert kind not in ("bad-calibration", "unknown-calibration") or kind in {
        mistake.kind for mistake in error.value.mistakes
    }
