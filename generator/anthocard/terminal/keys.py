"""What can be written: every key of a kind with its shape, an example and what stands in for it.

Belongs here: the list, made from the schemas that editors complete by, so that it has one source.
Does not belong here: the schemas (house/json_schema.py), what is allowed (the types).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cache
from typing import Any, Final

from anthocard.diagnostics.tables import read_table
from anthocard.house.json_schema import TITLES, schemas
from anthocard.house.steps import STEPS

FEW: Final = 12  # choices that are all told; chosen
SOME: Final = 4
#: What a kind's file is called, for who has none yet.
FILES: Final = {
    "house": "house.yaml", "stock": "stock.yaml, one line a thing", "lots": "lots.yaml, a list",
    "infusion": "infusions/NAME.md", "solution": "solutions/NAME.md", "syrup": "syrups/NAME.md",
    "preparation": "preparations/NAME.md", "drink": "drinks/NAME.md", "menu": "menus/NAME.md",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Key:
    """One key of a kind: `path` is its way there with full stops (“reveal.pour”).

    `default` is what stands in where it is left out; empty where it may be and nothing does.
    """

    kind: str
    path: str
    shape: str
    example: str
    default: str
    needed: bool
    says: str = ""


@cache
def keys_of(kind: str) -> tuple[Key, ...]:
    """Every key of house, stock, lots, infusion, solution, syrup, preparation, drink or menu; of a
    preparation also those of its steps. Raises KeyError.
    """
    schema = schemas()[kind]
    inner = {"stock": "line", "lots": "lot"}.get(kind)
    top = schema["$defs"][inner] if inner else schema
    return tuple(_Kind(kind, schema.get("$defs", {})).keys(top, ""))


def called(word: str) -> tuple[Key, ...]:
    """The keys of every kind that are called so, alone or with their way there."""
    said = "_".join(word.casefold().replace("-", " ").split())
    every = (key for kind in TITLES for key in keys_of(kind))
    return tuple(key for key in every if said in (key.path, key.path.rpartition(".")[2]))


def lines(kind: str) -> Iterator[str]:
    """The list of one kind for a terminal."""
    yield f"{kind[0].upper()}{kind[1:]}: what can be written in {FILES[kind]}"
    for key in keys_of(kind):
        yield ""
        yield from key_lines(key)


def key_lines(key: Key) -> Iterator[str]:
    """One key for a terminal."""
    yield f"  {key.path}{' (needed)' if key.needed else ''}: {key.shape}"
    if key.says:
        yield f"      {key.says}"
    yield f"      {key.example}"
    if key.default:
        yield f"      left out: {key.default}"


def page() -> str:
    """The list of all kinds as one page of the documentation."""
    parts = ["# What can be written\n\nEvery key of every file, made from the schemas that editors"
             " complete by. The same at a terminal: `anthocard explain drink`, or any key:"
             " `anthocard explain price`.\n"]  # fmt: skip
    for kind in TITLES:
        rows = "\n".join(map(_table_row, keys_of(kind)))
        parts.append(
            f"\n## {kind}: `{FILES[kind]}`\n\n| key | shape | example | left out |\n"
            f"|---|---|---|---|\n{rows}\n"
        )
    return "".join(parts)


def _table_row(key: Key) -> str:
    says = f" {key.says}" if key.says else ""
    left = "needed" if key.needed else key.default or "nothing"
    cells = (f"`{key.path}`", f"{key.shape}.{says}", f"`{key.example}`", left)
    return f"| {' | '.join(cell.replace('|', ' or ') for cell in cells)} |"


class _Kind:
    """Walks one schema; `defs` are its inner objects."""

    def __init__(self, kind: str, defs: Mapping[str, Any]) -> None:
        self._kind, self._defs = kind, defs

    def keys(self, rule: Mapping[str, Any], before: str) -> Iterator[Key]:
        needed = rule.get("required", ())
        for name, inner in rule["properties"].items():
            path = f"{before}{name}"
            own: dict[str, str] = _notes().get(f"{self._kind}.{path}") or _notes().get(path) or {}
            note = own or {"example": _notes().get(name, {}).get("example")}
            yield Key(
                self._kind,
                path,
                self.shape(inner),
                note.get("example") or f"{name}: {self.example(inner)}",
                note.get("default") or _default(inner),
                name in needed,
                note.get("says") or "",
            )
            seen: set[str] = set()
            for below in self._below(inner):
                if below.get("properties") and path.count(".") < 2:
                    for key in self.keys(below, f"{path}."):
                        if key.path not in seen:  # what all steps have is told once
                            yield _of_step(key, below) if name == "steps" else key
                        seen.add(key.path)

    def _below(self, rule: Mapping[str, Any]) -> list[Mapping[str, Any]]:
        """The objects whose keys stand below a key, behind lists and names of the author's own."""
        if "$ref" in rule:
            return [self._defs[rule["$ref"].rpartition("/")[2]]]
        found: list[Mapping[str, Any]] = []
        for part in (*rule.get("anyOf", ()), *rule.get("oneOf", ())):
            found += self._below(part)
        for key in ("items", "additionalProperties"):
            if isinstance(rule.get(key), dict):
                found += self._below(rule[key])
        for part in rule.get("patternProperties", {}).values():
            found += self._below(part)
        return [one for one in found if set(one.get("properties", ())) != {"amount", "of"}]

    def shape(self, rule: Mapping[str, Any]) -> str:
        """What a value looks like, in words."""
        if "$ref" in rule:
            names = [name for one in self._below(rule) for name in one.get("properties", ())]
            return f"lines of {', '.join(names)}" if names else "how much of what, “50 ml gin”"
        if "oneOf" in rule:
            return f"one of the steps {', '.join(STEPS)}"
        parts = [part for part in rule.get("anyOf", ()) if part.get("type") != "null"]
        if parts:
            return self._either(rule, parts)
        if "const" in rule:
            return f"always {rule['const']}"
        if "enum" in rule:
            return _choices(rule["enum"])
        sort = rule.get("type")
        if sort == "array":
            return f"a list: {self.shape(rule['items'])}" if "items" in rule else "a list"
        if sort == "object":
            return self._by_name(rule)
        return _plain_shape(rule)

    def _either(self, rule: Mapping[str, Any], parts: list[Mapping[str, Any]]) -> str:
        if "description" in rule:
            return str(rule["description"])
        names = next((part["enum"] for part in parts if "enum" in part), None)
        if names is not None and str(names[0]).startswith("30 ml "):
            return "how much of what, “50 ml gin”"
        if names is not None:
            return f"a name, such as {', '.join(map(str, names[:SOME]))}"
        return " or ".join(dict.fromkeys(map(self.shape, parts)))

    def _by_name(self, rule: Mapping[str, Any]) -> str:
        inner = rule.get("additionalProperties")
        inner = inner or next(iter(rule.get("patternProperties", {}).values()), None)
        names = rule.get("propertyNames", {}).get("enum")
        what = f"by {', '.join(names[:SOME])} …" if names else "by name"
        return f"{what}: {self.shape(inner)}" if isinstance(inner, dict) else what

    def example(self, rule: Mapping[str, Any]) -> str:
        """Something that can be written there."""
        if rule.get("examples"):
            return str(rule["examples"][0])
        for part in (*rule.get("anyOf", ()), *rule.get("oneOf", ())):
            if part.get("type") != "null":
                return self.example(part)
        if "$ref" in rule:
            inner = self._defs[rule["$ref"].rpartition("/")[2]]
            names = inner.get("required") or list(inner.get("properties", ()))[:1]
            examples = (f"{name}: {self.example(inner['properties'][name])}" for name in names)
            return f"{{{', '.join(examples)}}}"
        if "enum" in rule:
            return str(rule["enum"][0])
        if "const" in rule:
            return str(rule["const"])
        return _plain_example(rule, self.example)


