"""What a recipe does that wants more than care, told to its author with what to ask.

Belongs here: which texts and keys of a recipe are read for it. Does not belong here: the rows
(facts/law/processes.py), nor cautions that figures call for (cautions.py).
"""

from __future__ import annotations

from collections.abc import Mapping

from anthocard.diagnostics.diagnostic import MistakeLog, Place
from anthocard.engine.safety.sentences import for_staff, laid_on, marked
from anthocard.facts.law.places import jurisdiction
from anthocard.facts.law.processes import Process, done_in, held
from anthocard.facts.law.rules import rule_of
from anthocard.facts.law.statutes import statutes, whom_to_ask
from anthocard.house.collection import Collection
from anthocard.house.model import Infusion, Recipe


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
    return found


def check_processes(recipe: Recipe, collection: Collection, log: MistakeLog) -> None:
    """Warn of each process of a recipe, with what to mind and whom to ask."""
    for process, words, place in done(recipe, collection).values():
        _tell(process, words, place, collection, log)


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
