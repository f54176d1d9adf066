from __future__ import annotations

from datetime import date
from typing import Any

import pytest
import yaml
from anthocard.diagnostics.diagnostic import MistakeLog
from anthocard.diagnostics.plain_scalars import plain_value
from anthocard.diagnostics.yaml_reader import DEEPEST, LARGEST, MOST_NODES, Document, read_yaml
from hypothesis import example, given, strategies as st


def read(text: str, first_line: int = 1) -> tuple[Document, list[str]]:
    """The document, and the kind of each mistake."""
    log = MistakeLog()
    return read_yaml(text, "x.md", log, first_line), [mistake.kind for mistake in log]


def test_plain_values_and_their_places() -> None:
    """Values come out plain and frozen, each with line, column and length, keys too."""
    page, told = read("a: 1\nlist:\n  - one\n  - {b: 2.5, c: 'x y'}\nday: 2026-03-05\n", 2)
    assert told == []
    assert page.data == {"a": 1, "list": ("one", {"b": 2.5, "c": "x y"}), "day": date(2026, 3, 5)}
    place = page.at(("list", 1, "c"))
    assert (place.line, place.column, place.length) == (5, 17, 5)
    assert place.text == "  - {b: 2.5, c: 'x y'}"
    key = page.at(("list", 1, "c"), key=True)
    assert (key.line, key.column, key.length) == (5, 14, 1)
    assert page.at(("list", 1, "missing", "deeper")) == page.at(("list", 1))
    assert page.at(()).line == 2


@pytest.mark.parametrize(
    "word",
    ["no", "No", "YES", "on", "off", "y", "N", "12:30", "1:30:00", "011", "0x10", "0o7", "0b1",
     "1e3", "1.5e-3", "1_000", ".5", "5.", ".inf", "-.INF", ".nan"],
)  # fmt: skip
def test_words_that_yaml_reads_its_own_way_are_refused(word: str) -> None:
    """A false friend is a mistake unquoted, and just the word in quotes."""
    page, told = read(f"a: {word}")
    assert told == ["ambiguous"]
    assert ("a",) in page.faulty
    assert read(f'a: "{word}"')[0].data == {"a": word}
    assert read(f'a: "{word}"')[1] == []


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("0", 0),
        ("-12", -12),
        ("12.50", 12.5),
        ("true", True),
        ("False", False),
        ("Norway", "Norway"),
        ("on the rocks", "on the rocks"),
        ("12 h", "12 h"),
        ("pH 3.3", "pH 3.3"),
        ("2026-03-05 12:30", "2026-03-05 12:30"),
        ("yes please", "yes please"),
        ("1.2.3", "1.2.3"),
        ("½ oz", "½ oz"),
    ],
)
def test_words_that_mean_what_they_say(text: str, value: Any) -> None:
    """Numbers are numbers, true is true, and all else is the author's words."""
    page, told = read(f"a: {text}")
    assert told == []
    assert page.data["a"] == value
    assert type(page.data["a"]) is type(value)


