"""Every paper of a house that is hard to set, on each size: what a new theme is held to.

Belongs here: which papers those are. Does not belong here: setting them (paper/), the house
(commands/theme/trial_house).
"""

from __future__ import annotations

from collections.abc import Awaitable, Callable, Iterator, Mapping
from datetime import date
from functools import partial
from pathlib import Path
from typing import NamedTuple

from anthocard.diagnostics.diagnostic import AuthorError, Mistake, Place
from anthocard.engine.compute import compute
from anthocard.house.collection import Collection
from anthocard.house.reader import read_house
from anthocard.press.base import sizes as papers
from anthocard.press.base.languages import language
from anthocard.press.base.refusals import PaperError
from anthocard.press.base.theme import Theme
from anthocard.press.data.worked import WorkedRecipes, as_worked
from anthocard.press.paper.archive import cut
from anthocard.press.paper.bar_cards import print_card
from anthocard.press.paper.forms import logs_pdf
from anthocard.press.paper.house_papers import label_size, printed, sheet_size
from anthocard.press.paper.job import HERE
from anthocard.press.paper.label_sheets import print_labels
from anthocard.press.proof.theme_warnings import theme_warnings
from anthocard.press.words.bottle_label import make_label
from anthocard.press.words.log_sheets import deviation_log, probe_log

Make = Callable[[], Awaitable[bytes]]


class Trial(NamedTuple):
    """The papers that could be set, by path, and everything that can be said against the theme."""

    papers: Mapping[str, bytes]
    mistakes: tuple[Mistake, ...]


def tried(
    theme: Theme, house: Path, tell: Callable[[int, int, str], None] = lambda done, of, path: None
) -> Trial:
    """Set every paper of a house with a theme. Raises PaperUnavailable where nothing can be set."""
    collection = read_house(house)
    worked = as_worked(collection.house, dict(compute(collection)[0]))
    wanted = dict(_wanted(collection, worked, theme))
    made: dict[str, bytes] = {}
    mistakes = dict.fromkeys(theme_warnings(theme))
    for done, (path, make) in enumerate(wanted.items()):
        tell(done, len(wanted), path)
        try:
            made[path] = HERE.now(_awaited(make))
        except AuthorError as error:
            mistakes |= dict.fromkeys(error.mistakes)
        except PaperError as error:
            mistakes[
                Mistake("broken-style", str(error), Place(path), "look for it in the theme")
            ] = None
    return Trial(made, tuple(mistakes))


async def _awaited(make: Make) -> bytes:
    return await make()


def _wanted(
    collection: Collection, worked: WorkedRecipes, theme: Theme
) -> Iterator[tuple[str, Make]]:
    """All that a publish sets, and beyond it each card and label on every other size."""
    for path, target in printed(collection, worked, theme, {}).items():
        yield path, partial(HERE.get, target)
    house, tongue = collection.house, language(collection.house.language)
    for size in papers.names("cards"):
        for slug, one in worked.items():
            if one.is_drink:
                yield (
                    f"cards-{size}/{slug}.pdf",
                    partial(_front, collection, worked, slug, theme, size),
                )
    labels = [
        (make_label(one, worked.card(slug), house, date(2026, 1, 31)), collection.at(one.recipe))
        for slug, one in worked.items()
        if one.keeping is not None
    ]
    for name in papers.names("labels"):
        if name != label_size(house).name:
            yield (
                f"labels-{name}.pdf",
                partial(print_labels, labels, papers.label_sheet(name), theme),
            )
    yield (
        "logs.pdf",
        partial(
            logs_pdf, [probe_log(tongue), deviation_log(tongue)], house, theme, sheet_size(house)
        ),
    )


async def _front(
    collection: Collection, worked: WorkedRecipes, slug: str, theme: Theme, size: str
) -> bytes:
    one = worked[slug]
    at = partial(collection.at, one.recipe)
    made = await print_card(worked.card(slug), one, theme, papers.card_paper(size), at)
    return cut(made.front)
