"""Recipes and menus in JSON-LD, in the terms of schema.org (version 28, from memory).

Belongs here: which figure or word stands in which property. Does not belong here: where it is
written. A recipe's holds every amount, so nothing publishes it by itself; a menu's says what guests
read on its page and no more.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from html import unescape
from typing import Any

from markupsafe import Markup

from anthocard.engine.results import Computed, Measure
from anthocard.house.model import Drink, Infusion
from anthocard.house.settings import House
from anthocard.press.base.markdown import plain_text, steps_in
from anthocard.press.base.number_text import amount
from anthocard.press.words.amounts import poured_volume

CONTEXT = "https://schema.org"


def recipe_graph(computed: Iterable[Computed], house: House) -> dict[str, Any]:
    """All recipes of a house in one document.

    Properties are those of schema.org/Recipe (version 28, from memory): name, description,
    recipeCategory, recipeYield, recipeIngredient, recipeInstructions, totalTime, author.
    """
    return {"@context": CONTEXT, "@graph": [_recipe(one, house) for one in computed]}


def _recipe(one: Computed, house: House) -> dict[str, Any]:
    recipe = one.recipe
    said = {
        "@type": "Recipe",
        "@id": f"#{one.slug}",
        "name": one.name,
        "description": plain_text(recipe.guest_text),
        "inLanguage": house.language,
        "author": {"@type": "Organization", "name": house.name},
        "recipeCategory": one.kind,
        "recipeYield": _yield(one),
        "totalTime": _duration(recipe.time) if isinstance(recipe, Infusion) else "",
        "recipeIngredient": [_ingredient(m) for m in _all_measures(one)] + _finish(one),
        "recipeInstructions": [
            {"@type": "HowToStep", "position": n, "text": text}
            for n, text in enumerate(steps_in(recipe.staff_text), start=1)
        ],
    }
    return {key: value for key, value in said.items() if value not in ("", [])}


def _all_measures(one: Computed) -> tuple[Measure, ...]:
    return (*one.measures, *one.revealed)


def _ingredient(measure: Measure) -> str:
    """“50 ml gin”: millilitres where it is a volume, else as its author counts it."""
    poured = poured_volume(measure)
    return f"{measure.text if poured is None else amount(poured)} {measure.name}"


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


def menu_json(
    sections: Sequence[Mapping[str, Any]],
    name: str,
    house: str,
    language: str,
    address: str,
    whole: Callable[[str], str],
) -> Markup:
    """One Menu as JSON that may stand in a script element; `address` is empty where unknown.

    `whole` makes the whole address of a page of the guest folder.
    """
    menu = {
        "@context": CONTEXT,
        "@type": "Menu",
        "name": f"{name}, {house}" if name else house,
        "inLanguage": language,
        **({"url": address} if address else {}),
        "hasMenuSection": [_menu_section(section, whole) for section in sections],
    }
    return _script(menu)


def drink_json(drink: Any, language: str, address: str, picture: str) -> Markup:
    """One MenuItem, as on a drink's own page; addresses are empty where unknown."""
    text = " ".join(unescape(re.sub(r"<[^>]+>", " ", str(drink.text))).split())
    item = {
        "@context": CONTEXT,
        **_menu_item(drink, lambda page: address),
        "inLanguage": language,
        "description": text,
        "image": picture,
    }
    return _script({key: value for key, value in item.items() if value})


def _script(values: Mapping[str, Any]) -> Markup:
    # No angle bracket may stand inside a script element: “</script>” would end it.
    return Markup(
        json.dumps(values, ensure_ascii=False, separators=(",", ":")).replace("<", "\\u003c")
    )


def _menu_section(section: Mapping[str, Any], whole: Callable[[str], str]) -> dict[str, Any]:
    return {
        "@type": "MenuSection",
        "name": section["name"],
        **({"description": section["note"]} if section["note"] else {}),
        "hasMenuItem": [_menu_item(drink, whole) for drink in section["drinks"]],
    }


def _menu_item(drink: Any, whole: Callable[[str], str]) -> dict[str, Any]:
    """What a drink is told as on its own page stands there, not twice."""
    item: dict[str, Any] = {"@type": "MenuItem", "name": drink.name}
    if whole(drink.page):
        item["url"] = whole(drink.page)
    if drink.amount:
        item["offers"] = {"@type": "Offer", "price": drink.amount, "priceCurrency": drink.currency}
    return item
