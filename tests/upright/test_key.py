"""Keys rest on everything that an output can rest on, and one module hashes."""

from __future__ import annotations

import ast
from functools import partial
from importlib import metadata
from pathlib import Path
from types import SimpleNamespace

import anthocard
import pytest
from anthocard.press.store import key as module
from anthocard.press.store.key import code, distributions

PACKAGE = Path(anthocard.__file__).parent


def test_each_distribution_below_is_a_part_of_every_key(monkeypatch: pytest.MonkeyPatch) -> None:
    """The version of each raised in turn: another fingerprint. What sets type is among them."""
    before, real = code(), metadata.distribution
    names = [line.split()[0] for line in distributions()]
    assert {"weasyprint", "pydyf", "fonttools", "zopfli", "numpy", "pydantic-core"} <= set(names)
    assert {"pytest", "mypy"}.isdisjoint(names)
    monkeypatch.setattr(module, "print_of", lambda places: "the same")
    same = code.__wrapped__()

    def told_of(one: str, raised: str) -> object:
        told = real(one)
        if one != raised:
            return told
        about = (told.read_text("METADATA") or "").replace("\nVersion: ", "\nVersion: 1", 1)
        return SimpleNamespace(read_text=lambda name: about)

    for name in names:
        with monkeypatch.context() as raised:
            raised.setattr(metadata, "distribution", partial(told_of, raised=name))
            assert code.__wrapped__() != same, name
    assert code() == before


def test_one_module_hashes_and_none_unpickles() -> None:
    """No other module imports hashlib, and none of them pickle, marshal or shelve."""
    imported = {
        (path.relative_to(PACKAGE).as_posix(), name.partition(".")[0])
        for path in PACKAGE.rglob("*.py")
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Import | ast.ImportFrom)
        for name in (
            [one.name for one in node.names]
            if isinstance(node, ast.Import)
            else [node.module or ""]
        )
    }
    assert {path for path, name in imported if name == "hashlib"} == {"digest.py"}
    assert not [path for path, name in imported if name in ("pickle", "marshal", "shelve")]
