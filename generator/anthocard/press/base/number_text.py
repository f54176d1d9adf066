"""Figures as words: the only rounding besides the two columns of facts.columns.

Belongs here: how many decimals a strength, a volume or a price is printed with. Does not belong
here: amounts to pour or weigh (facts.columns), nor the words around a figure (card.py, spec.py).
"""

from __future__ import annotations


def percent_vol(abv_percent: float) -> str:
    """Strength to one decimal, as labels print it; a whole number drops its nought."""
    return f"{tidy(abv_percent, 1)} % vol"


def millilitres(volume_ml: float) -> str:
    """A volume to the millilitre, from two litres on in litres with one decimal."""
    return f"{volume_ml:.0f} ml" if volume_ml < 2000 else f"{tidy(volume_ml / 1000, 1)} litres"


def money(value: float) -> str:
    """A price: two decimals unless it is a whole number."""
    return f"{value:.2f}".removesuffix(".00")


def tidy(value: float, decimals: int) -> str:
    """`value` to `decimals` places, without idle noughts and never minus nought."""
    text = f"{value:.{decimals}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text == "-0" else text.replace("-", "−")
