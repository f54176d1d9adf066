"""The two printed columns: an amount in metric and in ounces, rounded as a jigger can pour it.

Belongs here: steps, lattice and tolerance of printing. Does not belong here: reading amounts
(measures.py) or working any out. Arithmetic is exact; the rules are common practice, no source.
"""

from __future__ import annotations

from functools import cache
from typing import Any, Final, Literal, TypeAlias

from anthocard.diagnostics.tables import read_table
from anthocard.facts.units.units import units

Ounces: TypeAlias = Literal["US", "imperial"]
Rounding: TypeAlias = Literal["lattice", "exact"]

BY_SCALE: Final = " by scale"
_QUARTERS: Final = ("", "¼", "½", "¾")
_NEAR: Final = 1e-9


def metric_text(ml: float, role: str = "other") -> str:
    """Millilitres as printed: “22.5 ml”.

    Multiples of 2.5 ml from 5 ml up, of 0.5 ml from 1 ml, of 0.05 ml below. Where that would be off
    by more than the role allows (2 % for acid, buffer and pigment, 5 % for spirit and other), the
    exact figure with “by scale” after it. Raises ValueError for what is not a finite amount above
    zero, KeyError for an unknown role.
    """
    rounded = _stepped(_amount(ml))
    if _close_enough(rounded, ml, role):
        return f"{_plain(rounded)} ml"
    return f"{_exact(ml)} ml{BY_SCALE}"


def ounce_text(
    ml: float, role: str = "other", ounces: Ounces = "US", rounding: Rounding = "lattice"
) -> str:
    """Ounces as printed: “¾ oz + ½ tsp”.

    On the lattice an ounce is 30 ml (imperial: 28.41 ml) in quarters, a teaspoon 5 ml in
    halves, and less than 1 ml is drops of 0.05 ml; an amount off it stays in millilitres “by
    scale”. With `rounding="exact"` it is decimals of the legal fluid ounce. Raises ValueError.
    """
    _amount(ml)
    row = _table("ounces")[ounces]
    if rounding == "exact":
        return f"{_exact(ml / _unit_ml(row['legal']))} {row['label']}"
    quarter_ml = _unit_ml(row["printed"]) / 4
    ladder = _drops(ml) if ml < 1.0 else _spoons() + _ounces(ml, quarter_ml, row["label"])
    rounded, text = min(ladder, key=lambda rung: (round(abs(rung[0] - ml), 9), len(rung[1])))
    if _close_enough(rounded, ml, role):
        return text
    shown = metric_text(ml, role)
    return shown if shown.endswith(BY_SCALE) else shown + BY_SCALE


def mass_text(grams: float) -> str:
    """Grams as a scale shows them: 1 g steps above 50 g, 0.1 g from 1 g, 0.01 g below."""
    _amount(grams)
    if grams > 50.0:
        return f"{grams:.0f} g"
    return f"{_plain(round(grams, 1 if grams >= 1.0 else 2))} g"


def quarters_text(quarters: int) -> str:
    """A whole number of quarters: 5 is “1¼”."""
    whole, part = divmod(quarters, 4)
    return f"{whole or ''}{_QUARTERS[part]}" or "0"


def _ounces(ml: float, quarter_ml: float, label: str) -> list[tuple[float, str]]:
    most = int(ml / quarter_ml) + 1
    spoon_ml = _unit_ml("tsp")
    spoons = ((0.0, ""), (spoon_ml / 2, " + ½ tsp"), (spoon_ml, " + 1 tsp"))
    return [
        (n * quarter_ml + more_ml, f"{quarters_text(n)} {label}{more}")
        for n in range(max(1, most - 2), most + 1)
        for more_ml, more in spoons
    ]


def _spoons() -> list[tuple[float, str]]:
    """Quarter teaspoons up to one, then whole ones up to two; beyond that come ounces."""
    quarters = (1, 2, 3, 4, 8)
    return [(q * _unit_ml("tsp") / 4, f"{quarters_text(q)} tsp") for q in quarters]


def _drops(ml: float) -> list[tuple[float, str]]:
    drop_ml = _unit_ml("drop")
    count = max(1, round(ml / drop_ml))
    return [(count * drop_ml, "1 drop" if count == 1 else f"{count} drops")]


def _stepped(ml: float) -> float:
    """The nearest step of the metric ladder, never zero."""
    rows = _table("steps").values()
    step = next(row["step_ml"] for row in rows if ml >= row["from_ml"])
    return float(max(1, round(ml / step)) * step)


def _close_enough(rounded: float, ml: float, role: str) -> bool:
    return abs(rounded - ml) <= float(_table("tolerances")[role]["share"]) * ml + _NEAR


def _amount(value: float) -> float:
    if not 0.0 < value < 1e9:
        raise ValueError(f"{value} is not an amount that can be printed")
    return value


def _unit_ml(key: str) -> float:
    return units()[key].factor or 0.0


def _plain(value: float) -> str:
    return f"{value:.2f}".rstrip("0").rstrip(".")


def _exact(value: float) -> str:
    """Three figures: 3.56, 13.6, 148."""
    digits = 2 if value < 10.0 else 1 if value < 100.0 else 0
    shown = f"{value:.{digits}f}"
    return shown.rstrip("0").rstrip(".") if "." in shown else shown


@cache
def _table(section: str) -> dict[str, Any]:
    rows: dict[str, Any] = read_table("anthocard.facts.units", "rounding.yaml")[section]
    return rows
