"""The project's own tables as plain values: what PyYAML makes of them, and what is refused."""

from __future__ import annotations

from importlib.resources import files

import pytest
import yaml
from anthocard.diagnostics.tables import TableError, plain_values, read_table

TABLES = [
    ("anthocard.facts.law", "hazards_plants.yaml"),  # anchors and merged keys
    ("anthocard.facts.colour", "lamps.yaml"),  # numbers with exponents
    ("anthocard.facts.colour", "colours.yaml"),  # Y is a letter
    ("anthocard.press.html", "choosing.yaml"),  # infinity
]


@pytest.mark.parametrize(("package", "name"), TABLES)
def test_a_table_is_read_as_pyyaml_reads_it(package: str, name: str) -> None:
    """The same keys in the same order, the same types and values."""
    text = (files(package) / name).read_text(encoding="utf-8")
    assert repr(read_table(package, name)) == repr(yaml.load(text, Loader=yaml.CSafeLoader))


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("a:\n  b: 1\n  b: 2\n", "line 3: “b” stands twice"),
        ("words: [low, no, few]\n", "“no” can be read in more than one way"),
    ],
)
def test_what_yaml_takes_in_silence_is_refused(text: str, said: str) -> None:
    """A second key would hide the first, and a plain “no” would be false."""
    with pytest.raises(TableError, match=said):
        plain_values("t.yaml", text)
