"""The wall chart: every plant, from the same engine."""

from __future__ import annotations

from anthocard.engine.trade.wallchart import plates, steps
from anthocard.facts.chemistry.liquid import PLANTS
from anthocard.facts.colour.colours import decode, delta_e_2000, lab_of_linear, srgb_of_hex


def test_every_plant_at_every_ph() -> None:
    """All plants of the tables, three doses in water and one in spirit, a colour at each step."""
    chart = plates()
    assert [plate.key for plate in chart] == list(PLANTS)
    for plate in chart:
        assert [band.dose for band in plate.bands] == ["pale", "usual", "strong", "usual"]
        for band in plate.bands:
            assert len(band.hexes) == len(band.names) == len(band.in_gamut) == steps().size


def test_butterfly_pea_turns_and_saffron_stays() -> None:
    """What turns turns and what stays stays, end to end of the chart."""
    spread = {
        plate.key: float(delta_e_2000(*(
            lab_of_linear(decode(srgb_of_hex(plate.bands[1].hexes[i]))) for i in (0, -1)
        )))
        for plate in plates()
    }  # fmt: skip
    assert spread["butterfly_pea"] > 20.0
    assert spread["red_cabbage"] > 20.0
    assert spread["saffron"] < 2.0


def test_a_stronger_dose_is_darker() -> None:
    """Down the rows of a plant the colour only darkens."""
    for plate in plates():
        light = [lab_of_linear(decode(srgb_of_hex(band.hexes[2])))[0] for band in plate.bands[:3]]
        assert light[0] > light[1] > light[2]
