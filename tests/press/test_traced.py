"""Traced pictures show what the recipe has, and say the colours that pages, cards and data say."""

from __future__ import annotations

import json
import re
from base64 import b64encode
from dataclasses import replace
from functools import cache
from hashlib import sha256
from io import BytesIO
from itertools import combinations, product
from pathlib import Path
from typing import Any, get_args

import numpy as np
import pytest
import yaml
from anthocard.engine.compute import compute
from anthocard.engine.mix.appearance import along
from anthocard.engine.optics.maps import picture as scene_of, unpacked
from anthocard.engine.optics.outline import fill_height_mm, glass_profile, plain
from anthocard.engine.optics.scene import Filling, make_scene
from anthocard.engine.optics.walls import drawable
from anthocard.engine.results import Computed
from anthocard.facts.colour import colours
from anthocard.house.collection import Collection
from anthocard.house.reader import read_house
from anthocard.house.serving.pours import How
from anthocard.press.base.languages import language
from anthocard.press.base.theme import find_theme
from anthocard.press.build.plan import contents
from anthocard.press.data.recipe_json import as_json
from anthocard.press.data.worked import as_worked
from anthocard.press.draw.garnish import Garnish, garnish_of, overlay
from anthocard.press.draw.shapes import FINER as SHAPE_FINER, SHAPES, Extent, Pen
from anthocard.press.draw.shown_glass import shown_glass
from anthocard.press.draw.traced import (
    FINER,
    FRAMES,
    SEEN,
    SIDE,
    TALL,
    WIDE,
    PictureSubject,
    _drawn,
    film,
    map_bytes,
    reel,
    still,
)
from anthocard.press.draw.wide import widened
from anthocard.press.html.pictures import Pictures
from anthocard.press.paper.job import HERE
from anthocard.press.proof.undrawn import undrawn
from anthocard.press.words.card import make_card

from tests.engine.opened import opened

HOUSE = Path(__file__).parents[2] / "recipes"
BOUNDS = yaml.safe_load(Path(__file__).with_name("picture_bounds.yaml").read_text("utf-8"))


@cache
def _demo() -> tuple[Collection, dict[str, Computed]]:
    collection = read_house(HOUSE)
    figures, _ = compute(collection)
    return collection, {slug: one for slug, one in figures.items() if one.is_drink}


#: What the demo's recipes have, read from them by hand: ice, foam, bubbles before and after,
#: garnish, frozen pieces, layers before.
STANDING = {
    "a-nip-before-rounds": ("none", False, False, False, (), "", 1),
    "backing-wind": ("block", False, False, False, ("leaf",), "", 1),
    "barograph": ("none", False, False, False, ("twist",), "", 1),
    "dew-point": ("none", False, False, False, ("twist",), "", 1),
    "eye-of-the-storm": ("none", False, False, False, ("olive",), "", 1),
    "fair-over-rain": ("none", False, False, False, ("rod",), "", 1),
    "hoar-frost": ("none", False, False, False, ("sprig",), "2 sphere", 1),
    "long-twilight": ("cracked", False, False, False, ("wheel",), "", 1),
    "low-cloud": ("none", False, False, False, ("sprig",), "", 1),
    "mackerel-sky": ("cubed", False, True, True, ("flower",), "", 1),
    "red-sky-at-morning": ("cubed", False, False, True, ("wheel",), "", 1),
    "set-fair": ("none", False, False, False, ("twist",), "", 1),
    "squall-line": ("none", True, False, False, ("drops",), "", 1),
    "sun-shower": ("cubed", False, True, True, ("twist",), "", 1),
    "the-glass-is-falling": ("none", False, False, False, ("sprig",), "", 1),
}


