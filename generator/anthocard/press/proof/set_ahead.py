"""Papers set while proofreading: what may not fit, so that a clean house is one that publishes.

Belongs here: which papers are near their edge, and setting those. Does not belong here: setting
them (paper/), keeping them (build/run.py): a publish finds what was set here in the store.

Of a theme that is shipped a card's words tell how full it is, within what is measured on it; so
only cards and labels that may be too full are set, and every paper where a word is so long that it
may not fit any line. Of a house's own theme nothing is known: all of it is made, pages too, and
searched for what staff wrote, as a publish would.
"""

from __future__ import annotations

from functools import partial
from typing import Final

from anthocard.diagnostics.diagnostic import AuthorError, Mistake
from anthocard.house.collection import Collection
from anthocard.press.base.theme import Theme, is_shipped
from anthocard.press.build.plan import contents, make_each
from anthocard.press.build.run import Run
from anthocard.press.data.worked import WorkedRecipes
from anthocard.press.html.leaks import leaks, refuse
from anthocard.press.paper.house_papers import label_size, printed
from anthocard.press.paper.label_sheets import is_small, print_label
from anthocard.press.proof.letters import longest_word
from anthocard.press.store.key import Target
from anthocard.press.words.bottle_label import Label, make_label

#: From how many lines on a card is set: the shipped themes refuse none below 11.7 (measured, one
#: thing after another made longer), so a ninth less. Chosen.
FULL_LINES: Final = 10.5
#: And a label, by its letters: none is refused below 444 (measured), so a seventh less. Chosen. One
#: for a small bottle is always set: its face and the length of its words decide there.
FULL_LETTERS: Final = 380
#: From how many letters on a word is thought to be one that no line may hold. Chosen: longer than
#: the longest names of what is poured, and some letters below what the name of a card takes.
LONG_LETTERS: Final = 30


def set_ahead(
    collection: Collection, worked: WorkedRecipes, theme: Theme, run: Run
) -> tuple[Mistake, ...]:
    """Every mistake that only setting shows. Raises PaperUnavailable where nothing can be set."""
    shown: dict[str, bytes] = {}

    async def make(path: str, target: Target) -> None:
        made = await run.get(target)
        if path.startswith("guest/"):
            shown[path] = made

    try:
        if is_shipped(theme):
            some = _all_papers if longest_word(collection) > LONG_LETTERS else _near_the_edge
            return tuple(run.now(make_each(some(collection, worked, theme), make)))
        wanted = contents(collection, worked, theme, memo=run.memo)
        stopped = tuple(run.now(make_each(wanted, make)))
        costs = [cost for slug in worked for cost in worked.row(slug).costs]
        refuse(leaks(shown.items(), collection, costs))
    except AuthorError as error:
        return error.mistakes
    return stopped


def _all_papers(collection: Collection, worked: WorkedRecipes, theme: Theme) -> dict[str, Target]:
    """Every paper by its path."""
    return printed(collection, worked, theme, {})


def _near_the_edge(
    collection: Collection, worked: WorkedRecipes, theme: Theme
) -> dict[str, Target]:
    """Papers by path whose words may be too many."""
    papers = _all_papers(collection, worked, theme)
    wanted: dict[str, Target] = {}
    for slug in worked:
        card = f"staff/cards/{slug}.pdf"
        if card in papers:
            if worked.row(slug).lines > FULL_LINES:
                wanted[card] = papers[card]
        elif worked[slug].keeping is not None:
            label = make_label(worked[slug], worked.card(slug), collection.house)
            paper, place = label_size(collection.house).label, collection.at(worked[slug].recipe)
            if is_small(paper) or letters_on(label) > FULL_LETTERS:
                page = partial(print_label, label, paper, theme, place)
                wanted[f"label of {slug}.pdf"] = Target(slug, "", page)
    return wanted


def letters_on(label: Label) -> int:
    """How many letters a label has to hold."""
    parts = (label.name, label.statement, label.strength, label.within)
    return sum(map(len, (*parts, label.store, label.allergens, label.hazard)))
