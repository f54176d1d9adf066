"""Words for colours."""

from __future__ import annotations

import numpy as np
import pytest
from anthocard.facts.colour import names
from anthocard.facts.colour.colours import delta_e_2000, srgb_of_hex
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


def cielab(rgb: np.ndarray) -> np.ndarray:
    """Colours of a screen, 0-1, as CIELAB (D65)."""
    light = np.where(rgb <= 0.04045, rgb / 12.92, ((rgb + 0.055) / 1.055) ** 2.4)
    xyz = light @ np.array(
        [
            [0.4124564, 0.2126729, 0.0193339],
            [0.3575761, 0.7151522, 0.1191920],
            [0.1804375, 0.0721750, 0.9503041],
        ]
    )  # IEC 61966-2-1
    f = np.cbrt(xyz / [0.95047, 1.0, 1.08883])
    return np.stack([116 * f[:, 1] - 16, 500 * (f[:, 0] - f[:, 1]), 200 * (f[:, 1] - f[:, 2])], 1)


def test_edges_are_soft() -> None:
    """Of 10,000 colours in gamut and 12 others each just within 4 ΔE00 of it, no two families are more
    than one step apart.
    """
    families = [name.family for name in names.vocabulary()]
    beside = np.array([[b in (a, *names.beside(a)) for b in families] for a in families])
    random = np.random.default_rng(19)
    lab = cielab(random.random((10_000, 3)))  # of a screen: dark, dull and vivid ones alike
    here = names.index_of(lab)
    for _ in range(12):
        way = random.normal(size=lab.shape)
        way /= np.linalg.norm(way, axis=1, keepdims=True)
        reach = np.full((len(lab), 1), 6.0)
        for _ in range(8):  # walk to the rim of 4 ΔE00
            away = delta_e_2000(lab, lab + reach * way)[:, np.newaxis]
            reach *= np.clip(3.99 / np.maximum(away, 1e-6), 0.3, 3.0)
        other = lab + reach * way
        near = delta_e_2000(lab, other) < 4.0
        assert near.sum() > 9_000
        apart = ~beside[here, names.index_of(other)] & near
        assert not apart.any(), [
            (names.vocabulary()[here[k]].word, names.name_of(other[k]))
            for k in np.flatnonzero(apart)
        ]


def test_steps_between_families_go_both_ways() -> None:
    """A family is beside another as that is beside it, and never beside itself."""
    for family in {name.family for name in names.vocabulary()}:
        assert family not in names.beside(family)
        assert all(family in names.beside(other) for other in names.beside(family))


@pytest.mark.parametrize(
    ("hexa", "family", "not_word"),
    [
        ("#280078", "violet", "deep blue"),
        ("#000080", "blue", "indigo"),
        ("#8c5a78", "purple", "deep pink"),
        ("#905070", "purple", "deep pink"),
        ("#5a5a8c", "violet", "blue"),
        ("#6a5acd", "violet", "blue"),
    ],
)
def test_words_that_were_wrong(hexa: str, family: str, not_word: str) -> None:
    """A dusky mauve is no deep pink, indigo no deep blue, slate violet no blue."""
    word = names.name_of(cielab(srgb_of_hex(hexa)[np.newaxis])[0])
    assert word != not_word
    assert {name.family for name in names.vocabulary() if name.word == word} == {family}
