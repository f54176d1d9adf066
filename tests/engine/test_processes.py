"""What a recipe does is told to its author once, where it stands, with what to ask."""

from __future__ import annotations

import tempfile
from datetime import date
from pathlib import Path

from anthocard.engine.compute import compute
from anthocard.house.reader import read_house

from tests.engine.conftest import HOUSE, write_house
from tests.engine.opened import drink, house
from tests.engine.test_hazards import of, told


def test_a_process_is_told_once_under_its_words() -> None:
    """Of two steps with nitrous oxide the first is marked; garnish and serve line are read, too."""
    text = (
        "---\n"
        + drink("50 ml gin", "garnish: [a flamed zest]\nserve: over dry ice\n")
        + "---\nBlue.\n\n## Method\n\n1. Charge the cream whipper.\n2. Charge the siphon again.\n"
    )
    mistakes = of(told({"drinks/d.md": text}), "process")
    assert [one.kind for one in mistakes] == ["process-siphon", "process-dry-ice", "process-fire"]
    first = mistakes[0]
    assert first.severity == "warning"
    assert first.place.text == "1. Charge the cream whipper."
    assert first.place.text[first.place.column - 1 :].startswith("cream whipper")
    assert "HMRC" in first.mend


def test_a_warm_infusion_is_told_by_its_keys() -> None:
    """Temperature and time are enough; the demo's hour at 60 °C is hot enough."""
    text = (
        "kind: infusion\nname: x\nplant: butterfly pea\ninto: still water\ndose: 2 g per litre\n"
        "time: {hours} h\ntemperature: {at} °C\nlatin: Clitoria ternatea\nfood_grade: true\n"
    )
    (warm,) = of(told({"infusions/x.md": text.format(hours=6, at=40)}), "process")
    assert warm.place.text == "temperature: 40 °C"
    assert of(told({"infusions/x.md": text.format(hours=1, at=60)}), "process") == []


def test_the_law_of_the_place_is_told_with_it_and_whom_to_ask() -> None:
    """Distilling in Germany names its act and the customs office; in Japan only whom to ask."""
    text = "---\n" + drink("50 ml gin") + "---\nBlue.\n\n## Method\n\n1. Redistil it.\n"
    (here,) = of(told({"drinks/d.md": text}, house("DE")), "process")
    assert "AlkStG" in here.message
    assert "Hauptzollamt" in here.mend
    (there,) = of(told({"drinks/d.md": text}, house("JP")), "process")
    assert "Here:" not in there.message
    assert "hokenjo" in there.mend


def test_a_year_after_anybody_looked_the_house_is_told() -> None:
    """The clock runs by the caller's day: silent within a year, one warning after it."""
    with tempfile.TemporaryDirectory() as folder:
        collection = read_house(
            write_house(Path(folder), {"drinks/d.md": drink("50 ml gin")}, HOUSE)
        )
        assert of(compute(collection, today=date(2027, 11, 26))[1], "law-unchecked") == []
        (warning,) = of(compute(collection, today=date(2027, 11, 27))[1], "law-unchecked")
    assert warning.place.text == "place: GB"
    assert "HMRC" in warning.mend
