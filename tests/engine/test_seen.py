"""How drinks look from the side and from above, held against what bars say of them."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest
import yaml
from anthocard.diagnostics.diagnostic import MistakeLog
from anthocard.engine.compute import compute, state
from anthocard.engine.mix import appearance as look
from anthocard.engine.mix.shelf import Shelf
from anthocard.engine.optics import rays
from anthocard.engine.optics.camera import camera, view
from anthocard.engine.optics.scene import Filling, make_scene
from anthocard.engine.optics.sight import VIEWS, Sight
from anthocard.engine.results import Seen
from anthocard.engine.together import alone
from anthocard.facts.chemistry.liquid import Liquid
from anthocard.facts.colour.colours import delta_e_2000, lch_of_lab, to_lab
from anthocard.facts.colour.pigments import absorbance_per_cm
from anthocard.house.reader import read_house

HERE = Path(__file__).parent
ANCHORS = yaml.safe_load((HERE / "seen_checks.yaml").read_text(encoding="utf-8"))["anchors"]
BOUNDS = yaml.safe_load((HERE.parent / "press" / "picture_bounds.yaml").read_text("utf-8"))


@pytest.fixture(scope="module")
def demo() -> Any:
    """The demo house: its collection, its figures by name, its shelf."""
    collection = read_house(HERE.parents[1] / "recipes")
    figures, _ = compute(collection)
    shelf = Shelf(collection, MistakeLog())
    shelf.fill()
    return collection, {one.name: one for one in figures.values()}, shelf


def _seen(demo: Any, made: dict[str, Any]) -> Seen:
    collection, figures, shelf = demo
    if "infusion" in made:
        return figures[made["infusion"]].before.seen
    if "drink" in made:
        one = figures[made["drink"]]
        return (one.before if made["when"] == "before" else one.after).seen
    if "poured" in made:
        one = figures[made["poured"]]
        acid = made["ml"] * 1.0
        # 6 % w/v of citric acid in water: 60 g/l.
        poured = Liquid.of(water_g=0.96 * acid, citric_mmol=acid * 60.0 / 192.12)
        liquid, sight = one.before.liquid + poured, look.sight_of(one.recipe, collection.house)
        return alone(state(liquid, 5.0, sight)).seen
    first, second = made["ml"]
    other = (
        Liquid.of(water_g=float(second))
        if made["of"] == "water"
        else shelf[made["of"]].per_ml * second
    )
    base = shelf[made["over"]]
    sight = Sight(collection.house.glasses[made["glass"]])
    return alone(state(base.per_ml * first + other, 5.0, sight, base.pk_shift)).seen


@pytest.mark.parametrize("name", ANCHORS)
def test_it_looks_as_bars_say(demo: Any, name: str) -> None:
    """Inside the bounds that were written down first; common practice, no source."""
    row = ANCHORS[name]
    seen = _seen(demo, row["made"])
    lightness, chroma, hue = lch_of_lab((seen.side if row["view"] == "side" else seen.above).lab)
    assert row.get("lightness", [0, 100])[0] <= lightness <= row.get("lightness", [0, 100])[1]
    assert row.get("chroma", [0, 999])[0] <= chroma <= row.get("chroma", [0, 999])[1]
    if "hue" in row:
        low, high = row["hue"]
        assert (hue - low) % 360 <= (high - low) % 360


def test_a_colour_is_that_from_the_side(demo: Any) -> None:
    """What a card prints is the body of the drink, of every recipe of the house."""
    for one in demo[1].values():
        for stands in (one.before, one.after):
            if stands is not None:
                assert stands.colour == stands.seen.side
                assert stands.seen.side_mm > 0
                assert stands.seen.above_mm > 0


def test_a_colour_is_that_of_a_trace_at_its_own_level(demo: Any) -> None:
    """Every drink of the demo, before and after, both views: the table of ways, which knows levels
    a twentieth apart, few rays and few shares of light, against three times as many rays followed
    to their end at the very level the drink stands at.
    """
    collection, figures, _ = demo
    found = {}
    for one in (one for one in figures.values() if one.is_drink):
        sight = look.sight_of(one.recipe, collection.house)
        for stands in filter(None, (one.before, one.after)):
            for which in VIEWS:
                seen = stands.seen.side if which == "side" else stands.seen.above
                off = delta_e_2000(_traced(sight, which, stands), np.array(seen.lab))
                found[one.name, stands is one.after, which] = float(off)
    assert len(found) == 60
    assert max(found.values()) <= BOUNDS["paths"]["demo"]["at_most"], found


def _traced(sight: Sight, which: Any, stands: Any) -> Any:
    """CIELAB of a liquid from every ray of a picture of its own level."""
    clear, ml, at = 1.0 - sight.ice_share, stands.volume_ml, sight.in_view(which)
    scene = make_scene(at.glass, Filling((ml / clear,)))
    eye = camera(scene, at.elevation_deg, 100, 100, view(which).through)
    begun = rays.eye_rays(eye.eye, eye.spread(4000, half=True), 1)
    found = rays.follow(scene, begun, 64, few=0.002)
    seen = (found.wall if which == "side" else found.surface) & found.done
    absorbs = absorbance_per_cm(stands.liquid, ml, stands.ph, stands.pk_shift)
    weight = found.weight[seen]
    return to_lab(weight @ 10 ** -(clear * found.path[seen] * absorbs) / weight.sum())


def test_a_shallow_drink_is_paler_from_above(demo: Any) -> None:
    """In a coupe a guest looks through less than a bartender: the way is shorter, L* higher."""
    seen = demo[1]["The Glass Is Falling"].before.seen
    assert seen.above_mm < 0.6 * seen.side_mm
    assert seen.above.lab[0] > seen.side.lab[0] + 20


def test_the_strip_follows_the_guest(demo: Any) -> None:
    """A turn begins at the colour from above, and passes that of the dose."""
    for one in demo[1].values():
        if one.turn is not None and one.after is not None and one.reveal.ml:
            assert one.turn.hexes[0] == one.before.seen.above.hex
            at = int(np.argmin(np.abs(one.turn.poured_ml - one.reveal.ml)))
            assert one.turn.lab[at] == pytest.approx(np.array(one.after.seen.above.lab), abs=2.0)
