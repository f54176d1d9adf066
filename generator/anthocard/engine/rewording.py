"""A computed recipe whose words alone have changed: what rests on words is read again.

Belongs here: which words those are, and what follows from them. Does not belong here: any figure
(compute.py), nor what words are read for (safety/).
"""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from anthocard.diagnostics.diagnostic import MistakeLog
from anthocard.engine.edition import printed, stamp
from anthocard.engine.results import Computed
from anthocard.engine.safety import cautions as care, claim_check as claims, process_check
from anthocard.house.collection import Collection
from anthocard.house.model import Recipe

#: What a recipe says to people and not to the engine.
WORDS: Final = ("guest_text", "guest_texts", "staff_text")

#: How the kinds of warnings begin that rest on these words.
_OF_WORDS: Final = ("claim-", "process-", "care-")


def reworded(known: Computed, recipe: Recipe, collection: Collection) -> Computed:
    """A computed recipe with the words of `recipe`.

    No figure depends on them; claims, steps, cautions and the edition do, and are read again.
    """
    log = MistakeLog()
    words = {key: getattr(recipe, key) for key in WORDS}
    figures = replace(known, recipe=known.recipe.model_copy(update=words))
    claims.check_claims(figures, collection, log)
    process_check.check_processes(recipe, collection, log)
    figures = replace(figures, cautions=care.cautions(figures, collection, log))
    rest = (one for one in known.warnings if not one.kind.startswith(_OF_WORDS))
    figures = replace(figures, warnings=(*rest, *log))
    return replace(figures, edition=stamp(printed(figures)))
