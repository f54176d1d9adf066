"""The public Python functions: small, documented by examples that run, and lazy."""

from __future__ import annotations

import doctest
import inspect
import subprocess
import sys
from pathlib import Path

import anthocard

ROOT = Path(__file__).parents[1]


def test_the_examples_run() -> None:
    """Every line of the module's and the functions' documentation does what it shows."""
    done = doctest.testmod(anthocard, optionflags=doctest.NORMALIZE_WHITESPACE)
    assert done.failed == 0
    assert done.attempted >= 10


def test_five_names_each_documented() -> None:
    """read, compute, card, render, print: nothing more, and each says what it raises or gives."""
    assert anthocard.__all__ == ["card", "compute", "print", "read", "render"]
    for name in anthocard.__all__:
        assert inspect.getdoc(getattr(anthocard, name))
        assert inspect.signature(getattr(anthocard, name)).return_annotation


def test_importing_costs_nothing() -> None:
    """No heavy library is loaded before a function is called."""
    heavy = "{'pydantic', 'numpy', 'weasyprint', 'colour', 'jinja2', 'yaml'}"
    code = f"import anthocard, sys; assert not {heavy} & set(sys.modules)"
    subprocess.run([sys.executable, "-c", code], check=True, cwd=ROOT)


def test_a_card_on_paper() -> None:
    """The last of the five gives a PDF, the same twice."""
    from anthocard.commands.begin import STARTER

    collection = anthocard.read(STARTER)
    card = anthocard.card(anthocard.compute(collection)["first-light"], collection)
    first = anthocard.print(card)
    assert first.startswith(b"%PDF-")
    assert anthocard.print(card) == first