@pytest.mark.parametrize("slug", STANDING)
def test_everything_is_where_the_recipe_has_it(slug: str) -> None:
    """Ice, foam, bubbles, garnish, frozen pieces and layers of every drink of the demo, and nothing
    else; what is frozen has melted by the end.
    """
    collection, figures = _demo()
    one = figures[slug]
    first = shown_glass(one, collection.house, one.before)
    last = shown_glass(one, collection.house, one.after or one.before)
    found = (
        first.filling.ice, first.filling.foam_ml > 0, first.filling.sparkling,
        last.filling.sparkling, tuple(garnish.shape for garnish in first.garnishes),
        " ".join(f"{lot.count} {lot.kind}" for lot in first.filling.frozen),
        len(first.filling.layers_ml),
    )  # fmt: skip
    assert found == STANDING[slug]
    assert last.filling.frozen == ()
    for stands in (first, last):
        bodies = make_scene(drawable(stands.glass), stands.filling).bodies
        lots = stands.filling.frozen
        assert np.count_nonzero(bodies.frozen) == sum(lot.count for lot in lots)
        assert bool((~bodies.frozen).any()) == (stands.filling.ice not in ("none", "crushed"))
    assert set(STANDING) == set(figures)
    assert last.filling.layers_ml[0] > first.filling.layers_ml[0]


def test_what_lies_outside_srgb_is_shown_as_it_is_where_a_screen_can() -> None:
    """Every state of the demo outside sRGB is given as Display P3 in a page by a sheet that only
    wide screens read, let in by its hash, and is nearer so; colours inside sRGB stay as they are.
    """
    colour_of = {
        slug: [c for state in one.states for c in (state.seen.side, state.seen.above)]
        for slug, one in _demo()[1].items()
    }
    outside = [one for found in colour_of.values() for one in found if not one.in_gamut]
    assert len(outside) >= 9
    lab = np.array([one.lab for one in outside])
    true = colours.linear_of_xyz(colours.xyz_of_lab(lab))
    off_srgb = _off(true, colours.into_gamut(true))
    off_wide = _off(true, _linear_of_p3(colours.display_p3(lab)))
    assert off_wide.max() <= BOUNDS["gamut"]["shown"]["at_most"]
    assert (off_wide / off_srgb).max() <= BOUNDS["gamut"]["nearer"]["at_most"]
    fits = colours.in_gamut(true @ np.linalg.inv(_TO_SRGB).T)
    assert fits.any()
    assert off_wide[fits].max() < 0.1
    for slug, found in colour_of.items():
        drawn = "".join(f'<i fill="{one.hex}"/>' for one in found)
        page = f"<head>style-src 'self';</head>{drawn}<i fill='#00ff00'/>"
        shown = widened(page, (_demo()[1][slug],))
        rules = dict(re.findall(r'\[fill="(#[0-9a-f]{6})"\]\{fill:(color\([^)]*\))\}', shown))
        wide = {one.hex for one in found if not one.in_gamut}
        assert set(rules) == wide
        for hex_, told in rules.items():
            first = next(one for one in found if one.hex == hex_)
            parts = " ".join(f"{part:.4f}" for part in colours.display_p3(first.lab))
            assert told == f"color(display-p3 {parts})"
        if not wide:
            assert shown == page
            continue
        sheet = re.findall("<style>(.*)</style>", shown)[0]
        assert sheet.startswith("@media (color-gamut:p3){")
        print_ = b64encode(sha256(sheet.encode()).digest()).decode()
        assert f"style-src 'self' 'sha256-{print_}';" in shown


def _off(true: np.ndarray, shown: np.ndarray) -> np.ndarray:
    """ΔE00 between linear sRGB, (n, 3) each, beyond its gamut too."""
    return colours.delta_e_2000(colours.lab_of_linear(true), colours.lab_of_linear(shown))


#: Linear sRGB of linear Display P3: CSS Color 4 (second-hand).
_TO_SRGB = np.array([[1.2249, -0.2247, 0.0], [-0.0420, 1.0419, 0.0], [-0.0197, -0.0786, 1.0979]])


