"""Many reckonings in step with each other come to what each of them comes to alone."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields, is_dataclass
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from anthocard.diagnostics.diagnostic import MistakeLog
from anthocard.engine.compute import compute, compute_one
from anthocard.engine.mix.shelf import Shelf
from anthocard.engine.results import Computed
from anthocard.engine.together import Work, alone, ask, at_once, column
from anthocard.facts.chemistry.liquid import Floats
from anthocard.house.reader import read_house

from tests.benchmarks.houses import mix_house

DEMO = Path(__file__).parents[2] / "recipes"


@pytest.fixture(scope="module")
def mixed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A house of drinks of chance, more than go in step at once."""
    return mix_house(tmp_path_factory.mktemp("mixed") / "house", 18)


def numbers(value: object, path: str = "") -> Iterator[tuple[str, Floats]]:
    """Every number below a value, with its way there."""
    if isinstance(value, np.ndarray | float | int):
        yield path, np.asarray(value, dtype=np.float64)
    elif isinstance(value, tuple | list):
        for place, one in enumerate(value):
            yield from numbers(one, f"{path}[{place}]")
    elif is_dataclass(value) and not isinstance(value, type):
        for field in fields(value):
            yield from numbers(getattr(value, field.name), f"{path}.{field.name}")


@pytest.mark.parametrize("of", ["demo", "mixed"])
def test_a_house_at_once_is_its_recipes_one_by_one(of: str, mixed: Path) -> None:
    """Every figure within 1e-5 of pH and 0.001 of CIELAB, and the same words and warnings."""
    collection = read_house(DEMO if of == "demo" else mixed)
    whole, _ = compute(collection)
    shelf = Shelf(collection, MistakeLog())
    shelf.fill()
    for recipe in collection.recipes:
        one = compute_one(recipe, collection, shelf, MistakeLog())
        other = whole[one.slug]
        _same(one, other)
        assert (one.edition, one.warnings) == (other.edition, other.warnings)
        assert told(one) == told(other)


def told(one: Computed) -> list[tuple[str, str, str]]:
    """What is told of a recipe."""
    return [(caution.key, caution.guest, caution.staff) for caution in one.cautions]


def _same(one: Computed, other: Computed) -> None:
    theirs = dict(numbers(other))
    for path, value in numbers(one):
        assert value.shape == theirs[path].shape, path
        within = 1e-3 if "lab" in path or "delta_e00" in path or "hex" in path else 1e-5
        np.testing.assert_allclose(value, theirs[path], rtol=1e-6, atol=within, err_msg=path)


def test_calls_of_one_function_are_one_call() -> None:
    """Works of one, two and three rounds, each with a shape of its own, meet in three calls."""
    calls: list[int] = []

    def twice(values: Floats) -> tuple[Floats]:
        calls.append(len(values))
        return (2.0 * values[:, 0],)

    def going(start: Any, rounds: int) -> Work[Floats]:
        value = np.asarray(start, dtype=np.float64)
        for _ in range(rounds):
            (value,) = yield from ask(twice, column(value))
        return value

    starts = (1.0, [2.0, 3.0], [[4.0], [5.0]])
    found = alone(at_once(going(start, n + 1) for n, start in enumerate(starts)))
    for n, (start, value) in enumerate(zip(starts, found, strict=True)):
        np.testing.assert_array_equal(value, np.asarray(start) * 2.0 ** (n + 1))
    assert calls == [5, 4, 2]
    assert alone(at_once([])) == []
