"""Steps as an author writes them: read, told what is wrong with them, and carried through a table."""

from __future__ import annotations

from pathlib import Path

import pytest
from anthocard.diagnostics.diagnostic import AuthorError, Mistake
from anthocard.engine.compute import compute
from anthocard.house.csv_rows import as_row, from_row, markdown
from anthocard.house.json_schema import schemas
from anthocard.house.reader import read_house
from anthocard.house.steps import STEPS

from tests.engine.conftest import HOUSE, write_house


def mistakes(tmp_path: Path, steps: str) -> tuple[Mistake, ...]:
    """What is told of one list of steps."""
    folder = write_house(tmp_path, {"preparations/p.md": f"name: P\nsteps:\n{steps}"}, HOUSE)
    with pytest.raises(AuthorError) as caught:
        compute(read_house(folder))
    return tuple(one for one in caught.value.mistakes if one.severity == "error")


@pytest.mark.parametrize(
    ("steps", "kind", "line", "mend"),
    [
        ("  - add: 700 ml gin\n  - strain: fine\n  - {steep: 9 g fresh chilli, time: 1 h}\n", "nothing-to-strain", 5, "after the step that steeps"),
        ("  - {juice: 2 kg lemons, yield: 110 %}\n", "yield-over-whole", 4, "100 % at most"),
        ("  - add: 500 ml gin\n  - {steep: 9 g fresh chilli, time: 1 h}\n  - {strain: fine, yield: 900 ml}\n", "yield-over-whole", 6, "weigh what comes out"),
        ("  - add: [500 ml gin, 500 ml milk]\n  - {carbonate: 3 volumes, temperature: 4 °C}\n", "foams-over", 5, "when it is served"),
        ("  - add: 500 ml gin\n  - {carbonate: 3 volumes, temperature: 4 °C}\n", "too-strong-for-gas", 5, "18 % vol"),
        ("  - add: 500 ml still water\n  - {carbonate: 6 volumes, temperature: 4 °C, vessel: bottle}\n", "bursts", 5, "charge it less"),
        ("  - {sweeten: sugar, ratio: 2 to 1}\n", "ratio-without-whole", 4, "adds the liquid before"),
        ("  - salt: 2 %\n", "ratio-without-whole", 4, "fills it before"),
        ("  - simmer: 20 min\n", "unknown-step", 4, "acid_adjust, add, age"),
        ("  - {stain: fine}\n", "unknown-step", 4, "strain"),
        ("  - {steep: 9 g fresh chilli, time: 1 h}\n", "nothing-to-steep-in", 4, "- add: 700 ml gin"),
        ("  - add: 500 ml gin\n  - steep: 9 g fresh chilli\n", "missing-time", 5, "time: 20 min"),
        ("  - add: 500 ml gin\n  - {wash: 100 ml milk}\n", "no-curd", 5, "sour it first"),
        ("  - add: 500 ml gin\n  - {wash: 100 g butter, time: 4 h}\n  - strain: paper\n", "fat-not-set", 6, "freeze: -18 °C"),
        ("  - add: 500 ml gin\n  - freeze: -18 °C\n", "does-not-freeze", 5, "colder"),
        ("  - add: 500 ml lime juice\n  - acid_adjust: 20 g/l\n", "unreachable", 5, "thin it first"),
        ("  - add: 500 ml gin\n  - dilute: 60 %\n", "unreachable", 5, "less than 40.0 %"),
        ("  - add: [500 ml still water, 20 g sugar]\n  - {ferment: yeast, time: 3 days, abv: 9 %}\n", "unreachable", 5, "measure again"),
        ("  - {add: 500 ml gin, strain: fine}\n", "two-steps", 4, "its own"),
    ],
)  # fmt: skip
def test_what_is_wrong_with_a_step_is_told_at_its_line(
    tmp_path: Path, steps: str, kind: str, line: int, mend: str
) -> None:
    """Place, why, mend: out of order, more than went in, foaming, bursting, unknown, out of reach."""
    told = mistakes(tmp_path, steps)
    assert [one.kind for one in told] == [kind]
    assert told[0].place.line == line
    assert mend in told[0].mend


def test_a_wish_out_of_reach_says_what_is_reached(tmp_path: Path) -> None:
    """An author who asks for less acid than there is, is told how much there is."""
    (told,) = mistakes(tmp_path, "  - add: 500 ml lime juice\n  - acid_adjust: 20 g/l\n")
    assert "it has already 5" in told.message


def test_steps_come_back_from_a_table() -> None:
    """A cell holds the whole list, and a row of it makes the same front-matter again."""
    steps = ({"add": ("700 ml gin",)}, {"steep": "9 g fresh chilli", "time": "20 min"}, "press")
    cells, lost = as_row("preparation", {"kind": "preparation", "name": "P", "steps": steps})
    assert not lost
    back = from_row("preparation", cells)
    assert back["steps"] == steps
    assert "steep: 9 g fresh chilli" in markdown(back)


def test_the_schema_knows_every_step() -> None:
    """An editor offers each step with its settings."""
    schema = schemas()["preparation"]
    known = {key for part in schema["$defs"].values() for key in part.get("properties", {})}
    assert set(STEPS) <= known
