"""What a recipe does that wants more than care, told to its author with what to ask.

Belongs here: which texts and keys of a recipe are read for it. Does not belong here: the rows
(facts/law/processes.py), nor cautions that figures call for (cautions.py).
"""

from __future__ import annotations

from anthocard.diagnostics.diagnostic import MistakeLog, Place
from anthocard.engine.safety.sentences import for_staff, laid_on, marked
from anthocard.facts.law.places import jurisdiction
from anthocard.facts.law.processes import Process, done_in, held
from anthocard.facts.law.statutes import statutes, whom_to_ask
from anthocard.house.collection import Collection
from anthocard.house.model import Infusion, Recipe


def check_processes(recipe: Recipe, collection: Collection, log: MistakeLog) -> None:
    """Warn of each process of a recipe once, where it is first told; or by an infusion's keys."""
    told: set[str] = set()
    for sentence, place in (*for_staff(recipe, collection), *laid_on(recipe, collection)):
        for process, words in done_in(sentence):
            if process.key not in told:
                told.add(process.key)
                _tell(process, words, marked(place, words), collection, log)
    if isinstance(recipe, Infusion):
        for process in held(recipe.temperature, recipe.time):
            if process.key not in told:
                words = f"{recipe.temperature:g} °C for {recipe.time:g} h"
                _tell(process, words, collection.at(recipe, ("temperature",)), collection, log)


def _tell(
    process: Process, words: str, place: Place, collection: Collection, log: MistakeLog
) -> None:
    where = jurisdiction(collection.house.place).within
    here = [
        f" Here: {one.text} ({one.source})."
        for one in statutes()
        if one.topic == process.topic and not where.isdisjoint(one.places) and one.until is None
    ]
    log.add(
        f"process-{process.key}", f"{process.says} (“{words}”): {process.care}{''.join(here)}",
        place, f"ask {whom_to_ask(where)}: {process.ask}", "warning",
    )  # fmt: skip
