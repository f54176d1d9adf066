"""Recipes as schema.org Recipe, in JSON-LD: the form other programs know a recipe by.

Belongs here: which figure stands in which property. Does not belong here: where it is written, nor
what guests see (nothing of this is published by itself: it holds every amount).
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Any

from anthocard.engine.results import Computed, Measure
from anthocard.facts.units.rounding import BY_SCALE, metric_text
from anthocard.facts.units.units import units
from anthocard.house.model import Drink, Infusion
from anthocard.house.settings import House

_STEP = re.compile(r"^\s{0,3}(?:\d+[.)]|[-*+])\s+")
_MARKS = re.compile(r"[*_`]|^#+\s*", re.MULTILINE)


def recipe_graph(computed: Iterable[Computed], house: House) -> dict[str, Any]:
    """All recipes of a house in one document.

    Properties are those of schema.org/Recipe (version 28, from memory): name, description,
    recipeCategory, recipeYield, recipeIngredient, recipeInstructions, totalTime, author.
    """
    return {
        "@context": "https://schema.org",
        "@graph": [_recipe(one, house) for one in computed],
    }


def _recipe(one: Computed, house: House) -> dict[str, Any]:
    recipe = one.recipe
    said = {
        "@type": "Recipe",
        "@id": f"#{one.slug}",
        "name": one.name,
        "description": _plain(recipe.guest_text),
        "inLanguage": house.language,
        "author": {"@type": "Organization", "name": house.name},
        "recipeCategory": one.kind,
        "recipeYield": _yield(one),
        "totalTime": _duration(recipe.time) if isinstance(recipe, Infusion) else "",
        "recipeIngredient": [_ingredient(m) for m in _poured(one)] + _finish(one),
        "recipeInstructions": [
            {"@type": "HowToStep", "position": n, "text": text}
            for n, text in enumerate(_steps(recipe.staff_text), start=1)
        ],
    }
    return {key: value for key, value in said.items() if value not in ("", [])}


def _poured(one: Computed) -> tuple[Measure, ...]:
    return (*one.measures, *((one.reveal,) if one.reveal else ()))


def _ingredient(measure: Measure) -> str:
    """“50 ml gin”: millilitres where it is a volume, else as its author counts it."""
    unit = units().get(measure.unit)
    amount = measure.text.removesuffix(measure.name).strip()
    if unit is not None and unit.dimension == "volume" and measure.ml is not None:
        amount = metric_text(measure.ml, measure.role).removesuffix(BY_SCALE)
    return f"{amount} {measure.name}"


def _finish(one: Computed) -> list[str]:
    return list(one.recipe.garnish) if isinstance(one.recipe, Drink) else []


def _yield(one: Computed) -> str:
    last = one.after or one.before
    many = "1 glass" if one.is_drink else "1 batch"
    return f"{many}, {last.volume_ml:.0f} ml"


def _duration(hours: float) -> str:
    """ISO 8601: hours and minutes."""
    whole, minutes = divmod(round(hours * 60), 60)
    return "PT" + (f"{whole}H" if whole else "") + (f"{minutes}M" if minutes or not whole else "")


def _steps(text: str) -> list[str]:
    """The steps of a method: its numbered or dotted lines, what hangs below them joined on."""
    steps: list[str] = []
    for line in text.splitlines():
        if line.lstrip().startswith("#"):
            continue
        if _STEP.match(line):
            steps.append(_STEP.sub("", line))
        elif line.strip() and steps:
            steps[-1] = f"{steps[-1]} {line.strip()}"
        elif line.strip():
            steps.append(line.strip())
    return [_plain(step) for step in steps]


def _plain(text: str) -> str:
    """Markdown without its marks, on one line."""
    return " ".join(_MARKS.sub("", text).split())
