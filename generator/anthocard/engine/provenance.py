"""Where a recipe's figures come from: the rows of every table that had a say.

Belongs here: collecting sources. Does not belong here: judging them.
"""

from __future__ import annotations

from anthocard.diagnostics.tables import read_table
from anthocard.engine.results import Source
from anthocard.facts.chemistry.acids import acid
from anthocard.facts.chemistry.liquid import ACIDS, PLANTS, Liquid
from anthocard.facts.colour.pigments import plant

#: Rows that speak in every figure of their kind: what they give, and table, section, key.
_ALWAYS = (
    ("pH", "activity coefficients", "chemistry/activity.yaml", "debye_hueckel", "size"),
    ("colour", "light and observer", "colour/colours.yaml", "weights", "d65_10"),
    ("colour", "screen", "colour/colours.yaml", "matrices", "srgb_to_xyz"),
)
_WITH_ETHANOL = (
    ("pH", "ethanol beyond 20 % vol", "chemistry/activity.yaml", "checked", "ethanol"),
    ("pH", "glass electrode in ethanol", "chemistry/activity.yaml", "glass_electrode", "offset"),
    ("strength and contraction", "", "chemistry/alcohol.yaml", "density_coefficients", "a"),
)


def sources_of(liquid: Liquid) -> frozenset[Source]:
    """The acid and pigment rows behind one liquid, and those behind every pH and colour."""
    rows, kinds = set(), set[str]()
    for key in ACIDS:
        if float(liquid[f"{key}_mmol"]) != 0.0:
            one = acid(key)
            rows.add(Source("acid", one.label, one.source, one.how))
            kinds.update(one.ethanol)
    for key in PLANTS:
        if float(liquid[f"{key}_au_ml"]) != 0.0:
            rows.add(Source("pigment", plant(key).label, plant(key).source, plant(key).how))
    moved = tuple(
        ("ethanol and pK", kind, "chemistry/activity.yaml", "ethanol_shift", kind)
        for kind in sorted(kinds)
    )
    wanted = _ALWAYS + ((*_WITH_ETHANOL, *moved) if float(liquid["ethanol_g"]) > 0.0 else ())
    for kind, of, table, section, key in wanted:
        row = read_table("anthocard.facts", table)[section][key]
        rows.add(Source(kind, of, row["source"], row["how"]))
    return frozenset(rows)
