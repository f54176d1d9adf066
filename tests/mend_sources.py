"""Every text that mends a mistake, read out of the package's own source, with holes for values.

What belongs here: how such texts are found. What each is tried with stands in commands/mends.yaml.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import TypeAlias

import anthocard

SOURCE = Path(anthocard.__file__).parent
HOLE = "…"
_KIND = re.compile("[a-z]+(-[a-z]+)+")
Function: TypeAlias = ast.FunctionDef | ast.AsyncFunctionDef


@cache
def trees() -> dict[str, ast.Module]:
    files = sorted(SOURCE.rglob("*.py"))
    return {str(path.relative_to(SOURCE)): ast.parse(path.read_text("utf-8")) for path in files}


def name_of(called: ast.expr) -> str:
    return getattr(called, "id", getattr(called, "attr", ""))


@cache
def functions() -> dict[str, list[tuple[str, Function]]]:
    found: dict[str, list[tuple[str, Function]]] = {}
    for module, tree in trees().items():
        for node in ast.walk(tree):
            if isinstance(node, Function):
                found.setdefault(node.name, []).append((module, node))
    return found


@cache
def takers() -> dict[str, int]:
    """What is handed a mend, and as which of its arguments: functions and types with a `mend`."""
    found = {
        name: [a.arg for a in node.args.args if a.arg != "self"].index("mend")
        for name, known in functions().items()
        for _, node in known
        if "mend" in [a.arg for a in node.args.args] and name != "__init__"
    }
    for tree in trees().values():
        for node in ast.walk(tree):
            if not isinstance(node, ast.ClassDef):
                continue
            fields = [getattr(one.target, "id", "") for one in node.body if _annotated(one)]
            for one in node.body:
                if isinstance(one, ast.FunctionDef) and one.name == "__init__":
                    fields = [a.arg for a in one.args.args[1:]]
            if "mend" in fields:
                found[node.name] = fields.index("mend")
    return found


def _annotated(node: ast.stmt) -> bool:
    return isinstance(node, ast.AnnAssign)


def sources() -> dict[str, set[str]]:
    """Each text, by the modules that give it; what cannot be read begins with a question mark."""
    found: dict[str, set[str]] = {}
    for module, tree in trees().items():
        for text in sorted(_in(module, tree, None)):
            found.setdefault(text, set()).add(module)
    return found


def _in(module: str, node: ast.AST, around: Function | None) -> Iterator[str]:
    for child in ast.iter_child_nodes(node):
        if isinstance(child, ast.Call):
            given = _given(child)
            if given is not None:
                yield from _texts(given, module, around, 0)
        elif isinstance(child, ast.Tuple) and _told(child):
            yield from _texts(child.elts[-1], module, around, 0)
        yield from _in(module, child, child if isinstance(child, Function) else around)


def _given(call: ast.Call) -> ast.expr | None:
    """The mend a call hands on, if it does; `add` of anything but a log has fewer arguments."""
    at = takers().get(name_of(call.func))
    if at is None or any(isinstance(one, ast.Starred) for one in call.args):
        return None
    named = [one.value for one in call.keywords if one.arg == "mend"]
    return named[0] if named else call.args[at] if len(call.args) > at else None


def _told(row: ast.Tuple) -> bool:
    """Whether a tuple is a mistake in the making: its kind, what is wrong, and last how to mend it."""
    first, *more = row.elts or [row]
    kind = first.value if isinstance(first, ast.Constant) else name_of(first).lower()
    named = name_of(first).isupper() or bool(_KIND.fullmatch(str(kind)))
    if len(more) < 2 or not named:
        return False
    last = more[-1]
    if isinstance(last, ast.Constant):  # a list of kinds is no mistake
        return isinstance(last.value, str) and _KIND.fullmatch(last.value) is None
    return name_of(last) == "mend" or isinstance(last, ast.JoinedStr | ast.Call | ast.BinOp)


def _texts(given: ast.expr, module: str, around: Function | None, deep: int) -> list[str]:
    match given:
        case ast.Constant(value=str(text)):
            return [text] if text else []
        case ast.JoinedStr(values=parts):
            return ["".join(p.value if isinstance(p, ast.Constant) else HOLE for p in parts)]
        case ast.IfExp(body=one, orelse=other):
            return _texts(one, module, around, deep) + _texts(other, module, around, deep)
        case ast.BinOp(op=ast.Add(), left=one, right=other):
            return [
                start + end
                for start in _texts(one, module, around, deep) or [HOLE]
                for end in _texts(other, module, around, deep) or [HOLE]
            ]
        case ast.BoolOp(values=several):
            return [text for one in several for text in _texts(one, module, around, deep)]
        case ast.Call(func=ast.Name(id="did_you_mean")):
            return [f"{module}: {ast.unparse(given)}"]
        case ast.Call(func=ast.Attribute(attr="format", value=text)):
            return [
                re.sub(r"(\{[^}]*\})+", HOLE, one) for one in _texts(text, module, around, deep)
            ]
        case ast.Call(func=ast.Name(id=name)) if name in functions() and deep < 4:
            known = functions()[name]
            here = [one for one in known if one[0] == module] or known
            return [
                text
                for where, function in here
                for back in ast.walk(function)
                if isinstance(back, ast.Return) and back.value is not None
                for text in _texts(back.value, where, function, deep + 1)
            ]
        case ast.Name(id=name):
            return _assigned(name, module, around, deep)
        case ast.Attribute(attr="mend") | ast.Call(func=ast.Name(id="getattr")):
            return []  # given elsewhere, and handed on
        case (
            ast.Subscript(value=ast.Name(id=name))
            | ast.Call(func=ast.Attribute(attr="get", value=ast.Name(id=name)))
        ):
            return _last(name, module)
        case ast.Call(func=ast.Attribute(attr="replace", value=text)):
            return _texts(text, module, around, deep)
        case ast.Call(func=ast.Attribute(attr="join")):
            return [HOLE]
        case ast.Constant():
            return []
    return [f"? {module}: {ast.unparse(given)}"]


def _assigned(name: str, module: str, around: Function | None, deep: int) -> list[str]:
    """What a name may hold: in the function around, or else as the module's own constant."""
    if deep > 6:
        return []
    found: list[str] = []
    for scope in filter(None, (around, trees()[module])):
        for node in ast.walk(scope):
            value = getattr(node, "value", None)
            if not isinstance(node, ast.Assign | ast.AnnAssign | ast.AugAssign) or value is None:
                continue
            for target in getattr(node, "targets", [getattr(node, "target", None)]):
                if isinstance(target, ast.Name) and target.id == name:
                    found += _texts(value, module, around, deep + 1)
                elif isinstance(target, ast.Tuple) and name in map(name_of, target.elts):
                    at = [name_of(one) for one in target.elts].index(name)
                    if isinstance(value, ast.Tuple):
                        found += _texts(value.elts[at], module, around, deep + 1)
                    else:
                        found += _unpacked(value, module, around)
        if found:
            return found
    handed = around is not None and name in [a.arg for a in around.args.args]
    return [] if handed or name == "mend" else [f"? {module}: {name}"]


