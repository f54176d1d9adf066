"""Twenty drinks of one invented bar as they stand in the glass, against the facts beside them.

`bar/` holds what a bartender would write: parts, ratios, tops, floats, several reveals, sized ice;
`served.yaml` what it must come to. A drink in its table of what is not possible yet is expected to
fail, and fails this test once it passes.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any, Final

import pytest
import yaml
from anthocard.diagnostics.diagnostic import MistakeLog
from anthocard.engine.compute import computing
from anthocard.engine.mix.shelf import Shelf
from anthocard.engine.results import Computed, State
from anthocard.engine.trade.batching import batch
from anthocard.house.collection import Collection
from anthocard.house.reader import read_sound
from anthocard.press.words.card import make_card

HERE: Final = Path(__file__).parent
FACTS: Final[dict[str, Any]] = yaml.safe_load((HERE / "served.yaml").read_text(encoding="utf-8"))


@cache
def opened() -> tuple[Collection, dict[str, Computed], Shelf]:
    """Whatever of the bar can be read, worked out."""
    collection, _ = read_sound(HERE / "bar")
    log = MistakeLog()
    figures = {one.name: one for _, one in computing(collection, {}, log) if one.is_drink}
    return collection, figures, Shelf(collection, MistakeLog())


def _at(one: Computed, stage: int) -> State:
    """As it leaves the bar, or after so many reveals with everything stirred in."""
    return one.before if stage == 0 else one.stages[stage - 1].state


def _poured(one: Computed, name: str) -> float:
    found = [measure for measure in one.measures if measure.name == name]
    assert found, [measure.name for measure in one.measures]
    assert found[0].ml is not None
    return found[0].ml


def _figure(row: dict[str, Any], one: Computed) -> float:
    what, at = row["what"], _at(one, row.get("at", 0))
    glassful = one.glassful
    assert glassful is not None
    match what:
        case "pour":
            return _poured(one, row["of"])
        case "ratio":
            first, second = row["of"]
            return _poured(one, first) / _poured(one, second)
        case "total":
            return (one.after or one.before).volume_ml
        case "abv":
            return at.abv_percent
        case "ph":
            return at.ph
        case "volume":
            return at.volume_ml
        case "temperature":
            return at.temperature_c
        case "caffeine":
            return float(one.before.liquid["caffeine_mg"])
        case "foam":
            return sum(foam.ml for foam in glassful.foam)
        case "density":
            found = [layer for layer in glassful.layers if row["of"] in layer.names]
            return found[0].density_g_per_ml
    assert glassful.ice is not None
    match what:
        case "ice_g":
            return glassful.ice.grams
        case "displaces":
            return glassful.ice.displaces_ml
        case "room":
            return glassful.brim_ml - glassful.ice.floats_ml
        case _:
            raise KeyError(what)


def check(one: Computed, row: dict[str, Any]) -> None:
    """One fact of one drink; the assertion says what was found."""
    collection, _, shelf = opened()
    what, words = row["what"], row.get("says", [])
    if what == "contains":
        held = {a.label.casefold() for a in one.allergens if a.state == "contains"}
        assert {w for w in held if any(word in w for word in words)} == held
        assert all(any(word in label for label in held) for word in words), held
    elif what == "told":
        card = make_card(one, collection.house)
        said = [f"{line.number} {line.unit}".strip() for line in card.pours]
        said += [line.name for line in card.pours]
        assert all(any(word in text for text in said) for word in words), said
    elif what == "stages":
        assert [stage.how for stage in one.stages] == words
    elif what == "layers":
        glassful = one.glassful if row["at"] == 0 else None
        layers = glassful.layers if glassful else one.stages[row["at"] - 1].layers
        assert [layer.names[0] for layer in layers] == words
        densities = [layer.density_g_per_ml for layer in layers]
        assert densities == sorted(densities, reverse=True)
    elif what == "colours_differ":
        first, last = (_at(one, n) for n in row["at"])
        assert first.colour.hex != last.colour.hex
    elif what == "ph_falls":
        told = [_at(one, n).ph for n in range(row["from"], row["to"] + 1)]
        assert told == sorted(told, reverse=True)
        assert len(set(told)) == len(told)
    elif what == "same_as_stirred_at_once":
        assert one.after is not None
        assert one.after.ph == pytest.approx(one.stages[-1].state.ph, abs=1e-9)
        assert one.after.colour.hex == one.stages[-1].state.colour.hex
    elif what == "stirred":
        assert one.stirred is not None
    elif what == "hold_back":
        waiting = [held.name for held in batch(one, 12, collection, shelf).held_back]
        assert all(word in waiting for word in words), waiting
    elif what == "without":
        assert not {measure.name for measure in one.measures} & set(words)
    elif "value" in row:
        assert _figure(row, one) == pytest.approx(row["value"], abs=row["within"])
    else:
        assert row["from"] <= _figure(row, one) <= row["to"]


@pytest.mark.parametrize("name", tuple(FACTS["drinks"]))
def test_it_comes_to_what_was_written_before(name: str) -> None:
    """Every fact of one drink holds."""
    _, figures, _ = opened()
    assert name in figures, "it cannot be written"
    for row in FACTS["drinks"][name]:
        check(figures[name], row)


def test_every_drink_has_its_facts_and_each_fact_its_source() -> None:
    """The folder and the list hold the same names."""
    files = (HERE / "bar" / "drinks").glob("*.md")
    names = {file.read_text("utf-8").partition("name: ")[2].split("\n")[0] for file in files}
    assert names == set(FACTS["drinks"])
    assert all(row["source"] for rows in FACTS["drinks"].values() for row in rows)
