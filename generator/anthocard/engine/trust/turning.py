"""Whether a drink turns at all: what the pour changes, held against what is seen.

Belongs here: the one answer that papers and pages go by, and the warning where it is no. Does not
belong here: other eyes (colour_vision.py), the colours themselves (compute.py).
"""

from __future__ import annotations

from typing import Final

from anthocard.diagnostics.diagnostic import MistakeLog, Place
from anthocard.diagnostics.tables import read_table
from anthocard.engine.results import Computed, State
from anthocard.facts.chemistry.liquid import PLANT_COLUMNS, PLANTS
from anthocard.facts.colour.pigments import plant
from anthocard.house.collection import Collection
from anthocard.house.model import Drink, Solution

NO_TURN: Final = "no-turn"  # the kind of the warning, told before all others of a recipe


def turns(figures: Computed) -> bool:
    """Whether normal sight sees the pour change the colour; False where nothing is poured."""
    return figures.delta_e00 is not None and figures.delta_e00 >= least_delta_e00()


def least_delta_e00() -> float:
    """The CIEDE2000 from which on a pour is a turn."""
    row = read_table("anthocard.engine.trust", "turning.yaml")["turning"]["seen"]
    return float(row["least_delta_e00"])


def tell(figures: Computed, recipe: Drink, collection: Collection, log: MistakeLog) -> None:
    """Warn of a pour that turns nothing, unless the recipe says that it is meant to."""
    if figures.delta_e00 is None or turns(figures) or recipe.steady:
        return
    early = _poured_early(recipe, collection)
    if early is not None:
        log.add(
            "turned-early",
            f"{recipe.pours[early].name} is poured behind the bar, and again by the guest: the "
            "drink has turned before it is served",
            collection.at(recipe, ("pours", early)),
            "take this line away, so that the guest pours it",
            "warning",
        )
        return
    place, offer = _instead(figures, recipe, collection)
    log.add(
        NO_TURN,
        f"nobody sees it turn: with the pour in it is still {figures.before.seen.above.name}",
        place,
        f"{offer}pour more or something sharper, or hold the first colour with a buffer; where "
        "nothing is meant to happen, write steady: true",
        "warning",
    )


def tell_unrevealed(
    figures: Computed, recipe: Drink, collection: Collection, log: MistakeLog
) -> None:
    """Warn of a drink that holds a colour that turns, and that nothing is poured into."""
    if recipe.revealing or recipe.steady or not _turning(figures.before):
        return
    log.add(
        "no-reveal",
        f"{recipe.name} holds a colour that acid turns, and the guest pours nothing",
        collection.at(recipe, ("name",)),
        "add a line “steady: true” if it is meant to stay as it is, or write a reveal",
        "warning",
    )


def _turning(state: State) -> bool:
    """Whether any colour of a plant that turns with pH is in a liquid."""
    amounts = state.liquid.amounts[PLANT_COLUMNS]
    return any(
        amount > 0.0 and plant(key).turns for key, amount in zip(PLANTS, amounts, strict=True)
    )


def _poured_early(recipe: Drink, collection: Collection) -> int | None:
    """The pour that is the reveal as well, where that is a solution: which of them, from 0."""
    for reveal in recipe.revealing:
        poured = collection.find(reveal.pour)
        for number, part in enumerate(recipe.pours):
            if isinstance(poured, Solution) and collection.find(part.name) is poured:
                return number
    return None


def _instead(figures: Computed, recipe: Drink, collection: Collection) -> tuple[Place, str]:
    """Which bottle was taken for another: plain spirit for what is made of it, syrup for acid."""
    if not figures.before.liquid.amounts[PLANT_COLUMNS].any():
        for number, part in enumerate(recipe.pours):
            found = collection.find(part.name)
            for made in collection.infusions.values():
                if found is not None and collection.find(made.into) is found:
                    place = collection.at(recipe, ("pours", number))
                    meant = place.written.replace(part.name, made.name)
                    return place, f"did you mean “{meant}”? Else "
    first = recipe.at_reveal(0)
    if not any(isinstance(collection.find(one.pour), Solution) for one in recipe.revealing):
        for solution in collection.solutions.values():
            if any("acid" in part.name for part in solution.parts):
                place = collection.at(recipe, (*first, "pour"))
                return place, f"did you mean “{solution.name}”? Else "
    return collection.at(recipe, first), ""