def _of_step(key: Key, step: Mapping[str, Any]) -> Key:
    """The word of a step says what the step does."""
    word = next(iter(step.get("required", ())), "")
    said = str(step.get("description", "")).split("\n")[0].rstrip(".")
    return replace(key, says=said) if key.path.endswith(f".{word}") and not key.says else key


def _choices(names: list[Any]) -> str:
    if len(names) <= FEW:
        return f"one of {', '.join(map(str, names))}"
    return f"one of {len(names)}: {', '.join(map(str, names[:SOME]))} …"


def _plain_shape(rule: Mapping[str, Any]) -> str:
    sort = rule.get("type")
    if "description" in rule:
        return str(rule["description"])
    if sort == "boolean":
        return "true or false"
    if rule.get("format") == "date":
        return "a day"
    if sort in ("number", "integer"):
        low = rule.get("minimum", rule.get("exclusiveMinimum"))
        high = rule.get("maximum", rule.get("exclusiveMaximum"))
        word = "a number" if sort == "number" else "a whole number"
        ends = f"{'' if low is None else f'{low:g}'} to {'' if high is None else f'{high:g}'}"
        return word if low is None and high is None else f"{word}, {ends.strip()}".rstrip(" to")
    return "words"


def _plain_example(rule: Mapping[str, Any], inner: Any) -> str:
    sort = rule.get("type")
    if sort == "boolean":
        return "true"
    if rule.get("format") == "date":
        return "2026-03-05"
    if sort in ("number", "integer"):
        return f"{max(float(rule.get('minimum', 0)), 1.0):g}"
    if sort == "array":
        parts = [rule["items"]] if "items" in rule else rule.get("prefixItems", [])
        return f"[{', '.join(map(inner, parts))}]"
    if sort == "object":
        names = rule.get("propertyNames", {})
        name = (names.get("enum") or names.get("examples") or ["NAME"])[0]
        below: dict[str, Any] = rule.get("additionalProperties") or next(
            iter(rule.get("patternProperties", {}).values()), {}
        )
        return f"{{{name}: {inner(below)}}}"
    return "a word or two"


def _default(rule: Mapping[str, Any]) -> str:
    value = rule.get("default")
    if value in (None, "", [], {}) or isinstance(value, dict):
        return ""
    if isinstance(value, bool):
        return str(value).lower()
    return f"{value:g}" if isinstance(value, float) else str(value)


@cache
def _notes() -> dict[str, Any]:
    return read_table(__package__, "keys.yaml")["_keys"]  # type: ignore[no-any-return]
