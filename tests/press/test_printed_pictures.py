"""Pictures on a printed menu: fine enough, the colour that is told, where the theme wants them."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
from anthocard.diagnostics.diagnostic import AuthorError
from anthocard.engine.optics.maps import unpacked
from anthocard.facts.colour import colours
from anthocard.house.collection import fold
from anthocard.house.model import Menu
from anthocard.press.base.languages import language
from anthocard.press.base.theme import Theme, find_theme
from anthocard.press.data.worked import as_worked
from anthocard.press.draw.traced import FINER, TALL, WIDE, map_bytes, print_still, still
from anthocard.press.html.pictures import Pictures
from anthocard.press.paper.job import HERE
from anthocard.press.paper.menus.menu_papers import menu_pdf
from anthocard.press.words.card import make_card

from tests.press.drawn_on_paper import BOUNDS, pictures_of
from tests.press.test_traced import _demo, _look, _over

SLUG = "squall-line"  # its glass is soon traced


def _pictures(theme: Theme) -> Pictures:
    collection, figures = _demo()
    return Pictures(collection, as_worked(collection.house, {SLUG: figures[SLUG]}), theme)


@cache
def board(theme: str, format_: str = "board") -> bytes:
    """A menu of one drink."""
    collection, figures = _demo()
    card, look = make_card(figures[SLUG], collection.house), find_theme(theme)
    sections = ({"name": "Tonight", "drinks": [card.name]},)
    menu = Menu.model_validate({"name": "One", "sections": sections}, strict=False)
    asked = menu_pdf(
        menu, {fold(card.name): card}, collection.house, look, format_, pictures=_pictures(look)
    )
    return HERE.now(asked)


def test_a_printed_drink_has_the_colour_that_is_told() -> None:
    """On the paper itself: in the body of the drink from the side, before and after, hue and
    lightness of the colour that cards and data tell, as near as pages have it; all of 300 dots.
    """
    collection, figures = _demo()
    look, one = _look(SLUG, collection.house.views.side), figures[SLUG]
    for last, stands, state in ((False, look.before, one.before), (True, look.after, one.after)):
        assert state is not None
        packed = map_bytes(stands, look.elevation_deg, FINER)
        content = print_still(look, packed, last, "paper")
        assert content == print_still(look, packed, last, "paper")
        image = _over("#ffffff", content)
        assert image.shape == (FINER * TALL, FINER * WIDE, 3)
        maps = unpacked(packed)
        body = (maps.drink > 0.99) & (maps.foam < 0.01)
        lab = colours.lab_of_linear(colours.decode(image[body]).mean(axis=0))
        told = np.array(state.seen.side.lab)
        hue = np.degrees(np.arctan2(*lab[[2, 1]]) - np.arctan2(*told[[2, 1]]))
        assert abs((hue + 180) % 360 - 180) < 12
        assert abs(lab[0] - told[0]) < 14
        # A page's picture of the same is the same, in half as many pixels.
        page = _over("#ffffff", still(look, packed, last, "paper"))
        seen = image.reshape(TALL, 2, WIDE, 2, 3).mean(axis=(1, 3))
        apart = colours.delta_e_2000(
            *(colours.lab_of_linear(colours.decode(one)) for one in (page, seen))
        )
        assert float(np.median(apart)) < 1.0


@pytest.mark.parametrize("theme", ["base", "dusk"])
def test_a_board_shows_each_drink_before_and_after(theme: str) -> None:
    """From above, at 300 dots an inch or more and no finer than anybody sees; nothing smoothed."""
    found = pictures_of(board(theme))
    assert len(found) == 2
    for one in found:
        assert BOUNDS["paper"]["fine"]["at_least"] <= one.dots_an_inch <= 340.0
        assert not one.smoothed
        assert one.space == "/DeviceRGB"
        assert not one.pixels[one.cover == 0.0].any()
    first, last = (one.pixels[one.cover > 0.9].mean(axis=0) for one in found)
    assert np.abs(first - last).max() > 20.0


def test_a_narrow_menu_has_no_room_for_them() -> None:
    """The long one stays as it was."""
    assert not pictures_of(board("base", "long"))


def test_a_theme_says_on_which_papers_they_stand(monkeypatch: pytest.MonkeyPatch) -> None:
    """All of them, one, or none; another word is told with those that there are."""
    theme, tongue = find_theme("base"), language("en")
    shown = {}
    for word in ("all", "book", "menu", "none"):
        monkeypatch.setitem(theme._tokens, "paper-pictures", word)
        pictures = _pictures(theme)
        shown[word] = [bool(pictures.printed(SLUG, tongue, one)) for one in ("book", "menu")]
    assert shown == {
        "all": [True, True], "book": [True, False], "menu": [False, True], "none": [False, False],
    }  # fmt: skip
    monkeypatch.setitem(theme._tokens, "paper-pictures", "boook")
    with pytest.raises(AuthorError, match="boook") as told:
        _pictures(theme)
    assert "book" in told.value.mistakes[0].mend


def test_maps_in_half_as_many_pixels_bring_the_same_light() -> None:
    """The mean of four of each weight; the mean way is that of the light which took it."""
    look = _look(SLUG, 55.0)
    whole = unpacked(map_bytes(look.before, 55.0, 1))
    half = whole.halved()
    assert half.shape == (TALL // 2, WIDE // 2)
    for name in ("tinted", "back", "clear", "glass", "drink", "foam"):
        assert getattr(half, name).mean() == pytest.approx(getattr(whole, name).mean(), abs=1e-5)
    light = [one.tinted.sum(axis=2, keepdims=True) for one in (whole, half)]
    ways = [float((one.way * w).sum()) for one, w in zip((whole, half), light, strict=True)]
    assert 4.0 * ways[1] == pytest.approx(ways[0], rel=1e-5)
