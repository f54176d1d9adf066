"""One state of a liquid for other programs, and how a drink stands and changes.

Belongs here: keys and units of states, stages, layers and what is in a glass. Does not belong here:
the recipe they stand in (recipe_json.py, which tells what each key means), any calculation.
"""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from anthocard.engine.glassful import Glassful, Layer
from anthocard.engine.results import Computed, State
from anthocard.facts.colour.colours import Colour
from anthocard.facts.colour.pigment_figures import PigmentFigures


def as_state(of: State) -> dict[str, Any]:
    """One state, keys as recipe_json.py tells them."""
    return {
        "volume_ml": number(of.volume_ml),
        "abv_percent": number(of.abv_percent),
        "ph": None if of.beyond else number(of.ph),
        "ph_between": [number(end) for end in of.between] if of.between else None,
        "titratable_acidity_g_per_l": number(of.titratable_acidity_g_per_l),
        "sugar_g_per_l": number(of.sugar_g_per_l),
        "temperature_c": number(of.temperature_c),
        "colour": {**as_colour(of.colour), "in_gamut": of.colour.in_gamut},
        "seen": {"side": as_colour(of.seen.side), "above": as_colour(of.seen.above)},
        "path_mm": {"side": number(of.seen.side_mm), "above": number(of.seen.above_mm)},
        "pigments": _pigments(of.pigments) if of.pigments else None,
    }


def _pigments(of: PigmentFigures) -> dict[str, Any]:
    return {
        "shares": {
            plant: {form: number(share) for form, share in forms} for plant, forms in of.shares
        },
        "lambda_max_nm": number(of.lambda_max_nm),
        "absorbance_per_cm": number(of.absorbance),
        "absorbance_per_cm_at_nm": {str(nm): number(value) for nm, value in of.spectrum},
    }


def as_stage(n: int, computed: Computed) -> dict[str, Any]:
    """One reveal of a drink, and the drink after it."""
    stage, cautions = computed.stages[n], computed.cautions_at
    return {
        "name": stage.measure.name,
        "how": stage.how,
        "served": stage.served or None,
        "layers": [_layer(layer) for layer in stage.layers],
        "cautions": list(cautions[n + 1]) if cautions else None,
        "state": as_state(stage.state),
    }


def _layer(layer: Layer) -> dict[str, Any]:
    return {
        "names": list(layer.names),
        "ml": number(layer.ml),
        "density_g_per_ml": number(layer.density_g_per_ml),
        "abv_percent": number(layer.abv_percent),
        "ph": number(layer.ph),
        "colour": as_colour(layer.colour),
    }


def glassful_json(in_glass: Glassful) -> dict[str, Any]:
    """What stands in the glass as the drink leaves the bar."""
    ice = in_glass.ice
    return {
        "layers": [_layer(layer) for layer in in_glass.layers],
        "foam": [
            {"of": one.of, "ml": number(one.ml),
             "range_ml": [number(one.low_ml), number(one.high_ml)]}
            for one in in_glass.foam
        ],
        "ice": None if ice is None else {
            "kind": ice.kind, "pieces": ice.pieces, "mm": number(ice.mm),
            "grams": number(ice.grams), "displaces_ml": number(ice.displaces_ml),
            "share": number(ice.share),
        },
        "frozen": [
            {"of": one.of, "kind": one.kind, "pieces": one.pieces, "mm": number(one.mm),
             "ml": number(one.ml), "grams": number(one.grams),
             "displaces_ml": number(one.displaces_ml)}
            for one in in_glass.frozen
        ],
        "garnish": [asdict(one) for one in in_glass.garnish],
        "level_ml": number(in_glass.level_ml),
        "brim_ml": number(in_glass.brim_ml),
    }  # fmt: skip


def as_colour(of: Colour) -> dict[str, Any]:
    """A colour by name, for a screen and in CIELAB; of one that nobody can tell the name alone."""
    lab = [number(value) for value in of.lab]
    return {"name": of.name, "hex": of.shown or None, "lab": lab if of.shown else None}


def number(value: float | None) -> float | None:
    """Six significant digits, and never minus nought."""
    return None if value is None else float(f"{value:.6g}") + 0.0
