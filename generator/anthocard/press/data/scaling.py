"""The batch on a spec page: what goes into one, and all that a script needs to make it for more.

Belongs here: the engine's batch of one as words and as plain data. Does not belong here: the sums
(batching.py), the words of a batch sheet (batch.py), the script (the themes).

A batch is linear in how many are made, so a page holds that of one and the rules by which amounts
are rounded; what the script shows is then what `anthocard batch` prints.
"""

from __future__ import annotations

import json
from dataclasses import dataclass, replace
from typing import Any

from anthocard.engine.mix.shelf import Shelf
from anthocard.engine.results import Computed
from anthocard.engine.trade.batching import Batch, times, times_limits
from anthocard.engine.trade.held_back import BatchLine, heavy_from_ml
from anthocard.engine.trade.vessels import goes_solid, usual
from anthocard.facts.chemistry.alcohol import water_density_g_per_ml
from anthocard.facts.units.rounding import rules
from anthocard.house.collection import Collection
from anthocard.house.settings import House
from anthocard.press.base.languages import Language, language
from anthocard.press.base.number_text import millilitres, ph_text, tidy
from anthocard.press.words.amounts import unit_of
from anthocard.press.words.batch_sheet import (
    LEAST_WATER_G,
    make_sheet,
    makes_words,
    melt,
    to_the_mark,
)
from anthocard.press.words.bottle_label import bottles_words, service_lines

HELD = "{held}"


@dataclass(frozen=True, slots=True)
class Scaling:
    """A batch of one in words, and in `data` (JSON) what it takes to scale it.

    `names` are the lines in order, water last where there is any. `makes` is what the recipe
    as written comes to, empty for a drink, of which serves are counted. `service` and `bottling`
    hold for any number; each line of `service` is in two where an amount held back stands between.
    """

    names: tuple[str, ...]
    makes: str
    least: str
    most: str
    shows: str
    service: tuple[tuple[str, ...], ...]
    bottling: tuple[str, ...]
    data: str


def make_scaling(figures: Computed, collection: Collection, shelf: Shelf) -> Scaling | None:
    """The batch of one recipe; None for what cannot be made ahead."""
    try:
        one = times(figures, 1, collection, shelf)
    except ValueError:
        return None
    sheet = make_sheet(figures, one, collection.house)
    least, most = times_limits()
    tongue = language(collection.house.language)
    words = [f"pH {ph_text(one.ph, 1, tongue)}", tongue.word("colour", one.colour)]
    return Scaling(
        names=tuple(line.name for line in one.lines)
        + ((tongue.gettext("still water"),) if one.water_g > 0.0 else ()),
        makes="" if figures.is_drink else millilitres(one.total_ml, tongue),
        least=tidy(least, 2),
        most=tidy(most, 0),
        shows=", ".join(words),
        service=tuple(
            tuple(line.split(HELD)) for line in service_lines(figures, one, tongue, HELD)
        ),
        bottling=sheet.bottling[1:],  # the first line counts the bottles
        data=json.dumps(
            _data(figures, one, collection.house, least, most, tongue),
            ensure_ascii=False,
            separators=(",", ":"),
        ),
    )


def _data(
    figures: Computed, one: Batch, house: House, least: float, most: float, tongue: Language
) -> dict[str, Any]:
    """Plain values of one, units in the keys; `words` have `{…}` where a figure goes."""
    return {
        "least": least,
        "most": most,
        "lines": [_line(line, tongue) for line in one.lines],
        "held": [_line(_measured(held.all), tongue) for held in one.held_back],
        "water_g": one.water_g,
        "water_g_per_ml": water_density_g_per_ml(),
        "least_water_g": LEAST_WATER_G,
        "total_ml": one.total_ml,
        "total_g": one.total_g,
        "vessels": _vessels(figures, one, house, tongue),
        "weigh_from_ml": heavy_from_ml(),
        "rules": rules(),
        "words": {
            "makes": makes_words("{volume}", "{mass}", one.density_g_per_ml, tongue),
            "water": to_the_mark("{mark}", tongue) if one.serves is None else melt(tongue),
        },
    }


def _vessels(figures: Computed, one: Batch, house: House, tongue: Language) -> list[dict[str, Any]]:
    """What may be filled, the smallest first: how much it holds, one and many of it in words."""
    frozen = goes_solid(one.keeping.store, one.freezer_safe)
    return [
        {
            "ml": vessel.holds_ml,
            "one": bottles_words(vessel.kind, "1", vessel.ml, tongue),
            "many": bottles_words(vessel.kind, "{count}", vessel.ml, tongue),
        }
        for vessel in usual(figures.recipe, house, frozen)
    ]


def _measured(line: BatchLine) -> BatchLine:
    """What waits for service is poured there, not weighed, where it can be."""
    return line if line.ml is None else replace(line, g=None)


def _line(line: BatchLine, tongue: Language) -> dict[str, Any]:
    return {
        "ml": line.ml if line.weighed else None,
        "g": line.g if line.weighed else None,
        "role": line.role,
        "count": line.count,
        "one": unit_of(line, False, tongue),
        "many": unit_of(line, True, tongue),
    }
