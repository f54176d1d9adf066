"""Letting a culture work: what it grew is measured by the house, and told as unknown until it is.

Belongs here: alcohol, acid and gas of a ferment from its readings. Does not belong here: its
cautions (facts/law), the gas of a cylinder (gassing.py).
"""

from __future__ import annotations

from dataclasses import replace

from anthocard.engine.steps.drawing import draw
from anthocard.engine.steps.pot import Done, Pot, StepError
from anthocard.facts.chemistry import carbonation, yields
from anthocard.facts.chemistry.acids import acid
from anthocard.facts.chemistry.alcohol import ethanol_density_g_per_ml
from anthocard.facts.chemistry.equilibrium import infer_strong_ions
from anthocard.house.steps import Ferment


def ferment(step: Ferment, pot: Pot) -> tuple[Pot, Done]:
    """Sugar becomes what was measured: alcohol and its gas, and the culture's own acid.

    Without a reading of acid or pH the acidity is withheld, and of alcohol, where the culture makes
    any, the strength. Raises StepError for more alcohol than the sugar could have given.
    """
    if step.time is None:
        raise StepError(
            "missing-time", "nothing says how long it works", "add a line “time: 6 days”", "ferment"
        )
    if pot.g <= 0.0:
        raise StepError(
            "nothing-to-ferment", "there is nothing in the pot yet",
            "put the step that fills it before it", "ferment",
        )  # fmt: skip
    before = pot.g
    pot = draw(pot, step.time, 20.0 if step.temperature is None else step.temperature)
    grows = yields.culture(step.ferment)
    sugar_g, gas_g = float(pot.liquid["sugar_g"]), 0.0
    if step.abv is not None:
        wanted_g = step.abv / 100.0 * pot.ml * ethanol_density_g_per_ml()
        _, most_g = carbonation.fermented(sugar_g)
        there_g = float(pot.liquid["ethanol_g"])
        if wanted_g - there_g > float(most_g):
            most = 100.0 * (there_g + float(most_g)) / ethanol_density_g_per_ml() / pot.ml
            raise StepError(
                "unreachable",
                f"the sugar in it gives {most:.1f} % vol at most, and {step.abv:g} % was written",
                "measure again, or look at the sugar",
                "abv",
            )
        made_g = max(0.0, wanted_g - there_g)
        used_g = made_g / float(carbonation.fermented(1.0)[1])
        gas_g = float(carbonation.fermented(used_g)[0])
        water_g = float(pot.liquid["water_g"]) - (made_g + gas_g - used_g)
        pot = replace(
            pot,
            liquid=pot.liquid.having(
                sugar_g=sugar_g - used_g, ethanol_g=there_g + made_g, water_g=water_g
            ),
        )
    elif grows["alcohol"][1] > 0.5:
        low, high = grows["alcohol"]
        pot = pot.without(
            "strength", f"a {step.ferment} grows {low:g} to {high:g} % vol of alcohol: measure it"
        )
    pot = _soured(step, pot, grows)
    put_in = 0.0
    left = before - pot.g
    return pot, Done("ferment", put_in, pot.ml, pot.g, left, weighed=True)


def _soured(step: Ferment, pot: Pot, grows: dict[str, object]) -> Pot:
    key = str(grows["acid"])
    if step.acid is not None and key:
        grown_g = min(step.acid * pot.ml / 1000.0, float(pot.liquid["sugar_g"]))
        mmol = 1000.0 * grown_g / acid(key).molar_mass_g_per_mol
        pot = replace(
            pot,
            liquid=pot.liquid.having(
                sugar_g=pot.liquid["sugar_g"] - grown_g,
                solutes_g=pot.liquid["solutes_g"] + grown_g,
                solutes_ml=pot.liquid["solutes_ml"] + 0.62 * grown_g,
                **{f"{key}_mmol": pot.liquid[f"{key}_mmol"] + mmol},
            ),
        )
    if step.ph is not None:
        pot = replace(pot, liquid=infer_strong_ions(pot.liquid, step.ph, 20.0))
        pot = replace(pot, withheld=tuple(w for w in pot.withheld if w.what != "acidity"))
    elif step.acid is None or not key:
        pot = pot.without("acidity", f"the acid a {step.ferment} grows is measured: titrate it")
    return replace(pot, cloudy=True)
