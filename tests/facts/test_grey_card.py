"""A colour off a photograph: the card undoes lamp, exposure and noise; what tells nothing is refused."""

from __future__ import annotations

import numpy as np
import pytest
from anthocard.facts.chemistry.liquid import Floats
from anthocard.facts.colour.colours import decode, encode, lab_of_linear, srgb_of_hex
from anthocard.facts.colour.grey_card import Dots, PhotographError, read_patch, strip_sd
from hypothesis import given, strategies as st

LIQUID, CARD = (30.0, 50.0), (75.0, 50.0)
GREY = 0.18
STRIP = ((10.0, 92.0), (90.0, 92.0))


def linear(hex_: str) -> Floats:
    return decode(srgb_of_hex(hex_))


def photograph(
    hex_: str,
    light: tuple[float, float, float] = (1.0, 1.0, 1.0),
    noise: float = 0.0,
    strip: Floats | None = None,
) -> Dots:
    """A white wall, a liquid on the left, a grey card on the right, a strip below, under a light."""
    scene = np.full((120, 160, 3), 0.85)
    scene[30:90, 30:70] = linear(hex_)
    scene[30:90, 100:140] = GREY
    if strip is not None:
        scene[105:118, 16:144] = strip[np.linspace(0, len(strip) - 1, 128).round().astype(int)]
    scene = encode(np.clip(scene * light, 0.0, 1.0))
    scene += np.random.default_rng(1).normal(0.0, noise, scene.shape)
    return np.clip(np.round(scene * 255.0), 0, 255).astype(np.uint8)


@given(
    st.sampled_from(["#3a4ac0", "#b13f7c", "#7fb069", "#d9c2e9", "#8c1c2e"]),
    st.tuples(*[st.floats(0.6, 1.15)] * 3),
)
def test_the_card_undoes_the_light(hex_: str, light: tuple[float, float, float]) -> None:
    """Whatever is multiplied into red, green and blue of all of a picture is divided out again."""
    found = read_patch(photograph(hex_, light), LIQUID, CARD)
    wanted = lab_of_linear(linear(hex_))
    assert np.abs(np.array(found.lab) - wanted).max() < 1.2  # steps of 8 bits, of the card's too
    assert found.spread < 1e-6


def test_a_card_of_another_reflectance_is_another_white() -> None:
    """Half the light off the card means that the liquid sends twice as much as was thought."""
    dots = photograph("#3a4ac0", (0.5, 0.5, 0.5))
    half = read_patch(dots, LIQUID, CARD, 9.0)
    assert np.allclose(half.lab, lab_of_linear(linear("#3a4ac0") / 2.0), atol=1.2)


def test_noise_is_spread_and_no_other_colour() -> None:
    """Dots that differ by 2 % of the scale: the middle stays, and the spread is told."""
    found = read_patch(photograph("#3a4ac0", noise=0.02), LIQUID, CARD)
    assert np.abs(np.array(found.lab) - lab_of_linear(linear("#3a4ac0"))).max() < 2.0
    assert 1.0 < found.spread < 6.0


def test_the_strip_tells_how_far_colours_are_off() -> None:
    """The strip as it is known, one s.d. of 1 at least; made bluer, by how much; another, refused."""
    strip = np.linspace(linear("#2a3fa0"), linear("#b03080"), 101)
    known = lab_of_linear(strip)
    assert strip_sd(photograph("#3a4ac0", strip=strip), STRIP, known, CARD) == 1.0
    bluer = known + np.array([0.0, 0.0, -8.0])
    off = strip_sd(photograph("#3a4ac0", strip=strip), STRIP, bluer, CARD)
    assert off == pytest.approx(8.0 / np.sqrt(3.0), abs=0.3)
    with pytest.raises(PhotographError, match="units from the one of this card"):
        strip_sd(photograph("#3a4ac0", strip=strip[::-1]), STRIP, known, CARD)


@pytest.mark.parametrize(
    ("light", "at", "card", "words"),
    [
        ((8.0, 8.0, 8.0), LIQUID, CARD, "too bright"),
        ((0.03, 0.03, 0.03), LIQUID, CARD, "in the dark"),
        ((1.0, 1.0, 1.0), LIQUID, (62.6, 50.0), "not lit evenly"),
        ((1.0, 1.0, 0.2), LIQUID, CARD, "not grey"),
        ((1.0, 1.0, 1.0), CARD, LIQUID, "not grey"),
    ],
)
def test_what_tells_no_colour_is_refused(
    light: tuple[float, float, float],
    at: tuple[float, float],
    card: tuple[float, float],
    words: str,
) -> None:
    with pytest.raises(PhotographError, match=words) as refused:
        read_patch(photograph("#8c1c2e", light), at, card)
    assert refused.value.mend
