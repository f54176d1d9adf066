"""The figures of one recipe for other programs: one JSON file a recipe, an interface.

Belongs here: keys, units and their meaning. Does not belong here: any calculation.

    name, kind, edition     strings; kind is infusion, solution, syrup or drink
    amounts                 in pour order, the reveal last with `"reveal": true`; each has name,
                            ml and g at 20 °C (null where unmeasured), metric and us_oz as printed
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
    warnings                strings
    sources                 what rests on which source, and how the value was got

Numbers keep six significant digits: more than anything here is known to, and the same on every
machine.
"""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from anthocard.engine.findings import Doubt, Input, Spread, Window
from anthocard.engine.results import Caution, Computed, Cost, Measure, State
from anthocard.facts.colour.colours import Colour
from anthocard.facts.colour.pigment_figures import PigmentFigures
from anthocard.facts.units.rounding import ounces
from anthocard.press.base.number_text import amount_and_how, weight
from anthocard.press.words import allergens
from anthocard.press.words.amounts import dimension, poured_volume


def as_json(computed: Computed) -> dict[str, Any]:
    """One computed recipe as plain values, ready for json.dumps."""
    amounts = [_amount(measure) for measure in computed.measures]
    if computed.reveal is not None:
        amounts.append({**_amount(computed.reveal), "reveal": True})
    if computed.is_drink:
        states = {
            "before": _state(computed.before),
            "after": _state(computed.after) if computed.after else None,
        }
    else:
        states = {"liquid": _state(computed.before)}
    return {
        "name": computed.name,
        "kind": computed.kind,
        "edition": computed.edition,
        "amounts": amounts,
        "ingredients": _ingredients(computed),
        **states,
        "delta_e00": _number(computed.delta_e00),
        **_found(computed),
        "cautions": [_caution(one) for one in computed.cautions],
        "allergens": asdict(allergens.told(computed.allergens, by="key")),
        "cost": _cost(computed.cost) if computed.cost else None,
        "warnings": [mistake.message for mistake in computed.warnings],
        "sources": [{"what": s.what, "source": s.source, "how": s.how} for s in computed.sources],
    }


def _ingredients(computed: Computed) -> list[dict[str, Any]]:
    """What a drink comes down to, each once."""
    leaves = dict.fromkeys(leaf for told in computed.poured for leaf in told.leaves)
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
        "total": _number(cost.total),
        "currency": cost.currency,
        "of": cost.of,
        "unpriced": list(cost.unpriced),
    }


def _amount(measure: Measure) -> dict[str, Any]:
    metric, us_oz = _columns(measure)
    return {
        "name": measure.name,
        "ml": _number(measure.ml),
        "g": _number(measure.g),
        "metric": metric,
        "us_oz": us_oz,
    }


def _columns(measure: Measure) -> tuple[str, str]:
    """Both columns: volumes on their lattice, the rest as it is weighed or counted."""
    poured = poured_volume(measure)
    if poured is not None and measure.ml is not None:
        return amount_and_how(poured), amount_and_how(ounces(measure.ml, measure.role))
    if dimension(measure) == "mass" and measure.g is not None:
        return (weight(measure.g),) * 2
    return (measure.text,) * 2


def _state(state: State) -> dict[str, Any]:
    return {
        "volume_ml": _number(state.volume_ml),
        "abv_percent": _number(state.abv_percent),
        "ph": None if state.beyond else _number(state.ph),
        "ph_between": [_number(end) for end in state.between] if state.between else None,
        "titratable_acidity_g_per_l": _number(state.titratable_acidity_g_per_l),
        "sugar_g_per_l": _number(state.sugar_g_per_l),
        "temperature_c": _number(state.temperature_c),
        "colour": {
            "name": state.colour.name,
            "hex": state.colour.hex,
            "lab": [_number(value) for value in state.colour.lab],
            "in_gamut": state.colour.in_gamut,
        },
        "seen": {"side": _colour(state.seen.side), "above": _colour(state.seen.above)},
        "path_mm": {"side": _number(state.seen.side_mm), "above": _number(state.seen.above_mm)},
        "pigments": _pigments(state.pigments) if state.pigments else None,
    }


def _pigments(of: PigmentFigures) -> dict[str, Any]:
    return {
        "shares": {
            plant: {form: _number(share) for form, share in forms} for plant, forms in of.shares
        },
        "lambda_max_nm": _number(of.lambda_max_nm),
        "absorbance_per_cm": _number(of.absorbance),
        "absorbance_per_cm_at_nm": {str(nm): _number(value) for nm, value in of.spectrum},
    }


def _found(computed: Computed) -> dict[str, Any]:
    """The keys from `window` to `calibrations`."""
    first, last = computed.doubt_before, computed.doubt_after
    ours = computed.ours_before, computed.ours_after
    return {
        "window": _window(computed.window) if computed.window else None,
        "uncertainty": (
            {"before": _doubt(first), "after": _doubt(last) if last else None} if first else None
        ),
        "in_our_light": (
            {"before": _colour(ours[0]), "after": _colour(ours[1]) if ours[1] else None}
            if ours[0]
            else None
        ),
        "seen_by": (
            {who: _number(value) for who, value in computed.eyes.seen} if computed.eyes else None
        ),
        "dialled": [
            {
                "name": one.name,
                "wish": one.wish.text,
                "exact_ml": _number(one.exact_ml),
                "ml": _number(one.ml),
                "unit": one.unit,
                "ph": _number(one.ph),
                "delta_e00": _number(one.delta_e00),
                "trade_off": one.trade_off,
            }
            for one in computed.dialled
        ],
        "calibrations": [
            {
                "what": one.what,
                "unit": one.unit,
                "table": _number(one.table),
                "fitted": _number(one.fitted),
                "measured": _number(one.measured),
                "on": one.on.isoformat(),
            }
            for one in computed.fits
        ],
    }


def _number(value: float | None) -> float | None:
    """Six significant digits, and never minus nought."""
    return None if value is None else float(f"{value:.6g}") + 0.0


def _window(window: Window) -> dict[str, Any]:
    return {
        "low_ml": _number(window.low_ml),
        "high_ml": _number(window.high_ml),
        "low_ph": _number(window.low_ph),
        "high_ph": _number(window.high_ph),
        "delta_e00_per_ml": _number(window.delta_e00_per_ml),
        "delta_e00_per_tenth_ph": _number(window.delta_e00_per_tenth_ph),
        "accuracy_ml": _number(window.accuracy_ml),
        "narrow": window.narrow,
    }


def _doubt(doubt: Doubt) -> dict[str, Any]:
    return {
        "ph": _spread(doubt.ph),
        "abv_percent": _spread(doubt.abv_percent),
        "lab": [_spread(part) for part in doubt.lab],
        "delta_e00": _number(doubt.delta_e00),
        "shades": [shade.hex for shade in doubt.strip],
        "ph_hangs_on": _inputs(doubt.ph_by),
        "colour_hangs_on": _inputs(doubt.colour_by),
    }


def _inputs(inputs: tuple[Input, ...]) -> list[dict[str, Any]]:
    return [{"input": one.words, "share": _number(one.share)} for one in inputs]


def _spread(spread: Spread) -> list[float | None]:
    return [_number(spread.p5), _number(spread.p50), _number(spread.p95)]


def _colour(colour: Colour) -> dict[str, Any]:
    return {"name": colour.name, "hex": colour.hex, "lab": [_number(value) for value in colour.lab]}