def _unpacked(value: ast.expr, module: str, around: Function | None) -> list[str]:
    """The last of each tuple that a table of the module holds, where a row of it is unpacked."""
    names = {node.id for node in ast.walk(value) if isinstance(node, ast.Name)}
    for node in ast.walk(around) if around is not None else ():
        if isinstance(node, ast.Assign) and names & {name_of(one) for one in node.targets}:
            names |= {inner.id for inner in ast.walk(node.value) if isinstance(inner, ast.Name)}
    tables = [text for name in sorted(names) if name.isupper() for text in _last(name, module)]
    return tables + [
        text
        for one in ast.walk(value)
        if isinstance(one, ast.Tuple)
        for text in _texts(one.elts[-1], module, around, 4)
    ]


def _last(name: str, module: str) -> list[str]:
    for node in trees()[module].body:
        if isinstance(node, ast.Assign | ast.AnnAssign) and node.value is not None:
            targets = node.targets if isinstance(node, ast.Assign) else [node.target]
            if name in map(name_of, targets):
                held = node.value
                values = held.values if isinstance(held, ast.Dict) else getattr(held, "elts", [])
                rows = [one.elts[-1] if isinstance(one, ast.Tuple) else one for one in values]
                texts = [text for row in rows for text in _texts(row, module, None, 0)]
                return [re.sub(r"(\{[^…}]*\})+", HOLE, text) for text in texts]
    return []
