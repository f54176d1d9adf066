"""What a recipe does that wants more than care, told to its author with what to ask.

Belongs here: which texts and keys of a recipe are read for it. Does not belong here: the rows
(facts/law/processes.py), nor cautions that figures call for (cautions.py).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from anthocard.diagnostics.diagnostic import MistakeLog, Place
from anthocard.engine.safety.sentences import for_staff, laid_on, marked
from anthocard.facts.law.places import jurisdiction
from anthocard.facts.law.processes import Process, done_in, held, stepped
from anthocard.facts.law.rules import rule_of
from anthocard.facts.law.statutes import statutes, whom_to_ask
from anthocard.facts.stock import StockItem
from anthocard.house.collection import Collection
from anthocard.house.model import Infusion, Preparation, Recipe
from anthocard.house.steps import Rest, Steep, Step, Wash, word_of


def done(recipe: Recipe, collection: Collection) -> Mapping[str, tuple[Process, str, Place]]:
    """Each process of a recipe once by its key, with its words where they stand first.

    An infusion's keys tell of one as well: how warm it steeps for how long.
    """
    found: dict[str, tuple[Process, str, Place]] = {}
    for sentence, place in (*for_staff(recipe, collection), *laid_on(recipe, collection)):
        for process, words in done_in(sentence):
            found.setdefault(process.key, (process, words, marked(place, words)))
    if isinstance(recipe, Infusion):
        for process in held(recipe.temperature, recipe.time):
            words = f"{recipe.temperature:g} °C for {recipe.time:g} h"
            at = collection.at(recipe, ("temperature",))
            found.setdefault(process.key, (process, words, at))
    if isinstance(recipe, Preparation):
        for one in _stepped(recipe, collection):
            found.setdefault(one[0].key, one)
    return found


def check_processes(recipe: Recipe, collection: Collection, log: MistakeLog) -> None:
    """Warn of each process of a recipe, with what to mind and whom to ask."""
    for process, words, place in done(recipe, collection).values():
        _tell(process, words, place, collection, log)


def _stepped(recipe: Preparation, collection: Collection) -> Iterator[tuple[Process, str, Place]]:
    for number, step in enumerate(recipe.steps):
        found = [*stepped(_words(step, collection))]
        if isinstance(step, Steep | Rest) and step.temperature is not None:
            hours = step.rest if isinstance(step, Rest) else step.time
            found += held(step.temperature, hours or 0.0)
        place = collection.at(recipe, ("steps", number))
        yield from ((one, word_of(step).replace("_", "-"), place) for one in found)


def _words(step: Step, collection: Collection) -> frozenset[str]:
    """A step's word, and that with each of its choices: “steep siphon”, “wash fat”."""
    word = word_of(step)
    chosen = {str(getattr(step, key, "")) for key in ("way", "vessel", word)}
    if isinstance(step, Wash):
        found = [collection.kitchen(lot.name) for lot in step.wash]
        chosen |= {one.kind for one in found if isinstance(one, StockItem)}
    return frozenset({word, *(f"{word} {one}" for one in chosen)})


def _tell(
    process: Process, words: str, place: Place, collection: Collection, log: MistakeLog
) -> None:
    where = jurisdiction(collection.house.place).within
    here = [
        f" Here: {one.text} ({one.source})."
        for one in statutes()
        if one.topic == process.topic and not where.isdisjoint(one.places) and one.until is None
    ]
    rule = rule_of(process.rule)
    assert rule is not None  # a test holds every row to its caution
    log.add(
        f"process-{process.key}", f"{process.says} (“{words}”): {rule.staff}{''.join(here)}",
        place, f"ask {whom_to_ask(where)}: {process.ask}", "warning",
    )  # fmt: skip
