"""Colour that plants give to a liquid, beside what others drew from theirs.

Belongs here: the strength of a plant as a lognormal, and the papers it was pooled from. Does not
belong here: values (they stand beside the strengths, in extraction.yaml).

In natural logarithms: a plant's strength is known to a factor. A paper held apart is set against the
mean of the other papers on its plant, so that it is never scored by itself; the shipped strength is
pooled from all of them, once each of them was scored.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import log
from statistics import fmean
from typing import Any

from anthocard.diagnostics.tables import read_table
from anthocard.facts.chemistry.extraction import strength_spread

from tests.score.juices import P95
from tests.score.outside import Area, Scored, held


def areas() -> tuple[Area, ...]:
    """One area: what the doubt of a dose is for."""
    return (Area("colour drawn from plants, ln", "", tuple(scored())),)


def scored() -> Iterator[Scored]:
    """Every paper on every plant with a content; those held apart beside the other papers alone."""
    table = read_table("anthocard.facts.chemistry", "extraction.yaml")
    anthocyanin = {"mg_per_l": table["extraction"]["reference_mg_per_l"]["value"]}
    for plant, row in table["plants"].items():
        reads_one = row.get("reads_one", anthocyanin)["mg_per_l"]
        papers = {
            f"{plant}, {number}": log(_given(one) / reads_one)
            for number, one in enumerate(row["content"])
        }
        others = fmean(value for key, value in papers.items() if not held(key))
        spread = P95 * strength_spread(plant)
        for key, published in papers.items():
            ours = others if held(key) else log(row["au_l_per_g"])
            yield Scored(key, published, ours, ours - spread, ours + spread, not held(key))


def _given(paper: dict[str, Any]) -> float:
    """Milligrams that a gram of dried plant gives up, by one paper: the middle of a range."""
    told = paper["mg_per_g"]
    middle: float = fmean(told) if isinstance(told, list) else told
    return middle * float(paper["share"])
