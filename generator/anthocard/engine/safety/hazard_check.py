"""Poisons, limits and unknown plants in a house: looked for wherever an author names what goes in.

Belongs here: which words of a house are read, and what an author is told of a hit. Does not belong
here: the tables and the finding of names (facts/law/hazards.py), nor cautions that figures call for
(cautions.py).

A mark of food grade changes nothing here: it is about purity, not about poison.
"""

from __future__ import annotations

from typing import Final

from anthocard.diagnostics.diagnostic import MistakeLog, Place
from anthocard.engine.safety.hazards_within import hits_of
from anthocard.engine.safety.ingredients import named_in
from anthocard.engine.safety.sentences import for_staff, laid_on, marked
from anthocard.facts.law.hazards import Hazard, Hit, named
from anthocard.facts.law.prose import denies, everyday, names_a_part
from anthocard.facts.stock import StockItem
from anthocard.house.collection import Collection, fold
from anthocard.house.model import Drink, Infusion, Recipe
from anthocard.house.references import named_in as front_matter_names

_ASK: Final = "ask your poison centre and your food authority where in doubt"


def check_hazards(collection: Collection, log: MistakeLog) -> None:
    """Note every poison, limit and unknown plant that a house names, once where it is written.

    A name of something forbidden is an error; so that a misspelt one, one that its own Latin name
    clears, and one in running text are warnings. What is limited, wants a paper or meets medicines
    is a warning unless a rule of care speaks of it already; allergen kin is a hint.
    """
    for item in collection.stock.values():
        if ("StockItem", fold(item.name)) in collection.pages:
            _tell(_of_item(item), collection.at(item), log)
            if item.kind == "plant" and item.plant is None and not _known(item):
                _who_says(item.name, collection.at(item), log)
    for recipe in collection.recipes:
        _tell(_of_made(recipe), collection.at(recipe, ("name",)), log)
        _check_laid_on(recipe, collection, log)
        _check_bought(recipe, collection, log)
        _tell_prose(recipe, collection, log)


def _of_item(item: StockItem) -> tuple[Hit, ...]:
    """Hits of a line of stock; a dated record of allergens has said already what kin it is."""
    hits = hits_of((*item.aliases, item.name), item.latin or "", item.form or "")
    dated = item.allergens is not None and item.allergens.checked is not None
    return tuple(hit for hit in hits if not dated or hit.hazard.verdict != "kin")


def _of_made(recipe: Recipe) -> tuple[Hit, ...]:
    """Hits of what a house calls its own: a drink may be called what it likes, a jar may not.

    A solution may be named after a chemical: pH standards are.
    """
    if isinstance(recipe, Infusion):
        return hits_of((recipe.plant, recipe.name), recipe.latin or "", recipe.form or "")
    hits = () if isinstance(recipe, Drink) else named(recipe.name)
    return tuple(hit for hit in hits if hit.hazard.verdict != "no-food")


def _check_laid_on(recipe: Recipe, collection: Collection, log: MistakeLog) -> None:
    for line, place in laid_on(recipe, collection):
        hits = named(line)
        _tell(hits, place, log)
        if names_a_part(line) and not hits and named_in(line, collection) is None:
            _who_says(line, place, log)


def _check_bought(recipe: Recipe, collection: Collection, log: MistakeLog) -> None:
    """Lines of our own stock table that a recipe pours: told where it names them.

    What is weighed from the table of substances is left to the rules: pH standards are made of it.
    """
    document = collection.pages[(type(recipe).__name__, fold(recipe.name))].document
    for _, loc, name in front_matter_names(document.data):
        found = collection.find(name)
        own = isinstance(found, StockItem) and ("StockItem", fold(found.name)) in collection.pages
        if isinstance(found, StockItem) and not own and found.substance is None:
            _tell(_of_item(found), collection.at(recipe, loc), log)


def _tell_prose(recipe: Recipe, collection: Collection, log: MistakeLog) -> None:
    """What running text for staff names: only whole names that mean nothing else, as a warning."""
    for sentence, place in for_staff(recipe, collection):
        for hit in named(sentence):
            row = hit.hazard
            if not row.forbidden or hit.slip or everyday(hit.words) or denies(sentence):
                continue
            log.add(
                "hazard-in-text", f"staff read of “{hit.words}” here: {row.why}",
                marked(place, hit.words), f"it never goes into a drink; {_ASK}", "warning",
            )  # fmt: skip


def _tell(hits: tuple[Hit, ...], place: Place, log: MistakeLog) -> None:
    for hit in hits:
        row = hit.hazard
        at = marked(place, hit.words)
        if row.forbidden and not hit.slip:
            out = "take this line away" if _alone(at) else "take it out"
            log.add(
                "hazard", f"“{hit.words}” never goes into a drink: {row.why}", at,
                f"{out}: a food-grade mark does not change what it is. If something else is meant, "
                f"write its Latin and its plain name; {_ASK}",
            )  # fmt: skip
        elif row.forbidden:
            log.add(
                "hazard-perhaps", f"“{hit.words}” reads like {_called(row)}: {row.why}", at,
                f"write which plant it is, by its Latin and its plain name; {_ASK}", "warning",
            )  # fmt: skip
        elif row.verdict in ("limited", "paper", "medicine") and not row.rule and not hit.slip:
            log.add(f"hazard-{row.verdict}", _warned(hit), at, _mend(row), "warning")
        elif row.verdict == "kin" and not hit.slip:
            log.add("hazard-kin", f"“{hit.words}”: {row.why}", at, "tell guests who ask", "hint")


def _alone(at: Place) -> bool:
    """Whether a garnish, or an entry of a list, is all that its line holds."""
    line = at.text.strip()
    return line.startswith(("- ", "garnish: ", "rim: ")) and not {"[", "{", ","} & {*line}


def _warned(hit: Hit) -> str:
    row = hit.hazard
    bound = f"; limit: {row.limit}" if row.limit else ""
    return f"“{hit.words}” is not for every drink or guest: {row.why}{bound}"


def _mend(row: Hazard) -> str:
    if row.verdict == "limited":
        return f"keep within the limit and write down how; {_ASK}"
    if row.verdict == "paper":
        return f"ask the supplier for a paper that says it is food, and file it; {_ASK}"
    return "say so to guests, who ask their pharmacist"


def _who_says(name: str, place: Place, log: MistakeLog) -> None:
    log.add(
        "plant-unknown", f"who says that “{name}” may be eaten? It stands in none of our lists",
        marked(place, name),
        "write its Latin name, and file the paper of a supplier who sells it as food", "warning",
    )  # fmt: skip


def _known(item: StockItem) -> bool:
    return bool(named("; ".join((item.name, *item.aliases, item.latin or ""))))


def _called(row: Hazard) -> str:
    return f"“{(*row.names, *row.latin)[0]}”"
