"""The menu for machines that read pages: schema.org JSON-LD.

Belongs here: Menu, MenuSection and MenuItem and their properties (schema.org 28, memory). Does not
belong here: anything guests do not read on the page as well.
"""

from __future__ import annotations

import json
import re
from collections.abc import Mapping, Sequence
from html import unescape
from typing import Any

from markupsafe import Markup

CONTEXT = "https://schema.org"


def menu_json(
    sections: Sequence[Mapping[str, Any]], name: str, house: str, language: str, address: str
) -> Markup:
    """One Menu as JSON that may stand in a script element; `address` is empty where unknown."""
    menu = {
        "@context": CONTEXT,
        "@type": "Menu",
        "name": f"{name}, {house}" if name else house,
        "inLanguage": language,
        **({"url": address} if address else {}),
        "hasMenuSection": [_section(section, address) for section in sections],
    }
    # No angle bracket may stand inside a script element: “</script>” would end it.
    return Markup(
        json.dumps(menu, ensure_ascii=False, separators=(",", ":")).replace("<", "\\u003c")
    )


def _section(section: Mapping[str, Any], address: str) -> dict[str, Any]:
    return {
        "@type": "MenuSection",
        "name": section["name"],
        **({"description": section["note"]} if section["note"] else {}),
        "hasMenuItem": [_item(drink, address) for drink in section["drinks"]],
    }


def _item(drink: Any, address: str) -> dict[str, Any]:
    told = " ".join(unescape(re.sub(r"<[^>]+>", " ", str(drink.text))).split())
    item: dict[str, Any] = {"@type": "MenuItem", "name": drink.name}
    if told:
        item["description"] = told
    if address:
        item["url"] = f"{address}#{drink.slug}"
    if drink.amount:
        item["offers"] = {"@type": "Offer", "price": drink.amount, "priceCurrency": drink.currency}
    return item
