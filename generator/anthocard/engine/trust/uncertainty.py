"""How sure a drink's figures are: a cloud of drinks poured with doubtful inputs.

Belongs here: which inputs are drawn, the percentiles of what comes out, and which input is behind
them. Does not belong here: how large each doubt is (doubt.yaml and the facts), how it is worded.

Every input is normally distributed over the points of a lattice, so the same drink always has the
same cloud; the whole cloud is one call of the engine.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from typing import Any

import numpy as np

from anthocard.diagnostics.tables import read_table
from anthocard.engine.findings import Input, InputKind, Spread, Uncertainty
from anthocard.engine.mix import acidity, appearance as look
from anthocard.engine.mix.assemble import Poured
from anthocard.engine.mix.bottle import Bottle
from anthocard.engine.mix.pour import poured_liquid
from anthocard.engine.mix.search import accuracy_ml
from anthocard.engine.optics.sight import Sight
from anthocard.engine.results import Measure, State
from anthocard.engine.together import Work, ask, at_once, column
from anthocard.engine.trust.input_uncertainty import acid_sd, ph_sd, strength_sd
from anthocard.engine.trust.lattice import Draws, percentiles
from anthocard.engine.trust.model_uncertainty import model_sd, with_traces
from anthocard.facts.chemistry import activity, equilibrium, titration
from anthocard.facts.chemistry.liquid import (
    ACID_COLUMNS,
    INDEX,
    PLANT_COLUMNS,
    PLANTS,
    Floats,
    Liquid,
)
from anthocard.facts.chemistry.speciation import Constants
from anthocard.facts.chemistry.volume import abv_percent, volume_ml
from anthocard.facts.colour import colours
from anthocard.facts.colour.pigments import plant
from anthocard.house.settings import House

COLDEST_C = 0.0
_NEAR_ENOUGH = 0.01  # of Newton's last step in a cloud: leaves some 1e-4 of a pH
_STEPS = np.linspace(-3.0, 3.0, 13)
_IONS = [INDEX["strong_cation_mmol"], INDEX["strong_anion_mmol"]]


def uncertainties(
    poured: Sequence[Poured],
    revealed: Sequence[Poured],
    melt: Liquid,
    states: tuple[State, State | None],
    house: House,
    melt_spread: float,
    sight: Sight,
    pk_shift: float = 0.0,
) -> Work[tuple[Uncertainty, Uncertainty | None]]:
    """How sure `states` (before, after all `revealed`) are; seen from the side through `sight`.

    `melt` is the ice water in the drink, `melt_spread` the sd of its logarithm.
    """
    row = _table("draws")["cloud"]
    draws = Draws(int(row["count"]), int(row["step"]))
    everything = [*poured, *revealed]
    nominal = [poured_liquid(bottle, measure, house) for bottle, measure in everything]
    unsure = np.array([ph_sd(bottle) for bottle, _ in everything])
    curves = yield from _ion_curves(Liquid.stack(nominal), unsure)
    clouds = [
        _pour_cloud(draws, bottle, measure, liquid, curve)
        for (bottle, measure), liquid, curve in zip(everything, nominal, curves, strict=True)
    ]
    water = melt.amounts * np.exp(draws.normal("melt", "", melt_spread))[:, None]
    before = water + sum(clouds[: len(poured)])
    batch = [before, before + sum(clouds[len(poured) :])] if revealed else [before]
    warm = [s.temperature_c for s in states if s is not None]
    cloud = Liquid(np.stack(batch))
    shift = pk_shift + _pigment_uncertainty(draws, everything, cloud)
    cloud = with_traces(_clouded(draws, cloud), draws.normal("traces", "", 1.0))
    ph_told, strong = (
        np.array([[getattr(s, name)] for s in states if s is not None])
        for name in ("ph", "ionic_strength_mol_per_kg")
    )
    read = equilibrium.measure_ph(
        cloud, np.maximum(warm, COLDEST_C)[:, None], _constants(draws, cloud),
        equilibrium.PhReading(ph_told, ph_told, strong), _NEAR_ENOUGH,
    )  # fmt: skip
    nominal_state = Liquid.stack(s.liquid for s in states if s is not None)
    sd = model_sd(nominal_state, np.nan_to_num(strong[:, 0]))[:, np.newaxis]
    ph = read.ph + sd * draws.normal("ph-model", "", 1.0)
    longer = np.exp(
        draws.normal("path", "", _table("path")["served" if sight.glass else "tube"]["log_sd"])
    )
    xyz = look.xyz_of_cloud(cloud, ph, sight, shift, longer)
    lab, told = colours.lab_of_xyz(xyz), [s for s in states if s is not None]
    away = colours.delta_e_2000(lab, np.array([[s.colour.lab] for s in told]))
    values = np.stack([ph, abv_percent(cloud), *np.moveaxis(lab, -1, 0), away])
    spreads, moved = percentiles(values, np.stack(draws.columns))
    found = yield from at_once(
        _uncertainty(values[:, i], spreads[:, i], moved[:, i], xyz[i], draws)
        for i in range(len(told))
    )
    return found[0], found[1] if revealed else None


def uncertainty_of_bottle(
    bottle: Bottle, made: State, house: House, sight: Sight
) -> Work[Uncertainty | None]:
    """How sure the figures of a house-made thing are, as it is made; None where it has no pH.

    Its composition is in doubt, not the amount: a weighed batch is weighed.
    """
    if np.isnan(made.ph):
        return None
    mass_g = float(made.liquid.mass_g)
    whole = Measure(bottle.name, None, mass_g, mass_g, "g", f"{mass_g:g} g")
    nothing = Liquid.mix(())
    poured = ((bottle, whole),)
    found, _ = yield from uncertainties(
        poured, (), nothing, (made, None), house, 0.0, sight, bottle.pk_shift
    )
    return found


def _pour_cloud(
    draws: Draws, bottle: Bottle, measure: Measure, liquid: Liquid, curve: Floats
) -> Floats:
    """One pour as it may really come out, shape (count, components)."""
    amounts = np.repeat(liquid.amounts[np.newaxis], draws.count, axis=0)
    if not amounts.any():
        return amounts
    sour, coloured = amounts[0, ACID_COLUMNS].any(), amounts[0, PLANT_COLUMNS].any()
    if sour:
        share = np.exp(draws.normal("acid", bottle.name, acid_sd(bottle)))
        amounts[:, ACID_COLUMNS] *= share[:, np.newaxis]
        amounts[:, _IONS] *= share[:, np.newaxis]
        ions = share * np.interp(draws.normal("ph", bottle.name, 1.0), _STEPS, curve)
        amounts[:, _IONS[0]] += np.maximum(ions, 0.0)
        amounts[:, _IONS[1]] += np.maximum(-ions, 0.0)
    if coloured:
        keys = [key for key in PLANTS if amounts[0, INDEX[f"{key}_au_ml"]]]
        dose = np.exp(draws.normal("strength", bottle.name, strength_sd(bottle)))
        amounts[:, PLANT_COLUMNS] *= dose[:, np.newaxis]
        yellow = max(plant(key).uncertainty["log_yellow"] for key in keys)
        amounts[:, INDEX["yellow_au_ml"]] *= dose * np.exp(
            draws.normal("yellow", bottle.name, yellow)
        )
    percent = float(abv_percent(liquid))
    if percent > 1.0:
        sd = _table("strength")["label"]["sd"] / percent
        amounts[:, INDEX["ethanol_g"]] *= 1.0 + draws.normal("abv", bottle.name, sd)
    ml, unsure = measure.ml, measure.unsure_share
    if unsure:
        poured = 1.0 + draws.normal("loose", bottle.name, unsure, measure.unit)
    elif ml is not None:
        poured = 1.0 + draws.normal("pour", bottle.name, accuracy_ml(ml) / 2.0 / ml)
    else:
        return amounts
    return amounts * np.maximum(poured, 0.0)[:, np.newaxis]


def _ion_curves(liquids: Liquid, unsure: Floats) -> Work[Floats]:
    """Strong ions that move each liquid's own pH by so many (`_STEPS`) of its s.d., mmol."""
    if not liquids.amounts[..., ACID_COLUMNS].any():
        return np.zeros((*liquids.shape, len(_STEPS)))
    ph = np.nan_to_num((yield from acidity.reading(liquids, 20.0)).ph, nan=7.0)
    wanted = ph[:, np.newaxis] + unsure[:, np.newaxis] * _STEPS
    (ions,) = yield from ask(_ions, liquids.amounts[:, np.newaxis], column(wanted))
    found: Floats = ions
    return found