def _linear_of_p3(encoded: np.ndarray) -> np.ndarray:
    """Linear sRGB of Display P3."""
    return colours.decode(encoded) @ _TO_SRGB.T


BLUE = "kind: infusion\nname: blue gin\nplant: butterfly pea\ninto: gin\ndose: 7 g per litre\ntime: 100 min\n"


@cache
def _layered() -> tuple[Collection, Computed]:
    """Syrup at the bottom, water over it and blue gin on top, poured apart."""
    drink = "kind: drink\nname: d\nglass: tall glass\nice: none\nmethod: layered\n"
    pours = "pours: [40 ml sugar syrup, 40 ml still water, 60 ml blue gin]\n"
    found = opened({"drinks/d.md": drink + pours, "infusions/blue.md": BLUE})
    return found.collection, found.computed["d"]


def test_layers_lie_where_the_recipe_has_them() -> None:
    """From the bottom up at their own volumes, each boundary within a millimetre; in the picture
    what is blue is blue, and what lies under it is not.
    """
    collection, one = _layered()
    stands = shown_glass(one, collection.house, one.before)
    assert one.glassful is not None
    volumes = [layer.ml for layer in one.glassful.layers]
    assert len(volumes) == 3
    profile = glass_profile(stands.glass)
    levels = [10.0 * high for high in make_scene(stands.glass, stands.filling).levels]
    wanted = [fill_height_mm(profile, ml) for ml in np.cumsum(volumes)]
    assert levels == pytest.approx(wanted, abs=1.0)
    pictures = Pictures(collection, as_worked(collection.house, {"d": one}), find_theme())
    look = pictures._looked("d", "side")
    pixels = 255.0 * _over(
        "#ffffff", still(look, map_bytes(stands, look.elevation_deg), False, "paper")
    )
    scene, eye = scene_of(stands.glass, stands.filling, look.elevation_deg, WIDE, TALL)
    front = -float(np.interp(scene.levels[1], *scene.inside.T[::-1]))
    for height, blue in ((wanted[0] / 2, False), ((wanted[1] + wanted[2]) / 2, True)):
        row = round(eye.spot(np.array([0.0, front, height / 10.0]))[1])
        red, green, most = pixels[row, WIDE // 2]
        assert (most > 1.2 * green and red < 100.0) if blue else min(red, green, most) > 200.0
    told = pictures.side("d", language("en"))[0].alt
    assert told.startswith("in layers from the bottom: colourless, colourless, ")


def test_frozen_pieces_are_seen_as_large_as_they_are_until_they_have_melted() -> None:
    """Two balls stand in the drink, each where its own size and nothing else is, the level as high
    as drink and balls reach; the picture before shows them and says so, the one after does not.
    """
    collection, figures = _demo()
    one = figures["hoar-frost"]
    stands = shown_glass(one, collection.house, one.before)
    assert one.glassful is not None
    (lot,) = one.glassful.frozen
    assert one.reveal is not None
    assert (lot.pieces, lot.of) == (2, one.reveal.name)
    scene = make_scene(stands.glass, stands.filling)
    np.testing.assert_allclose(20.0 * scene.bodies.half, lot.mm)
    wanted = fill_height_mm(glass_profile(stands.glass), one.before.volume_ml + lot.displaces_ml)
    assert 10.0 * scene.level == pytest.approx(wanted, abs=1.5)
    assert scene.bodies.ice_below(scene.level) == pytest.approx(lot.displaces_ml, rel=0.1)
    assert scene.loose < 0.02
    pictures = Pictures(collection, as_worked(collection.house, {one.slug: one}), find_theme())
    look = pictures._looked(one.slug, "above")
    maps = unpacked(map_bytes(look.before, look.elevation_deg))
    assert maps.way.shape[2] == 2
    for middle in scene.bodies.middle:
        eye = scene_of(stands.glass, stands.filling, look.elevation_deg, WIDE, TALL)[1]
        column, row = (round(part) for part in eye.spot(middle))
        assert maps.way[row, column, 1] > 0.1 * lot.mm / 2
    for tag, words in (("en", "with 2 frozen balls"), ("de", "mit 2 gefrorenen Kugeln"),
                       ("fr", "avec 2 boules glacées")):  # fmt: skip
        first, last = pictures.above(one.slug, language(tag))
        assert words in first.alt
        assert words.split()[-1] not in last.alt
    data = as_json(one)["in_the_glass"]["frozen"]
    assert [(row["kind"], row["pieces"]) for row in data] == [("sphere", 2)]
    assert data[0]["mm"] == pytest.approx(lot.mm, rel=1e-5)


def test_what_was_frozen_is_in_the_drink_by_the_end() -> None:
    """On its way each piece comes to absorb what the whole drink does."""
    mixed, ice = np.full((3, 81), 0.5), np.ones(81)
    stands = _look("hoar-frost", 12.0).before
    found = PictureSubject(stands, stands, 12.0, mixed, np.linspace(0, 1, 3), frozen=ice).first
    assert found.shape == (3, 2, 81)
    np.testing.assert_allclose(found[:, 0], 0.5)
    np.testing.assert_allclose(found[:, 1, 0], [1.0, 0.75, 0.5])


def test_layers_are_gone_once_they_are_stirred() -> None:
    """Along its turn each layer comes to absorb what the whole drink does."""
    mixed, lies = np.full((3, 81), 0.5), np.array([np.zeros(81), np.ones(81)])
    stands = shown_glass(_layered()[1], _layered()[0].house, _layered()[1].before)
    found = PictureSubject(stands, stands, 12.0, mixed, np.linspace(0, 1, 3), lies=lies).first
    np.testing.assert_allclose(found[0], lies)
    np.testing.assert_allclose(found[1], (lies + 0.5) / 2.0)
    np.testing.assert_allclose(found[2], 0.5)


@pytest.mark.parametrize(
    ("words", "shape", "colour"),
    [
        ("a lemon twist", "twist", "lemon"),
        ("a strip of orange peel", "twist", "orange"),
        ("a lime wheel", "wheel", "lime"),
        ("half an orange slice", "wheel", "orange"),
        ("two olives", "olive", "olive"),
        ("a viola flower", "flower", "lavender"),
        ("a lime leaf", "leaf", "lime"),
        ("a sprig of mint", "sprig", "leaf"),
        ("a brandied cherry", "cherry", "cherry"),
        ("a line of drops from the lavender bitters", "drops", "lavender"),
        ("ein Zweig Thymian", "sprig", "leaf"),
        ("eine Zitronenzeste", "wheel", "lemon"),
    ],
)
def test_words_of_a_garnish_are_a_shape(words: str, shape: str, colour: str) -> None:
    """Common garnishes, in English and German."""
    assert garnish_of(words) == Garnish(shape, colour)


def test_what_nobody_can_draw_is_told_and_left_out() -> None:
    """A rubber duck is no garnish of the table: where it stands, why, and how to mend it; the
    picture is of the drink without it, in the plain glass of its kind.
    """
    drink = "kind: drink\nname: d\nglass: flute\nmethod: built\npours: [90 ml gin]\n"
    found = opened({"drinks/d.md": f"{drink}garnish: [a lemon twist, a rubber duck]\n"})
    (told,) = undrawn(found.collection)
    assert told.place.path.endswith("drinks/d.md")
    assert told.place.text[told.place.column - 1 :].startswith("a rubber duck")
    assert "a rubber duck" in told.message
    assert "twist" in told.mend
    assert told.severity == "hint"
    one = found.computed["d"]
    stands = shown_glass(one, found.collection.house, one.before)
    assert stands.garnishes == (Garnish("twist", "lemon"),)
    own = found.collection.house.glasses["flute"]
    assert own.outline is not None
    assert stands.glass == plain(own)
    assert "plain glass" in told.message


def test_more_than_a_glass_holds_is_drawn_to_the_brim_of_a_plain_one() -> None:
    """It is told, and its picture ends under the rim of a straight glass of the same width that
    holds the same.
    """
    drink = "kind: drink\nname: d\nglass: flute\nice: cubed\nmethod: built\npours: [185 ml gin]\n"
    found = opened({"drinks/d.md": drink})
    (told,) = (one for one in found.warnings if one.kind == "overflow")
    assert "plain glass" in told.message
    one = found.computed["d"]
    stands = shown_glass(one, found.collection.house, one.before)
    own = found.collection.house.glasses["flute"]
    assert own.outline is not None
    assert stands.glass == plain(own)
    scene = make_scene(stands.glass, stands.filling)
    assert float(scene.inside[-1, 1]) - 0.2 < scene.level < float(scene.inside[-1, 1])


def _look(slug: str, elevation: float) -> PictureSubject:
    collection, figures = _demo()
    one = figures[slug]
    way = along(one.before, one.after, one.turn, 12)
    house = collection.house
    return PictureSubject(
        shown_glass(one, house, one.before), shown_glass(one, house, one.after or one.before),
        elevation, way.absorbs, way.share,
    )  # fmt: skip


@pytest.mark.parametrize("slug", ["the-glass-is-falling", "squall-line", "red-sky-at-morning"])
def test_equal_time_is_equal_change(slug: str) -> None:
    """Half of ΔE00 is done at 45 to 55 % of the time: stops lie an equal change apart."""
    _, figures = _demo()
    one = figures[slug]
    assert one.turn is not None
    assert one.after is not None
    way = along(one.before, one.after, one.turn, 12)
    dose = one.after.volume_ml - one.before.volume_ml
    lab = np.stack(
        [np.interp(way.share * dose, one.turn.poured_ml, one.turn.lab[:, k]) for k in range(3)], -1
    )
    steps = colours.delta_e_2000(lab[1:], lab[:-1])
    come = np.concatenate([[0.0], np.cumsum(steps)])
    assert 0.45 < np.interp(0.5, np.linspace(0, 1, 12), come / come[-1]) < 0.55
    assert way.share[0] == 0.0
    assert way.share[-1] == pytest.approx(1.0)


@cache
def _made(slug: str, elevation: float) -> tuple[bytes, bytes]:
    look = _look(slug, elevation)
    return map_bytes(look.before, elevation), map_bytes(look.after, elevation)


def _pixels(content: bytes) -> np.ndarray:
    from PIL import Image

    return np.asarray(Image.open(BytesIO(content)).convert("RGBA"), dtype=float) / 255.0


def _over(page: str, content: bytes) -> np.ndarray:
    """A picture as a page of that colour shows it, encoded 0-1."""
    pixels = _pixels(content)
    ground = colours.srgb_of_hex(page)
    return np.asarray(pixels[..., :3] * pixels[..., 3:] + ground * (1.0 - pixels[..., 3:]))


@pytest.mark.parametrize("theme", ["base", "dusk", "plain", "almanac"])
@pytest.mark.parametrize("light", ["day", "night"])
@pytest.mark.parametrize("elevation", [12.0, 55.0])
def test_a_picture_stands_on_its_page_without_a_box(
    theme: str, light: str, elevation: float
) -> None:
    """On the page of each theme, by day and by night: nothing at the edge, no halo beside the glass."""
    found, bounds = find_theme(theme), BOUNDS["page"]
    night = "" if light == "day" else "night-"
    page, on = found.token(f"{night}paper"), found.token(f"{night}backdrop")
    slug = "barograph"  # clear through most of its picture
    image = _over(page, still(_look(slug, elevation), _made(slug, elevation)[0], False, on))
    lab = colours.lab_of_linear(colours.decode(image))
    ground = colours.lab_of_linear(colours.decode(colours.srgb_of_hex(page)))
    apart = colours.delta_e_2000(lab, np.broadcast_to(ground, lab.shape))
    edge = np.concatenate([apart[0], apart[-1], apart[:, 0], apart[:, -1]])
    assert edge.max() <= bounds["edge"]["at_most"]
    beside = _beside(unpacked(_made(slug, elevation)[0]).glass > 0.0, slug, elevation)
    assert float(np.median(apart[beside])) <= bounds["beside"]["at_most"]
    lighter = lab[beside][:, 0] - ground[0]
    assert float(np.percentile(-lighter, 99)) <= bounds["darker"]["at_most"]
    assert float(np.percentile(lighter, 99)) <= bounds["lighter"]["at_most"]


def _beside(glass: np.ndarray, slug: str, elevation: float) -> np.ndarray:
    """Pixels more than 4 from the glass and from what is drawn on it, (tall, wide)."""
    taken = glass | (
        np.asarray(_drawn(_look(slug, elevation).before, elevation, WIDE, TALL))[..., 3] > 0
    )
    for _ in range(4):
        grown = taken.copy()
        grown[1:] |= taken[:-1]
        grown[:-1] |= taken[1:]
        grown[:, 1:] |= taken[:, :-1]
        grown[:, :-1] |= taken[:, 1:]
        taken = grown
    return np.asarray(~taken)


def _apart(sheet: np.ndarray) -> np.ndarray:
    """Pictures beside one another, (tall, FRAMES · wide, k), as (FRAMES, tall, wide, k)."""
    return sheet.reshape(TALL, FRAMES, WIDE, -1).swapaxes(0, 1)


@cache
def _frames_of(slug: str, how: How) -> np.ndarray:
    """The pictures of a turn, poured one way, over white: L*a*b* (FRAMES, tall, wide, 3)."""
    look, made = replace(_look(slug, 55.0), how=how), _made(slug, 55.0)
    sheets = _over("#ffffff", reel(look, *made, "paper"))
    lab = colours.lab_of_linear(colours.decode(_apart(sheets)))
    return np.asarray(lab)


def _drink(slug: str) -> np.ndarray:
    return np.asarray(np.minimum(*(unpacked(one).drink for one in _made(slug, 55.0))) > 0.99)


@pytest.mark.parametrize("how", get_args(How))
def test_half_of_the_change_is_done_at_half_of_the_time(how: How) -> None:
    """In the pictures themselves, over all the drink: what they change by, one to the next."""
    slug, half = "the-glass-is-falling", BOUNDS["pour"]["half"]
    frames = _frames_of(slug, how)[:, _drink(slug)]
    steps = colours.delta_e_2000(frames[1:], frames[:-1]).mean(axis=1)
    come = np.concatenate([[0.0], np.cumsum(steps)]) / steps.sum()
    done = float(np.interp(0.5, np.linspace(0.0, 1.0, FRAMES), come))
    assert half["at_least"] <= done <= half["at_most"]


def test_ways_of_pouring_are_told_apart() -> None:
    """The same drink, half poured one way and another: visibly not the same picture."""
    slug = "the-glass-is-falling"
    drink = _drink(slug)
    half = {how: _frames_of(slug, how)[FRAMES // 2][drink] for how in get_args(How)}
    for one, other in combinations(half, 2):
        apart = float(colours.delta_e_2000(half[one], half[other]).mean())
        assert apart >= BOUNDS["pour"]["apart"]["at_least"], (one, other, apart)


def test_a_film_of_a_turn_is_small_plays_on_and_is_the_same_again() -> None:
    """From before to after and back for ever, square, within its bound; the same bytes twice."""
    from PIL import Image

    slug, bounds = "the-glass-is-falling", BOUNDS["loop"]
    look = _look(slug, 55.0)
    maps = [map_bytes(one, 55.0, FINER) for one in (look.before, look.after)]
    content = film(look, *maps)
    assert len(content) <= bounds["size"]["at_most"]
    assert content == film(look, *maps)
    with Image.open(BytesIO(content)) as found:
        assert found.size == (SIDE, SIDE)
        assert found.n_frames >= bounds["frames"]["at_least"]
        assert found.info["loop"] == 0
        seen = []
        for number in (0, SEEN - 1, found.n_frames - 1):
            found.seek(number)
            seen.append(np.asarray(found.convert("RGB"), dtype=float).mean(axis=(0, 1)))
    first, last, back = seen
    assert np.abs(first - last).max() > 3.0
    assert np.abs(first - back).max() < np.abs(first - last).max() / 2


@pytest.mark.parametrize("when", ["before", "after"])
def test_a_picture_has_the_colour_that_is_told(when: str) -> None:
    """The middle of the drink from above lies near the colour of pages and data, as light as it."""
    slug = "the-glass-is-falling"
    look, (first, last) = _look(slug, 55.0), _made(slug, 55.0)
    image = _over(
        "#ffffff", still(look, last if when == "after" else first, when == "after", "paper")
    )
    one = _demo()[1][slug]
    state = one.before if when == "before" else one.after
    assert state is not None
    patch = image[58:92, 71:108].reshape(-1, 3)
    lab = colours.lab_of_linear(colours.decode(patch).mean(axis=0))
    told = np.array(state.seen.above.lab)
    hue = np.degrees(np.arctan2(*lab[[2, 1]]) - np.arctan2(*told[[2, 1]]))
    assert abs((hue + 180) % 360 - 180) < 12
    assert abs(lab[0] - told[0]) < 14


def test_a_reel_begins_and_ends_as_the_stills() -> None:
    """Its frames run from the drink before to the drink after, within what compression leaves."""
    slug = "barograph"
    look, (first, last) = _look(slug, 55.0), _made(slug, 55.0)
    content = reel(look, first, last, "bar")
    frames = _apart(_pixels(content))
    for frame, maps, after in ((frames[0], first, False), (frames[-1], last, True)):
        own = _pixels(still(look, maps, after, "bar"))
        whole = own[..., 3] > 0.99
        assert np.abs(frame - own)[whole].mean() < 0.02


@pytest.mark.parametrize("elevation", [12.0, 55.0])
def test_no_garnish_is_cut_by_the_edge_of_its_picture(elevation: float) -> None:
    """Every shape in every glass of the demo, low and high, on either side: all of it is in the
    picture; the tallest touches no outermost pixel when it is drawn.
    """
    glasses = _demo()[0].house.glasses
    for glass, full in product(glasses.values(), (0.3, 0.8)):
        flat = Filling((full * glass.holds,))
        scene, eye = scene_of(glass, flat, elevation, WIDE, TALL)
        for shape, side in product(SHAPES, (1, -1)):
            box = Extent()
            Pen(box, scene, eye).whole(
                shape, dict.fromkeys(("fill", "light", "dark"), "#123456"), side
            )
            assert min(box.left, box.top) > 0.0, (glass, shape)
            assert box.right < WIDE * SHAPE_FINER
            assert box.bottom < TALL * SHAPE_FINER
            assert box.right - box.left > 20.0
    for name, shape in (("thimble", "sprig"), ("rocks glass", "wheel"), ("coupe", "rod")):
        flat = Filling((0.3 * glasses[name].holds,))
        scene, eye = scene_of(glasses[name], flat, elevation, WIDE, TALL)
        drawn = np.asarray(overlay(scene, eye, (Garnish(shape, "lemon"),), None, flat))[..., 3]
        assert drawn.sum() > 2000
        assert not np.concatenate([drawn[0], drawn[-1], drawn[:, 0], drawn[:, -1]]).any()


def test_what_is_drawn_stays_in_the_picture() -> None:
    """Every shape of the table puts something there; without any the overlay is clear."""
    stands = _look("barograph", 12.0).before
    scene, eye = scene_of(stands.glass, stands.filling, 12.0, WIDE, TALL)

    def drawn(filling: Filling, *garnishes: Garnish, rim: Garnish | None = None) -> float:
        return float(np.asarray(overlay(scene, eye, garnishes, rim, filling))[..., 3].sum())

    flat = Filling((80.0,))
    assert drawn(flat) == 0
    for shape in SHAPES:
        assert drawn(flat, Garnish(shape, "lemon")) > 2000
    assert drawn(flat, rim=Garnish("crust", "salt")) > 2000
    assert drawn(replace(flat, sparkling=True)) > 2000
    assert drawn(replace(flat, ice="crushed")) > 20_000


@cache
def _files() -> dict[str, Any]:
    """Every file of the demo but papers, each with a way to make it."""
    collection, figures = _demo()
    return dict(contents(collection, figures, find_theme(), papers=False))


def _text(name: str) -> str:
    return HERE.now(HERE.get(_files()[name])).decode()


@pytest.mark.parametrize("slug", STANDING)
def test_pages_cards_and_data_say_the_same_colours(slug: str) -> None:
    """Before and after, from the side and from above: what the engine says is on the card and in
    the data by name and hex, on the page for staff too, and from above on the guest's.
    """
    collection, figures = _demo()
    one = figures[slug]
    card, data = make_card(one, collection.house), json.loads(_text(f"staff/data/{slug}.json"))
    staff, guest = (_text(f"{folder}/{slug}.html") for folder in ("staff", "guest/drinks"))
    for when, state, told in (
        ("before", one.before, card.before),
        ("after", one.after, card.after),
    ):
        if state is None:
            assert told is data[when] is None
            continue
        assert told is not None
        seen, side, above = data[when]["seen"], state.seen.side, state.seen.above
        assert (side.hex, side.name) == (seen["side"]["hex"], seen["side"]["name"])
        assert (above.hex, above.name) == (seen["above"]["hex"], seen["above"]["name"])
        assert (told.hex, told.colour) == (side.hex, side.name)
        assert (told.above, told.above_colour) == (above.hex, above.name)
        assert data[when]["colour"]["hex"] == side.hex
        for page, colours_ in ((staff, (side, above)), (guest, (above,))):
            for colour in colours_:
                assert colour.hex in page
                assert colour.name in page


@pytest.mark.parametrize("slug", STANDING)
def test_pages_and_data_say_the_colours_of_the_pictures(slug: str) -> None:
    """The words of a picture are those of the data and of what stands in the glass; its file is one
    the book has.
    """
    collection, figures = _demo()
    pictures = Pictures(collection, as_worked(collection.house, figures), find_theme())
    tongue, data = language("en"), as_json(figures[slug])
    html = _text(f"staff/{slug}.html")
    ice, foam, *sparkling, _, frozen, _ = STANDING[slug]
    seen = zip(pictures.side(slug, tongue), ("before", "after"), sparkling, strict=False)
    for picture, when, bubbles in seen:
        assert picture.alt.startswith(data[when]["seen"]["side"]["name"])
        assert {f"staff/{picture.day}", f"staff/{picture.night}"} <= set(_files())
        assert re.search(
            rf'<source[^>]*dark[^>]*srcset="{re.escape(picture.night)}">'
            rf'<img[^>]*src="{re.escape(picture.day)}"[^>]*alt="{picture.alt}"',
            html,
        )
        assert ("foam" in picture.alt) == foam
        assert (" ice" in picture.alt or "block" in picture.alt) == (ice != "none")
        assert ("bubbles" in picture.alt) == bubbles
        assert ("frozen" in picture.alt) == (bool(frozen) and when == "before")
