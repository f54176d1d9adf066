"""Words for guests held against what the engine worked out: strength, allergens, place.

Belongs here: which texts are read, and what an author is told of a claim. Does not belong here:
which words claim what, and the laws (facts/law/claims.py).
"""

from __future__ import annotations

from anthocard.diagnostics.diagnostic import MistakeLog, Place, Severity
from anthocard.engine.results import Computed
from anthocard.engine.safety.inherited_allergens import contained
from anthocard.engine.safety.sentences import for_guests, marked
from anthocard.facts.law.claims import Claim, claims_in
from anthocard.facts.law.conditions import says
from anthocard.facts.law.places import jurisdiction, nearest
from anthocard.house.collection import Collection

#: How far above a line a strength counts as on it, % vol: half the last digit of any such line.
_ROUNDING = 0.005


def check_claims(figures: Computed, collection: Collection, log: MistakeLog) -> None:
    """Note every claim in a recipe's words for guests that its own figures do not bear out.

    A claim bound to strength speaks above the line of the house's place: an error, or a warning
    where the law binds promotions. What promises an absence is an error where the thing is in it.
    """
    where = jurisdiction(collection.house.place).within
    states = [one for one in (figures.before, figures.after) if one is not None]
    abv_percent = max(one.abv_percent for one in states)
    for sentence, place in for_guests(figures.recipe, collection):
        for claim in claims_in(sentence):
            check = claim.check
            line = nearest(check.above_percent, where)
            if line is not None and abv_percent <= line + _ROUNDING:
                if check.below:
                    _tell(claim, place, check.below, "warning", log)
                continue
            law = nearest(check.law, where)
            strength = "" if line is None else f"; this has {abv_percent:.1f} % vol"
            belied = check.key == "free-from" and _is_in_it(sentence, figures)
            severity: Severity = "error" if belied else check.severity
            inside = "; its own record says that it is in it" if belied else ""
            _tell(claim, place, f"{law}{strength}{inside}", severity, log)


def check_menus(collection: Collection, log: MistakeLog) -> None:
    """Warn of claims in the words of menus, which stand beside drinks of any strength.

    What is said of drinks without alcohol is left to the drinks.
    """
    where = jurisdiction(collection.house.place).within
    for menu in collection.menus.values():
        for sentence, place in for_guests(menu, collection):
            claims = claims_in(sentence)
            if any("alcohol" in claim.check.key for claim in claims):
                continue
            for claim in claims:
                _tell(claim, place, nearest(claim.check.law, where), "warning", log)


def _tell(claim: Claim, place: Place, law: str, severity: Severity, log: MistakeLog) -> None:
    check = claim.check
    log.add(
        f"claim-{check.key}", f"“{claim.words}” is {check.says}: {law}",
        marked(place, claim.words), f"{check.mend}; ask your food or licensing authority", severity,
    )  # fmt: skip


def _is_in_it(sentence: str, figures: Computed) -> bool:
    """Whether a sentence says that something is not in it that a record says is."""
    inside = contained(figures.allergens)
    everything = any(says(sentence, word) for word in ("allergen", "Allergene", "everyone", "alle"))
    return any(everything or says(sentence, one.key) for one in inside)
