"""The figures of one recipe for other programs: one JSON file a recipe, an interface.

Belongs here: keys, units and their meaning. Does not belong here: any calculation.

    name, kind, edition     strings; kind is infusion, solution, syrup or drink
    amounts                 in pour order, reveals last with `"reveal": true`; each has name, ml and
                            g at 20 °C (null where unmeasured), metric and us_oz as printed, and
                            lies: in, on top or below
    ingredients             of a drink: what was bought that is in it, each once: name, and contains
                            (keys of listed allergens its record names); empty for other kinds
    before, after           a drink as it leaves the bar, and with the reveal stirred in (null
                            where nothing is poured); other kinds have `liquid` in their place.
                            Each has volume_ml, abv_percent, ph, titratable_acidity_g_per_l (as
                            citric acid), sugar_g_per_l, temperature_c and colour {name, hex,
                            lab [L*, a*, b*] for D65 and 10°, in_gamut of sRGB}; seen {side,
                            above}, each name, hex and lab: the body of the drink in its glass from
                            the side (colour is the same), and through its surface as a seated guest
                            looks in (other kinds: in the sample tube, and over white); path_mm
                            {side, above}, the mean way of light through it
    stages                  of a drink, each reveal in order: name, how, served, layers as it lies
                            unstirred, cautions (keys; null where there is one reveal) and state
    stirred                 a drink in layers once it is stirred, or null
    in_the_glass            layers from the bottom up {names, ml, density_g_per_ml, abv_percent,
                            ph, colour}, foam {of, ml, range_ml}, ice {kind, pieces, mm, grams,
                            displaces_ml, share} or null, frozen {of, kind, pieces, mm, ml, grams,
                            displaces_ml}, each frozen reveal before it melts, garnish {words, sort,
                            place}, level_ml and brim_ml
    delta_e00               CIEDE2000 between before and after seen from above, or null
    window                  for a reveal, or null: low_ml, high_ml (null: no larger dose spoils it),
                            low_ph, high_ph, delta_e00_per_ml, delta_e00_per_tenth_ph, accuracy_ml
                            (±) and narrow
    uncertainty             null where there is no pH: before (other kinds: as made) and after, each
                            with ph, abv_percent, lab (three), as [p5, p50, p95], delta_e00 (19 of
                            20 within), shades (three hexes) and what the pH and the colour hang on
                            as {input, share}
    in_our_light            {before, after} with name, hex and lab, or null in daylight
    seen_by                 CIEDE2000 of the turn by eye (normal, protan, deutan, tritan), or null
    dialled                 wishes granted: name, wish, exact_ml, ml, ph, delta_e00, trade_off
    calibrations            what readings changed: what, unit, table, fitted, measured, on
    cautions                each with key, weight (stop: it may not be served so; firm: no house may
                            loosen it; note), words (for staff, whole), guest and label (null where
                            it has none) and on, the papers of this recipe it stands on: card,
                            label, menu, prep, batch, spec
    allergens               {contains, may_contain, unchecked}: keys of the place's list; what is in
                            none of the three is known to be absent from every checked part
    cost                    total (waste in it, tax not), currency, of (serve of a drink, litre of
                            anything else) and unpriced, what is left out of the sum; null where
                            nothing has a price
    withheld                figures that are not told: what (colour, acidity, strength), because
    making                  of a preparation, or null: yields, strengths [least, most] and weighed,
                            pressure_bar, portions, left_in
    warnings                strings
    sources                 what rests on which source, and how the value was got

Numbers keep six significant digits: more than anything here is known to, and the same on every
machine.
"""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from anthocard.engine.findings import Input, Spread, Uncertainty, Window
from anthocard.engine.results import Caution, Computed, Cost, Measure
from anthocard.engine.steps.making import Making
from anthocard.facts.units.rounding import metric, ounces
from anthocard.facts.units.shares import TOP
from anthocard.press.base.number_text import amount_and_how, weight
from anthocard.press.data.state_json import as_colour, as_stage, as_state, glassful_json, number
from anthocard.press.words import allergen_words
from anthocard.press.words.amounts import dimension, poured_volume


def as_json(computed: Computed) -> dict[str, Any]:
    """One computed recipe as plain values, ready for json.dumps."""
    amounts = [_amount(measure) for measure in computed.measures]
    amounts += [{**_amount(measure), "reveal": True} for measure in computed.revealed]
    if computed.is_drink:
        states = {
            "before": as_state(computed.before),
            "after": as_state(computed.after) if computed.after else None,
            "stages": [as_stage(n, computed) for n in range(len(computed.stages))],
            "stirred": as_state(computed.stirred) if computed.stirred else None,
            "in_the_glass": glassful_json(computed.glassful) if computed.glassful else None,
        }
    else:
        states = {"liquid": as_state(computed.before)}
    return {
        "name": computed.name,
        "kind": computed.kind,
        "edition": computed.edition,
        "amounts": amounts,
        "ingredients": _ingredients(computed),
        **states,
        "delta_e00": number(computed.delta_e00),
        **_found(computed),
        "cautions": [_caution(one) for one in computed.cautions],
        "allergens": asdict(allergen_words.by_state(computed.allergens, by="key")),
        "cost": _cost(computed.cost) if computed.cost else None,
        "withheld": [{"what": one.what, "because": one.because} for one in computed.withheld],
        "making": _making(computed.making) if computed.making else None,
        "warnings": [mistake.message for mistake in computed.warnings],
        "sources": [{"what": s.what, "source": s.source, "how": s.how} for s in computed.sources],
    }