@pytest.mark.parametrize(
    ("text", "kinds"),
    [
        ("a: 1\na: 2", ["duplicate-key"]),
        ("a: {b: 1, b: 2}", ["duplicate-key"]),
        ("a: &x 1\nb: *x", ["alias", "alias"]),
        ("a: !!python/object:os.system 1", ["tag"]),
        ("a: !money 1", ["tag"]),
        ("a: 1\n---\nb: 2", ["many-documents"]),
        ("a:\nb: ~\nc: null", ["empty-value"] * 3),
        ("a: 2026-02-30", ["bad-date"]),
        ("? [a]\n: 1", ["bad-key"]),
        ("<<: {a: 1}", ["bad-key"]),
        ("no: 1", ["ambiguous"]),
        ("a: [1, 2", ["yaml-syntax"]),
        ("a:\n\tb: 1", ["yaml-syntax"]),
        ("a: b: c", ["yaml-syntax"]),
        ("a: \x01", ["odd-character"]),
    ],
)
def test_what_is_refused(text: str, kinds: list[str]) -> None:
    """Each part of YAML that has bitten somebody is told by kind, all of them at once."""
    assert read(text)[1] == kinds


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("{price: 8,50, pack: 700 ml}", {"price": "8,50", "pack": "700 ml"}),
        ("{amount: 7,5 ml}", {"amount": "7,5 ml"}),
        ("[7,5 ml gin, 15 ml syrup]", ("7,5 ml gin", "15 ml syrup")),
        ("[52,14,-30]", (52, 14, -30)),
        ("[[19,0],[22,98]]", ((19, 0), (22, 98))),
        ("{x: 8,50: 3}", {"x": 8, "50": 3}),
        ("{x: 8, 50: 3}", {"x": 8, "50": 3}),
    ],
)
def test_a_decimal_comma_within_brackets(text: str, value: Any) -> None:
    """Right behind a whole number it is its decimal comma where nothing else can be meant; in a
    list of figures it parts them, and with a space behind it always does."""
    log = MistakeLog()
    document = read_yaml(f"a: {text}", "x.yaml", log)
    assert document.data == {"a": value}
    assert not log.mistakes
    if "50," in text:
        assert document.at(("a", "price")).length == len("8,50")


def test_a_second_equal_key_does_not_win() -> None:
    """Ordinary YAML keeps the last of two equal keys; here the first stays and both are told of."""
    text = "price: 12\nprice: 13"
    assert yaml.safe_load(text) == {"price": 13}
    assert read(text)[0].data == {"price": 12}


def test_what_could_unfold_without_end_is_cut_short() -> None:
    """Depth, number of values and size each have an end, reached quickly."""
    assert read("[" * (DEEPEST + 2) + "]" * (DEEPEST + 2))[1] == ["too-big"]
    assert read("- " * 100_000)[1] == ["too-big"]
    assert len(read("[" * 100_000)[1]) == 1  # libyaml's own scanner gives up first
    assert read("- 1\n" * (MOST_NODES + 1))[1] == ["too-big"]
    assert read("#" * (LARGEST + 1))[1] == ["too-big"]
    assert read("- 1\n" * (MOST_NODES - 1))[1] == []


def test_line_ends_that_only_yaml_counts_keep_places_right() -> None:
    """A pasted line separator shifts no later line."""
    page, _ = read("a: 'x\u2028 y'\nb: 5")
    assert page.at(("b",)).text == "b: 5"


PLAIN = st.recursive(
    st.one_of(
        st.integers(-(10**12), 10**12),
        st.booleans(),
        st.dates(),
        # what we read narrower than YAML 1.1 (“Y”, “1e3”), its writer leaves without quotes
        st.text(
            st.characters(codec="utf-8", exclude_categories=("C", "Zl", "Zp")), min_size=1
        ).filter(lambda text: plain_value(text)[1] is None),
    ),
    lambda inner: st.one_of(
        st.lists(inner, max_size=4).map(tuple),
        st.dictionaries(st.text("abcdef", min_size=1), inner, max_size=4),
    ),
    max_leaves=12,
)


def _listed(value: Any) -> Any:
    """The value with lists for tuples, as the YAML writer wants it."""
    if isinstance(value, tuple):
        return [_listed(item) for item in value]
    return {k: _listed(v) for k, v in value.items()} if isinstance(value, dict) else value


@given(PLAIN)
def test_what_is_written_is_read_back(value: Any) -> None:
    """Data written by the ordinary writer without aliases comes back the same, with every place."""

    class Writer(yaml.SafeDumper):
        def ignore_aliases(self, data: Any) -> bool:
            return True

    page, told = read(yaml.dump({"a": _listed(value)}, Dumper=Writer, allow_unicode=True))
    assert told == []
    assert page.data == {"a": value}


@given(st.text(max_size=200))
@example("?")
@example("")
def test_any_text_is_read_or_refused(text: str) -> None:
    """No text at all raises; what was refused has a place inside the text."""
    log = MistakeLog()
    page = read_yaml(text, "x.md", log)
    for mistake in log:
        assert 1 <= mistake.place.line <= len(page.lines)
        assert mistake.place.column <= len(mistake.place.text) + 1
