"""Buffers of the handbooks written as solutions of a house and worked out whole.

Compositions per litre, reference values at 25 °C: Buck et al., Pure Appl. Chem. 74 (2002) 2169
(memory); citrate and carbonate 3.776 and 10.012 in Staples & Bates, J. Res. NBS 73A (1969) 37 (read
in the abstract). Molar against molal is under 0.4 % here and moves no figure by 0.01.
"""

from __future__ import annotations

import pytest

from tests.engine.conftest import Computer

STANDARDS = {
    "citrate": ("11.41 g potassium dihydrogen citrate", 3.776),
    "phthalate": ("10.12 g potassium hydrogen phthalate", 4.005),
    "phosphate": (
        "3.39 g potassium dihydrogen phosphate, 3.53 g disodium hydrogen phosphate",
        6.865,
    ),
    "borax": ("3.80 g borax", 9.180),
    "carbonate": ("2.092 g sodium bicarbonate, 2.640 g sodium carbonate", 10.012),
}

STOCK = """\
khp powder:
  kind: substance
  acids_g_per_kg: {phthalic: 813.5}
  strong_ions: {cations_meq_per_kg: 4896.6}
  source: KHC8H4O4, 204.22 g/mol, from atomic weights
borate liquor:
  kind: solution
  acids_g_per_l: {boric: 2.473}
  strong_ions: {cations_meq_per_l: 20}
  source: 0.01 mol/l Na2B4O7
measured liquor:
  kind: solution
  acids_g_per_l: {citric: 9.6}
  ph: 3.8
  source: a meter
"""


@pytest.mark.parametrize("name", STANDARDS)
def test_a_primary_standard_reads_its_certified_ph(name: str, computer: Computer) -> None:
    """A standard weighed from the substances table reads within 0.03 of its published pH."""
    parts, expected = STANDARDS[name]
    text = f"kind: solution\nname: {name} standard\nparts: [{parts}]\nmade_up_to: 1 l\n"
    one = computer({f"solutions/{name}.md": text}, at_c=25.0)[name]
    assert one.before.ph == pytest.approx(expected, abs=0.03)


@pytest.mark.parametrize(
    ("parts", "made", "expected"),
    [
        ("10.12 g khp powder", "made_up_to: 1 l\n", 4.005),
        ("100 ml borate liquor", "", 9.180),
        ("100 ml measured liquor", "", 3.8),
    ],
)
def test_a_house_can_define_its_own_chemistry(
    parts: str, made: str, expected: float, computer: Computer
) -> None:
    """Stock per kilogram, per litre with strong ions, or by a measured pH gives the same standards."""
    text = f"kind: solution\nname: s\nparts: [{parts}]\n{made}"
    one = computer({"stock.yaml": STOCK, "solutions/s.md": text}, at_c=25.0)["s"]
    assert one.before.ph == pytest.approx(expected, abs=0.03)