def _ingredients(computed: Computed) -> list[dict[str, Any]]:
    """What a drink comes down to, each once."""
    leaves = dict.fromkeys(leaf for part in computed.poured for leaf in part.leaves)
    return [{"name": leaf.name, "contains": list(leaf.contains)} for leaf in leaves]


def _caution(one: Caution) -> dict[str, Any]:
    return {
        "key": one.key,
        "weight": one.weight,
        "words": one.staff,
        "guest": one.guest or None,
        "label": one.label or None,
        "on": list(one.on),
    }


def _cost(cost: Cost) -> dict[str, Any]:
    return {
        "total": number(cost.total),
        "currency": cost.currency,
        "of": cost.of,
        "unpriced": list(cost.unpriced),
    }


def _amount(measure: Measure) -> dict[str, Any]:
    metric, us_oz = _columns(measure)
    return {
        "name": measure.name,
        "ml": number(measure.ml),
        "g": number(measure.g),
        "metric": metric,
        "us_oz": us_oz,
        "lies": measure.lies,
    }


def _columns(measure: Measure) -> tuple[str, str]:
    """Both columns: volumes on their lattice, the rest as it is weighed or counted."""
    poured = poured_volume(measure)
    if poured is not None and measure.ml is not None:
        return amount_and_how(poured), amount_and_how(ounces(measure.ml, measure.role))
    if dimension(measure) == "mass" and measure.g is not None:
        return (weight(measure.g),) * 2
    if measure.unit == TOP and measure.ml is not None:
        columns = amount_and_how(metric(measure.ml)), amount_and_how(ounces(measure.ml))
        return f"to the top, about {columns[0]}", f"to the top, about {columns[1]}"
    return (measure.text,) * 2


def _making(made: Making) -> dict[str, Any]:
    return {
        "yields": [number(share) for share in made.yields],
        "weighed": made.weighed,
        "strengths": [number(percent) for percent in made.strengths],
        "pressure_bar": number(made.pressure_bar),
        "portions": made.portions,
        "left_in": list(made.left_in),
    }


def _found(computed: Computed) -> dict[str, Any]:
    """The keys from `window` to `calibrations`."""
    first, last = computed.uncertainty_before, computed.uncertainty_after
    ours = computed.ours_before, computed.ours_after
    return {
        "window": _window(computed.window) if computed.window else None,
        "uncertainty": (
            {"before": _uncertainty(first), "after": _uncertainty(last) if last else None}
            if first
            else None
        ),
        "in_our_light": (
            {"before": as_colour(ours[0]), "after": as_colour(ours[1]) if ours[1] else None}
            if ours[0]
            else None
        ),
        "seen_by": (
            {who: number(value) for who, value in computed.eyes.seen} if computed.eyes else None
        ),
        "dialled": [
            {
                "name": one.name,
                "wish": one.wish.text,
                "exact_ml": number(one.exact_ml),
                "ml": number(one.ml),
                "unit": one.unit,
                "ph": number(one.ph),
                "delta_e00": number(one.delta_e00),
                "trade_off": one.gave_way.words if one.gave_way else "",
            }
            for one in computed.dialled
        ],
        "calibrations": [
            {
                "what": one.what,
                "unit": one.unit,
                "table": number(one.table),
                "fitted": number(one.fitted),
                "measured": number(one.measured),
                "on": one.on.isoformat(),
            }
            for one in computed.fits
        ],
    }


def _window(window: Window) -> dict[str, Any]:
    return {
        "low_ml": number(window.low_ml),
        "high_ml": number(window.high_ml),
        "low_ph": number(window.low_ph),
        "high_ph": number(window.high_ph),
        "delta_e00_per_ml": number(window.delta_e00_per_ml),
        "delta_e00_per_tenth_ph": number(window.delta_e00_per_tenth_ph),
        "accuracy_ml": number(window.accuracy_ml),
        "narrow": window.narrow,
    }


def _uncertainty(uncertainty: Uncertainty) -> dict[str, Any]:
    return {
        "ph": _spread(uncertainty.ph),
        "abv_percent": _spread(uncertainty.abv_percent),
        "lab": [_spread(part) for part in uncertainty.lab],
        "delta_e00": number(uncertainty.delta_e00),
        "shades": [shade.hex for shade in uncertainty.strip],
        "ph_hangs_on": _inputs(uncertainty.ph_by),
        "colour_hangs_on": _inputs(uncertainty.colour_by),
    }


def _inputs(inputs: tuple[Input, ...]) -> list[dict[str, Any]]:
    return [{"input": one.words, "share": number(one.share)} for one in inputs]


def _spread(spread: Spread) -> list[float | None]:
    return [number(spread.p5), number(spread.p50), number(spread.p95)]
