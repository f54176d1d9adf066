"""JSON Schemas of all that an author writes, made from the types, so that editors complete it.

Belongs here: one schema a kind of front-matter and one for each YAML file, with the known names put
in as suggestions. Does not belong here: what is allowed (the types say that) or writing files.

A schema is a help while typing: it suggests names and shapes but never refuses a name, because a
house may make a thing that it has not yet written down. The reader has the last word.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping
from typing import Any, Final

from anthocard.facts.chemistry.acids import acid_keys
from anthocard.facts.colour.pigments import plants
from anthocard.facts.glassware import shapes
from anthocard.facts.law.places import known_places
from anthocard.facts.stock import StockItem, generic_stock
from anthocard.house.collection import Collection
from anthocard.house.lots import Lot
from anthocard.house.messages import HIDDEN
from anthocard.house.model import KINDS
from anthocard.house.settings import House

DRAFT: Final = "https://json-schema.org/draft/2020-12/schema"
TITLES: Final = {
    "house": "The house: whose book this is",
    "stock": "What is bought in, one line a thing",
    "lots": "What was made, lot by lot",
    "infusion": "Front-matter of an infusion",
    "solution": "Front-matter of a solution",
    "syrup": "Front-matter of a syrup",
    "preparation": "Front-matter of a preparation: its steps, in order",
    "drink": "Front-matter of a drink",
    "menu": "Front-matter of a menu",
}


def schemas(collection: Collection | None = None) -> dict[str, dict[str, Any]]:
    """One schema a kind: house, stock, lots, infusion, solution, syrup, preparation, drink, menu.

    With a collection its names are suggested too: its glasses, its bottles, its drinks.
    """
    names = _Names(collection)
    made = {"house": _of(House, names), "stock": _stock(names), "lots": _lots(names)}
    made |= {kind: _of(model, names) for kind, model in KINDS.items()}
    whole = made["drink"].pop("required")
    made["drink"]["anyOf"] = [{"required": whole}, {"required": ["name", "based_on"]}]
    return {kind: {"$schema": DRAFT, **made[kind], "title": TITLES[kind]} for kind in TITLES}


def written(schema: Mapping[str, Any]) -> str:
    """The text of a schema file, the same on every run."""
    return f"{json.dumps(schema, ensure_ascii=False, indent=1)}\n"


class _Names:
    """The names that may be suggested, by the key they are written behind."""

    def __init__(self, collection: Collection | None) -> None:
        stock = (collection.stock if collection else generic_stock()).values()
        made = [recipe.name for recipe in collection.made] if collection else []
        poured = [item.name for item in stock if item.kind != "plant" and item.for_drinks]
        dried = [item.name for item in stock if item.plant is not None and item.kind == "plant"]
        self.poured: Final = sorted({*made, *poured})
        self.behind: Final = {
            "into": self.poured,
            "pour": self.poured,
            "of": self.poured,
            "plant": sorted({*dried, *(plant.label.lower() for plant in plants().values())}),
            "glass": sorted({*shapes(), *(collection.house.glasses if collection else ())}),
            "like": sorted(shapes()),
            "drinks": sorted(collection.drinks) if collection else [],
            "based_on": sorted(collection.drinks) if collection else [],
            "place": sorted(known_places()),
        }


def _stock(names: _Names) -> dict[str, Any]:
    """stock.yaml: lines by name; a line over a known one needs none of the keys."""
    line = _of(StockItem, names)
    line["properties"].pop("name")
    line.pop("required", None)
    line["properties"]["plant"] = {"enum": sorted(plants())}
    for key in ("acids_g_per_l", "acids_g_per_kg"):
        line["properties"][key]["propertyNames"] = {"enum": list(acid_keys())}
    definitions = {"line": line, **line.pop("$defs", {})}
    known = {name: {"$ref": "#/$defs/line"} for name in generic_stock()}
    return {
        "type": "object",
        "properties": known,
        "additionalProperties": {"$ref": "#/$defs/line"},
        "$defs": definitions,
    }


def _lots(names: _Names) -> dict[str, Any]:
    """lots.yaml: a list of lots."""
    lot = _of(Lot, names)
    return {"type": "array", "items": {"$ref": "#/$defs/lot"},
            "$defs": {"lot": lot, **lot.pop("$defs", {})}}  # fmt: skip


def _of(model: Any, names: _Names) -> dict[str, Any]:
    schema: dict[str, Any] = model.model_json_schema(by_alias=True)
    for part in _objects(schema):
        for key in HIDDEN:
            part["properties"].pop(key, None)
        for key, rule in part["properties"].items():
            if key in ("pours", "parts", "also"):
                rule["items"] = _lines(rule["items"], names.poured)
            elif key in names.behind:
                part["properties"][key] = _suggesting(rule, names.behind[key])
    return schema


def _objects(value: Any) -> Iterator[dict[str, Any]]:
    """Every object schema inside a schema, itself included."""
    if isinstance(value, dict):
        if isinstance(value.get("properties"), dict):
            yield value
        for inner in value.values():
            yield from _objects(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from _objects(inner)


def _suggesting(rule: dict[str, Any], known: Iterable[str]) -> dict[str, Any]:
    """The rule, with names an editor may offer; any other name stays as right as before."""
    offered = list(known)
    if not offered:
        return rule
    if rule.get("type") == "array":
        return {**rule, "items": _suggesting(rule["items"], offered)}
    kept = ("title", "description", "default")
    about: dict[str, Any] = {key: rule[key] for key in kept if key in rule}
    return {**about, "anyOf": [{"enum": offered}, rule]}


def _lines(rule: dict[str, Any], known: Iterable[str]) -> dict[str, Any]:
    """A line of amount and name: one with each known name to start from."""
    return {"anyOf": [{"enum": [f"30 ml {name}" for name in known]}, rule]}
