"""Words for colours."""

from __future__ import annotations

import numpy as np
import pytest
from anthocard.facts.colour import names
from hypothesis import given, strategies as st


def lab(lightness: float, chroma: float, hue: float) -> tuple[float, float, float]:
    turn = np.radians(hue)
    return lightness, float(chroma * np.cos(turn)), float(chroma * np.sin(turn))


@given(st.floats(0, 100), st.floats(0, 180), st.floats(0, 360))
def test_every_colour_has_a_name(lightness: float, chroma: float, hue: float) -> None:
    """No colour, however dark or vivid, is left without a word and a pattern."""
    index = names.index_of(lab(lightness, chroma, hue))
    assert 0 <= index < len(names.vocabulary())
    assert names.pattern_of(names.name_of(lab(lightness, chroma, hue)))


@pytest.mark.parametrize("name", names.vocabulary(), ids=lambda name: name.word)
def test_middle_of_a_name_bears_it(name: names.Name) -> None:
    """The target of a word is called by that word."""
    assert names.name_of(name.lab) == name.word


@pytest.mark.parametrize("word", names.known_words())
def test_wanted_colour_is_what_was_asked_for(word: str) -> None:
    """Every known word leads to a target that satisfies it."""
    asked = names.wanted(f" {word.upper()} ")
    assert asked.holds(asked.lab)
    assert set(asked.names) <= {name.word for name in names.vocabulary()}


def test_a_family_word_takes_light_and_dark() -> None:
    """`blue` holds sky blue and deep blue, and not red."""
    blue = names.wanted("blue")
    light, dark, red = lab(75, 40, 270), lab(20, 70, 290), lab(45, 60, 30)
    np.testing.assert_array_equal(blue.holds([light, dark, red]), [True, True, False])


def test_unknown_word_is_a_key_error() -> None:
    """A word outside the vocabulary is not guessed at."""
    with pytest.raises(KeyError):
        names.wanted("octarine")


def test_patterns_differ_between_families() -> None:
    """Colour is never the only cue: no two families share a pattern."""
    pattern = {name.family: names.pattern_of(name.word) for name in names.vocabulary()}
    assert len(set(pattern.values())) == len(pattern)


@pytest.mark.parametrize(
    ("colour", "word"),
    [
        (lab(98, 1, 0), "colourless"),
        (lab(28, 83, 305), "deep blue"),
        (lab(50, 60, 308), "violet"),
        (lab(75, 35, 320), "mauve"),
        (lab(50, 65, 338), "magenta"),
        (lab(45, 65, 15), "pinkish red"),
        (lab(75, 35, 5), "rose pink"),
        (lab(92, 12, 90), "pale straw"),
        (lab(50, 60, 70), "amber"),
        (lab(3, 2, 0), "near black"),
    ],
)
def test_plain_words_for_plain_colours(colour: tuple[float, ...], word: str) -> None:
    """A guest would say the same (own choice, common practice, no source)."""
    assert names.name_of(colour) == word
