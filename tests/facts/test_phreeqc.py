"""PHREEQC (Parkhurst & Appelo, USGS) solves the same constants: an independent solver agrees.

As shipped its citrate and ion-pair data contradict the primary standards, so every acid is declared
here under a name of its own. `Ph` is never used as an element's name: it clashes with "pH" inside
PHREEQC and gives nonsense (seen: 12.6 for the phthalate standard).
"""

from __future__ import annotations

import numpy as np
from anthocard.facts.chemistry.acids import acid, water_pk
from anthocard.facts.chemistry.activity import debye_hueckel_slope
from anthocard.facts.chemistry.equilibrium import measure_ph
from anthocard.facts.chemistry.liquid import Liquid

ELEMENTS = {"citric": "Cit", "phosphoric": "Pho", "carbonic": "Kar"}
COUNT = 60
ION_SIZE = 1.5 / 0.3286  # Å: PHREEQC writes log gamma = -A z² √I/(1 + 0.3286 a √I) at 25 °C


def definitions() -> str:
    """Our acids, a salt ion without complexes, and water's own ions with our activity form."""
    gamma = f"    -gamma {ION_SIZE:.5f} 0.0"
    masters, species = ["Kat Kat+ 0 1 1", "Ani Ani- 0 1 1"], []
    species += ["Kat+ = Kat+", "    log_k 0", gamma, "Ani- = Ani-", "    log_k 0", gamma]
    species += ["H+ = H+", "    log_k 0", gamma]
    species += ["H2O = OH- + H+", f"    log_k {-float(water_pk()):.5f}", gamma]
    for key, element in ELEMENTS.items():
        pk = acid(key).pk
        base = f"{element}-{len(pk)}" if len(pk) > 1 else f"{element}-"
        masters.append(f"{element} {base} 0 1 1")
        species += [f"{base} = {base}", "    log_k 0", gamma]
        for protons in range(1, len(pk) + 1):
            left = len(pk) - protons
            charge = "" if left == 0 else "-" if left == 1 else f"-{left}"
            log_k = sum(pk[len(pk) - protons :])
            species += [
                f"{base} + {protons} H+ = H{protons}{element}{charge}",
                f"    log_k {log_k:.5f}",
                gamma,
            ]
    return "\n".join(["SOLUTION_MASTER_SPECIES", *masters, "SOLUTION_SPECIES", *species, "END"])


def test_random_buffers_agree_with_phreeqc() -> None:
    """60 random citrate/phosphate/carbonate mixtures to 0.2 mol/kg, within 0.02 pH of PHREEQC.

    Constants are ours, solver and bookkeeping theirs. PHREEQC's A at 25 °C is 0.5092-0.5100.
    """
    from phreeqpython import PhreeqPython

    rng = np.random.default_rng(29)
    totals = {key: rng.uniform(0.0, 60.0, COUNT) for key in ELEMENTS}
    salt = rng.uniform(0.0, 40.0, COUNT)
    base = rng.uniform(0.05, 0.9, COUNT) * sum(totals.values())
    lines = [definitions(), "SELECTED_OUTPUT 1", "    -reset false", "    -pH true"]
    for i in range(COUNT):
        lines += [f"SOLUTION {i + 1}", "    temp 25", "    units mmol/kgw", "    pH 6 charge"]
        lines += [f"    {element} {totals[key][i]:.8f}" for key, element in ELEMENTS.items()]
        lines += [f"    Kat {base[i] + salt[i]:.8f}", f"    Ani {salt[i]:.8f}"]
    phreeqc = PhreeqPython(database="phreeqc.dat")
    phreeqc.ip.run_string("\n".join([*lines, "END"]))
    theirs = np.array([row[0] for row in phreeqc.ip.get_selected_output_array()[1:]], dtype=float)
    mixed = Liquid.of(
        water_g=1000.0,
        strong_cation_mmol=base + salt,
        strong_anion_mmol=salt,
        **{f"{key}_mmol": total for key, total in totals.items()},
    )
    ours = measure_ph(mixed, 25.0).ph
    assert theirs.shape == (COUNT,)
    assert np.ptp(ours) > 2.0  # the grid does cover the range of drinks and beyond
    assert np.max(np.abs(ours - theirs)) < 0.02
    assert abs(float(debye_hueckel_slope()) - 0.51) < 0.002