def _ions(amounts: Floats, wanted: Floats) -> tuple[Floats]:
    return (titration.base_to_reach_mmol(Liquid(amounts), wanted[:, 0], 20.0),)


def _pigment_uncertainty(draws: Draws, poured: Sequence[Poured], cloud: Liquid) -> Floats:
    """Deviations of the pigments' pK in the cloud: in water, and of what ethanol does to them."""
    keys = {
        key: bottle
        for bottle, measure in poured
        for key in PLANTS
        if measure.g and float(bottle.per_g[f"{key}_au_ml"])
    }
    shift, ethanol = np.zeros(draws.count), cloud.ethanol_mass_fraction
    for key, bottle in keys.items():
        known, label = "pk" in bottle.measured, plant(key).label.lower()
        moved = 0.0 if known else plant(key).uncertainty["ethanol_shift"]
        if moved > 0.0 and ethanol.any():
            off = draws.normal("ethanol-shift", label, moved / len(keys) ** 0.5)
            shift = shift + ethanol * off
        sd = _table("pigment")["measured_pk"]["sd"] if known else plant(key).uncertainty["pk"]
        if sd > 0.0:
            shift = shift + draws.normal("pk", label, sd / len(keys) ** 0.5)
    return shift


def _clouded(draws: Draws, cloud: Liquid) -> Liquid:
    """The cloud with its haze in doubt, up to the worst its plants bring."""
    doses = cloud.amounts[0, 0, PLANT_COLUMNS]
    tops = [plant(PLANTS[i]).uncertainty["haze_max"] for i in np.flatnonzero(doses)]
    if not tops:
        return cloud
    sd = max(tops) / 12.0**0.5  # of a uniform one from nought to the top
    volume = volume_ml(Liquid(cloud.amounts[0, 0]))
    more = np.maximum(cloud["haze_au_ml"] + draws.normal("haze", "", sd) * volume, 0.0)
    return cloud.having(haze_au_ml=more)


