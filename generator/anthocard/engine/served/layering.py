"""Liquids that lie on each other: in which order, by density, and what each looks like by itself.

Belongs here: parting a drink's pours into layers, and telling which two would change places. Does
not belong here: mixing them (mix/assemble.py), drawing them (the press).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from math import hypot
from typing import Any

import numpy as np

from anthocard.diagnostics.diagnostic import MistakeLog, Place
from anthocard.diagnostics.tables import read_table
from anthocard.engine.glassful import Layer
from anthocard.engine.mix import acidity
from anthocard.engine.mix.assemble import Poured
from anthocard.engine.mix.bottle import Bottle
from anthocard.engine.mix.pour import poured_liquid
from anthocard.engine.optics.sight import Sight
from anthocard.engine.results import Seen
from anthocard.engine.trust.input_uncertainty import density_half
from anthocard.facts.chemistry.liquid import Floats, Liquid
from anthocard.facts.chemistry.volume import abv_percent, density_g_per_ml, volume_ml
from anthocard.facts.colour import colours, pigments
from anthocard.facts.colour.optics import transmittance_through
from anthocard.facts.colour.spectra import NM
from anthocard.house.model import Drink
from anthocard.house.settings import House


@dataclass(frozen=True, slots=True, eq=False)
class Lying:
    """A layer to be: its pours by number and name, its liquid, and its density as it lies.

    `half_g_per_ml` is how far that density may be out, from the middle to p5 and p95. What is
    `whipped` throws light back instead of letting it through.
    """

    numbers: tuple[int, ...]
    names: tuple[str, ...]
    liquid: Liquid
    density_g_per_ml: float
    half_g_per_ml: float = 0.0
    whipped: bool = False


def lying(poured: Sequence[Poured], melt: Liquid, recipe: Drink, house: House) -> tuple[Lying, ...]:
    """The layers of a drink as it is written, from the bottom up; empty where all is mixed.

    Of a layered drink every pour is one; of any other what sinks and what floats, with all the rest
    as one between them. `melt` is the water of its ice, which every layer takes its share of.
    """
    groups = _groups(poured, recipe)
    if len(groups) < 2:
        return ()
    whole = [Liquid.mix(poured_liquid(*poured[n], house) for n in numbers) for numbers in groups]
    total = sum(float(volume_ml(one)) for one in whole)
    if total <= 0.0:
        return ()
    found = []
    for numbers, liquid in zip(groups, whole, strict=True):
        watered = liquid + melt * (float(volume_ml(liquid)) / total)
        names = tuple(poured[n][0].name for n in numbers)
        density = float(density_g_per_ml(watered))
        airy = len(numbers) == 1 and numbers == groups[-1] and whipped(poured[numbers[0]][0])
        if airy:
            density = float(_rows("cream")["float"]["g_per_ml"])
        half = max(density_half(poured[n][0]) for n in numbers)
        found.append(Lying(numbers, names, watered, density, half, airy))
    return tuple(found)


def _groups(poured: Sequence[Poured], recipe: Drink) -> list[tuple[int, ...]]:
    """Numbers of the pours of each layer, from the bottom up; what has no volume is in none."""
    measured = [n for n, (_, measure) in enumerate(poured) if measure.g]
    if recipe.method == "layered":
        return [(n,) for n in measured]
    lies = {n: poured[n][1].lies for n in measured}
    below = [(n,) for n in measured if lies[n] == "below"]
    above = [(n,) for n in measured if lies[n] == "on top"]
    rest = tuple(n for n in measured if lies[n] == "in")
    return [*below, *([rest] if rest else []), *above]


def whipped(bottle: Bottle) -> bool:
    """Whether it is a cream, which is half whipped before it is laid on a drink."""
    return bottle.name in _rows("cream")["float"]["of"]


def _cream() -> Floats:
    """Light that half-whipped cream gives back, (81,)."""
    first, last = _rows("cream")["float"]["light"]
    return np.linspace(first, last, len(NM))


def check_order(layers: Sequence[Lying], places: Sequence[Place], log: MistakeLog) -> None:
    """Note the first two layers that would change places, and any two that hardly stay apart.

    `places` are those of the layers in the author's file.
    """
    easy = float(_rows("layers")["apart"]["easy_g_per_ml"])
    for (below, above), place in zip(pairwise(layers), places[1:], strict=True):
        gap = below.density_g_per_ml - above.density_g_per_ml
        upper = f"{_called(above)} ({above.density_g_per_ml:.3f} g/ml)"
        under = f"{_called(below)} ({below.density_g_per_ml:.3f} g/ml)"
        if gap < 0.0:
            order = sorted(layers, key=lambda one: -one.density_g_per_ml)
            log.add(
                "layers-swap",
                f"{upper} would sink through {under}",
                place,
                f"pour them from the bottom up as {', then '.join(map(_called, order))}",
            )
            return
        unsure = hypot(below.half_g_per_ml, above.half_g_per_ml)
        if gap < easy:
            log.add(
                "layers-close",
                f"{upper} will hardly stay on {under}",
                place,
                "run it slowly over the back of a spoon, or take something lighter",
                "warning",
            )
        elif gap < unsure:
            log.add(
                "layers-unsure",
                f"{upper} and {under} lie {gap:.3f} apart, and bottles of such kinds differ by "
                f"±{unsure:.3f}",
                place,
                "pour one to try, or weigh 100 ml of each and write density_g_per_ml in stock.yaml",
                "warning",
            )


def seen_apart(
    layers: Sequence[Lying], at_c: float, sight: Sight, pk_shift: float
) -> tuple[tuple[Layer, ...], Seen]:
    """Each layer by itself, and how the glass looks: from the side as its thickest, from above all.

    Light goes through each for its share of the way that the glass has it go.
    """
    volumes = [float(volume_ml(one.liquid)) for one in layers]
    total_ml = float(sum(volumes))
    readings = [acidity.read(one.liquid, at_c) for one in layers]
    absorbance = [
        pigments.absorbance_per_cm(one.liquid, volume, float(read.ph), pk_shift)
        for one, volume, read in zip(layers, volumes, readings, strict=True)
    ]
    side, above = sight.paths("side", total_ml), sight.paths("above", total_ml)
    layer_rows = [
        colours.colour_of(_cream() if layer.whipped else transmittance_through(one, side))
        for layer, one in zip(layers, absorbance, strict=True)
    ]
    shares = np.array(volumes) / total_ml
    through = np.asarray(sum(share * one for share, one in zip(shares, absorbance, strict=True)))
    seen = Seen(
        layer_rows[int(np.argmax(shares))],
        colours.colour_of(transmittance_through(through, above)),
        float(side.mean_mm),
        float(above.mean_mm),
    )
    found = _layers(layers, volumes, readings, at_c, layer_rows)
    light = [
        () if one.whipped else tuple(a.tolist()) for one, a in zip(layers, absorbance, strict=True)
    ]
    return tuple(
        replace(one, absorbs=absorbs) for one, absorbs in zip(found, light, strict=True)
    ), seen


def _layers(
    layers: Sequence[Lying], volumes: Sequence[float], readings: Sequence[Any], at_c: float,
    reads: Sequence[colours.Colour],
) -> Iterator[Layer]:  # fmt: skip
    for one, ml, read, colour in zip(layers, volumes, readings, reads, strict=True):
        beyond = acidity.beyond(one.liquid, read, at_c)
        ph = None if beyond or np.isnan(read.ph) else float(read.ph)
        sulphite = 1000.0 * float(one.liquid["sulphite_mg"]) / ml if ml else 0.0
        strength = float(abv_percent(one.liquid))
        yield Layer(one.names, ml, one.density_g_per_ml, strength, ph, colour, sulphite)


def _called(layer: Lying) -> str:
    return " with ".join((layer.names[0], *layer.names[1:2]))


def _rows(section: str) -> dict[str, Any]:
    rows: dict[str, Any] = read_table("anthocard.engine.served", "served.yaml")[section]
    return rows
