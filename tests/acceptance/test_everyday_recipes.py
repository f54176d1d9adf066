"""Forty everyday preparations and drinks of one invented bar, against the facts written beside them.

`house/` holds what a bartender would write, `facts.yaml` what it must come to.
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
from anthocard.engine.results import Computed
from anthocard.engine.trade.batching import batch
from anthocard.facts.chemistry import carbonation, heat
from anthocard.facts.chemistry.acids import acid, acid_keys
from anthocard.facts.chemistry.volume import brix
from anthocard.house.collection import Collection
from anthocard.house.reader import read_sound
from anthocard.press.words.card import make_card

HERE: Final = Path(__file__).parent
FACTS: Final[dict[str, Any]] = yaml.safe_load((HERE / "facts.yaml").read_text(encoding="utf-8"))
FORTY: Final = tuple(FACTS["recipes"])
#: Molar masses of the free acids, g/mol, and of salt (IUPAC atomic weights).
G_PER_MOL: Final = {"citric": 192.12, "acetic": 60.05, "lactic": 90.08, "salt": 58.44}


@cache
def opened() -> tuple[Collection, dict[str, Computed], Shelf]:
    """Whatever of the house can be read, worked out."""
    collection, _ = read_sound(HERE / "house")
    log = MistakeLog()
    figures = {one.name: one for _, one in computing(collection, {}, log)}
    return collection, figures, Shelf(collection, MistakeLog())


def _figure(what: str, one: Computed) -> float:
    state, liquid = one.before, one.before.liquid
    match what:
        case "abv":
            return state.abv_percent
        case "ph":
            return state.ph
        case "sugar":
            return state.sugar_g_per_l
        case "brix":
            return float(brix(liquid))
        case "solids":
            return 100.0 * float(liquid["sugar_g"] + liquid["solutes_g"]) / float(liquid.mass_g)
        case "acids":
            meq = sum(float(liquid[f"{key}_mmol"]) * acid(key).equivalents for key in acid_keys())
            return meq * G_PER_MOL["citric"] / 3.0 / state.volume_ml
        case "density":
            return state.density_g_per_ml
        case "volume":
            return state.volume_ml
        case "caffeine":
            return 1000.0 * float(liquid["caffeine_mg"]) / state.volume_ml
        case "co2":
            return float(carbonation.co2_volumes(liquid))
        case "acid":
            return state.titratable_acidity_g_per_l
        case "salt":
            return float(liquid["strong_anion_mmol"]) * G_PER_MOL["salt"] / state.volume_ml
        case "freezing":
            return float(heat.freezing_point_c(liquid))
        case "pressure" | "portions":
            assert one.making is not None
            told = one.making.pressure_bar if what == "pressure" else one.making.portions
            assert told is not None
            return float(told)
        case _:
            return float(liquid[f"{what}_mmol"]) * G_PER_MOL[what] / state.volume_ml


def _staff_words(one: Computed, collection: Collection) -> str:
    card = make_card(one, collection.house)
    lines = (card.method, *card.steps, *card.cautions, *card.warnings, *card.defaults)
    return " ".join(lines).casefold()


def _states(one: Computed, state: str) -> str:
    return " ".join(a.label for a in one.allergens if a.state == state).casefold()


def check(one: Computed, row: dict[str, Any]) -> None:
    """One fact of one recipe; the assertion says what was found."""
    collection, _, shelf = opened()
    what, words = row["what"], row.get("says", [])
    if what in ("contains", "free"):
        held = _states(one, "contains")
        for word in words:
            assert (word in held) == (what == "contains"), f"contains: {held}"
    elif what in ("colour", "acidity"):
        hidden = what in {told.what for told in one.withheld}
        assert words == (["withheld"] if hidden else ["known"])
    elif what == "days":
        assert one.keeping is not None
        assert one.keeping.days == row["value"], one.keeping.limits
    elif what == "yield":
        assert one.making is not None
        low, high = one.making.yields
        assert low <= row["to"]
        assert high >= row["from"]
    elif what in ("caution", "step"):
        said = _staff_words(one, collection)
        for word in words:
            assert word.casefold() in said, said
    elif what in ("hold_back", "keep_shake"):
        made = batch(one, 12, collection, shelf)
        if what == "keep_shake":
            assert made.still_shaken
        else:
            waiting = [held.name for held in made.held_back]
            assert all(word in waiting for word in words), waiting
    elif "value" in row:
        assert _figure(what, one) == pytest.approx(row["value"], abs=row["within"])
    else:
        assert row["from"] <= _figure(what, one) <= row["to"]


@pytest.mark.parametrize("name", FORTY)
def test_it_comes_to_what_was_written_before(name: str) -> None:
    """Every fact of one recipe holds, and none of its allergens is wrong."""
    _, figures, _ = opened()
    assert name in figures, "it cannot be written"
    for row in FACTS["recipes"][name]:
        check(figures[name], row)


def test_the_list_is_of_forty() -> None:
    """Every recipe of the house has its facts, each fact its source, and none stands for another."""
    written = [*_preparations(), *(HERE / "house" / "drinks").glob("*.md")]
    names = {
        path.read_text(encoding="utf-8").partition("name: ")[2].split("\n")[0] for path in written
    }
    assert names == set(FORTY)
    assert len(names) == 40
    assert all(row["source"] for rows in FACTS["recipes"].values() for row in rows)


def _preparations() -> list[Path]:
    return sorted((HERE / "house" / "preparations").glob("*.md"))