def _constants(draws: Draws, cloud: Liquid) -> Constants:
    ethanol = float(cloud.ethanol_mass_fraction[0, 0])
    if ethanol <= 0.0:
        return Constants()
    far = ethanol > activity.measured_to_mass_fraction()
    kind: InputKind = "far-ethanol" if far else "ethanol"
    part = min(1.0, ethanol / _table("electrode")["full_above"]["mass_fraction"])
    return Constants(
        ethanol_off=draws.normal(kind, "", 1.0),
        electrode_shift=draws.normal("electrode", "", part * activity.electrode_uncertainty()),
    )


def _uncertainty(
    values: Floats, spreads: Floats, moved: Floats, xyz: Floats, draws: Draws
) -> Work[Uncertainty]:
    """What is told of one state by its pH, % vol, CIELAB and ΔE00 (6, n), their percentiles and
    what moves them, and the tristimulus values (n, 3) of its colours.
    """
    centred = values[2:5] - values[2:5].mean(axis=1, keepdims=True)
    _, directions = np.linalg.eigh(centred @ centred.T)
    order = np.argsort(directions[:, -1] @ centred, kind="stable")
    count, near = len(order), int(_table("draws")["strip"]["nearest"]) // 2
    places = [round(share * (count - 1)) for share in (0.05, 0.5, 0.95)]
    middles = [xyz[order[max(0, at - near) : at + near + 1]].mean(axis=0) for at in places]
    shades = sorted((yield from look.shown(np.stack(middles))), key=lambda shade: shade.lab[0])
    ph, strength, *lab, away = (Spread(*one) for one in spreads.tolist())
    return Uncertainty(
        ph=ph,
        abv_percent=strength,
        lab=(lab[0], lab[1], lab[2]),
        delta_e00=away.p95,
        strip=(shades[0], shades[1], shades[2]),
        ph_by=_ranked(draws, values[:1], moved[:1]),
        colour_by=_ranked(draws, values[2:5], moved[2:5]),
    )


def _ranked(draws: Draws, values: Floats, moved: Floats) -> tuple[Input, ...]:
    """The inputs behind the variance of `values` (m, n), which they move so far, greatest first."""
    shares = (moved**2).sum(axis=0) / max(float(values.var(axis=1).sum()), 1e-12)
    best = np.argsort(-shares, kind="stable")[:4]
    ranked = ((draws.inputs[i], float(min(shares[i], 1.0))) for i in best)
    return tuple(
        Input(kind, of, share, unit) for (kind, of, unit), share in ranked if share >= 0.05
    )


@cache
def _table(section: str) -> dict[str, Any]:
    rows: dict[str, Any] = read_table("anthocard.engine.trust", "uncertainty.yaml")[section]
    return rows
