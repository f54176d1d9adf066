"""Our light and other eyes: a drink under the house's lamps, and who would not see it turn.

Belongs here: applying lamps and colour-blind sight to a computed drink, and what would help.
Does not belong here: the lamps and matrices themselves (facts.light).

Information, not diagnosis: the matrices stand for the strongest form of each deficiency.
"""

from __future__ import annotations

from functools import cache
from typing import Any

import numpy as np

from anthocard.diagnostics.tables import read_table
from anthocard.engine.findings import Eyes
from anthocard.engine.mix import appearance as look
from anthocard.engine.mix.line import Line
from anthocard.engine.optics.sight import Sight
from anthocard.engine.results import State
from anthocard.engine.together import Work, ask
from anthocard.facts.chemistry.liquid import PLANT_COLUMNS, PLANTS, Floats, Liquid
from anthocard.facts.colour import colours, light
from anthocard.facts.colour.colours import Colour
from anthocard.facts.colour.pigments import coloured, plant
from anthocard.house.settings import House

#: Plants that turn with pH; the rest of the table are colours that stay.
TURNING = (
    "butterfly_pea", "red_cabbage", "rose", "hibiscus", "purple_sweet_potato", "black_carrot",
    "elderberry", "blueberry", "blackcurrant", "purple_corn",
)  # fmt: skip


def in_our_light(
    one: State, house: House, sight: Sight, pk_shift: float = 0.0
) -> Work[Colour | None]:
    """The colour from the side under the house's lamps, eyes settled to them; None in daylight."""
    if house.light == "D65":
        return None
    spectrum = yield from look.light(one.liquid, one.ph, sight, "side", pk_shift)
    xyz = light.xyz_in_our_light(spectrum, float(house.light), "led")
    (colour,) = yield from look.shown(xyz[np.newaxis])
    return colour


def eyes(line: Line, dose_ml: float) -> Work[Eyes]:
    """Who sees the turn of `dose_ml` (> 0) along a line, and what those who do not would see.

    First a larger dose, then another plant of the same strength in the same drink, is tried.
    """
    row = _table()
    least = float(row["turn"]["least_delta_e00"])
    doses = dose_ml * np.linspace(0.0, float(row["doses"]["most"]), int(row["doses"]["points"]))
    here = int(np.argmin(np.abs(doses - dose_ml)))
    seen = yield from _seen(line, line.liquids(doses), doses)
    differences = tuple((who, float(values[here])) for who, values in seen.items())
    unseen = tuple(who for who, value in differences if who != "normal" and value < least)
    plants = (yield from _other_plants(line, dose_ml)) if unseen else {}
    return Eyes(
        differences,
        unseen,
        tuple(_mend(who, seen[who], doses, here, plants, least) for who in unseen),
    )


def _seen(line: Line, liquids: Liquid, doses: Floats) -> Work[dict[str, Floats]]:
    """ΔE00 on a screen from the first of a row of liquids (…, n) to each, by eye."""
    _, spectra = yield from line.light(liquids, doses)
    (screen,) = yield from ask(_screen, spectra)
    differences = yield from ask(_by_eye, screen[..., :1, :], screen)
    return dict(zip(("normal", *light.deficiencies()), differences, strict=True))


def _screen(spectra: Floats) -> tuple[Floats]:
    return (colours.to_srgb(spectra),)


def _by_eye(before: Floats, after: Floats) -> tuple[Floats, ...]:
    return tuple(light.turn_seen_by(before, after).values())


def _other_plants(line: Line, dose_ml: float) -> Work[dict[str, dict[str, float]]]:
    """ΔE00 by eye of the same turn with each turning plant instead of the drink's own."""
    doses = np.array([0.0, dose_ml])
    bare = line.liquids(doses)
    strength = bare.amounts[..., PLANT_COLUMNS].sum(axis=-1)
    amounts = np.array(bare.amounts)
    amounts[..., PLANT_COLUMNS] = 0.0
    bare = Liquid(amounts).having(yellow_au_ml=0.0, haze_au_ml=0.0)
    own = {PLANTS[i] for i in np.flatnonzero(line.before.amounts[PLANT_COLUMNS])}
    others = [key for key in TURNING if key not in own]
    each = Liquid.stack(bare + coloured(key, strength) for key in others)
    seen = yield from _seen(line, each, doses)
    return {
        key: {who: float(values[n, 1]) for who, values in seen.items()}
        for n, key in enumerate(others)
    }


def _mend(
    who: str,
    seen: Floats,
    doses: Floats,
    here: int,
    plants: dict[str, dict[str, float]],
    least: float,
) -> str:
    enough = np.flatnonzero((seen >= least) & (np.arange(len(seen)) > here))
    best = max(plants, key=lambda key: plants[key][who])
    ways = []
    if enough.size:
        ways.append(f"from {doses[enough[0]]:.1f} ml they would see it")
    if plants[best][who] >= least:
        ways.append(f"{plant(best).label.lower()} would show it")
    if not ways:
        ways.append("no dose or plant here shows it: say the change in words")
    return f"{who}: {', or '.join(ways)}"


@cache
def _table() -> dict[str, Any]:
    rows: dict[str, Any] = read_table("anthocard.engine.trust", "colour_vision.yaml")["seen"]
    return rows
