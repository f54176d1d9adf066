"""Papers asked for: what is to be set, who sets it, and what is said when it cannot be.

Belongs here: a job, its outcome, the press that is asked for papers, and the manners of those who
need several. Does not belong here: how a page is set (typeset.py), processes (build/run.py).

Whoever makes a paper is a coroutine that is handed a press and awaits every paper of it. This one
makes all of it here and at once; that of build/run.py has others do it meanwhile.
"""

from __future__ import annotations

import asyncio
import inspect
from collections.abc import Awaitable, Callable, Coroutine, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from types import MappingProxyType
from typing import Any, Final, TypeAlias, TypeVar

from anthocard.diagnostics.diagnostic import AuthorError, Mistake, Place
from anthocard.guard.stopping import stopped_in_order
from anthocard.press.base import sizes as papers
from anthocard.press.base.faces import mend_for
from anthocard.press.base.refusals import PaperError, PaperStopped, PaperUnavailable
from anthocard.press.store.key import Target, key
from anthocard.press.store.store import Store

#: Stands in a page where the word for how tightly it is set will stand; see Job.
FIT: Final = "as-tight-as-it-takes"
#: How what runs over several pages is set, until the last of them is not nearly empty: as it is,
#: with less air, with its last part on a page of its own.
ENDS: Final = ("", "close", "parted")
#: What is wrong where words would not be whole on a paper.
LOST: Final = "lost-words"

Made = TypeVar("Made")
#: What makes each picture that a page may name, by its address there.
Drawn: TypeAlias = Mapping[str, Target]
NO_PICTURES: Final[Drawn] = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class Job:
    """All that is needed to set a paper: its HTML and its style.

    With `fits` (roomiest first) it must fit one page: each of them is put where FIT stands in the
    HTML until it does. With `ends` it may have many, and each element that has FIT among its
    classes is set by the next of them as long as it runs on to a page that is nearly empty. No word
    may come nearer to the trimmed edge than `safe_mm`, lie over another or be cut off. One that
    `measures` has no paper in its outcome, but where its parts lie.
    `pictures` are those that its HTML shows, by address: an address tells all of a picture.
    """

    html: str
    style: str
    fonts: tuple[Path, ...] = ()
    zoom: float = 1.0
    fits: tuple[str, ...] = ()
    safe_mm: float = 0.0
    ends: tuple[str, ...] = ()
    measures: bool = False
    pictures: tuple[tuple[str, bytes], ...] = ()

    @property
    def ways(self) -> Iterator[str]:
        """The pages to try, one after another."""
        return (self.html.replace(FIT, fit) for fit in self.fits or (FIT,))

    def ending(self, steps: Sequence[int]) -> str:
        """The page with the word of `ends` that each place is at; past the last it is the first
        again. A place is marked with `place(n)`, by which its element is found.
        """
        head, *rest = self.html.split(FIT)
        words = (self.ends[step % len(self.ends)] for step in steps)
        return head + "".join(
            f"{word} {place(n)}{text}"
            for n, (word, text) in enumerate(zip(words, rest, strict=True))
        )


def place(number: int) -> str:
    """The class of the element at a place for FIT, from 0."""
    return f"{FIT}-{number}"


@dataclass(frozen=True, slots=True)
class Outcome:
    """A PDF (or measured parts, as JSON), or why there is none: a word, more, of which words."""

    pdf: bytes = b""
    trouble: str = ""
    words: str = ""
    about: str = ""


class PaperPress:
    """Makes each key once; `anew` names what was not in `store` and is no paper."""

    def __init__(self, store: Store | None = None) -> None:
        self.store = store
        self.anew: list[str] = []
        self._making: dict[asyncio.AbstractEventLoop, dict[str, asyncio.Task[Any]]] = {}

    async def get(self, target: Target) -> bytes:
        """The bytes of a target, from the store if they are there."""
        return await self.once(target.key, lambda: self._made(target))

    async def _made(self, target: Target) -> bytes:
        found = self._stored(target.key)
        if found is None:
            made = target.make(self)
            found = await made if inspect.isawaitable(made) else made
            self._put(target, found)
        return found

    async def once(self, name: str, make: Callable[[], Coroutine[Any, Any, Made]]) -> Made:
        """What `make` makes under a name, of whoever asks first; without a name each time."""
        if not name:
            return await make()
        making = self._making.setdefault(asyncio.get_running_loop(), {})
        if name not in making:
            making[name] = asyncio.create_task(make())
        made: Made = await asyncio.shield(making[name])
        if self.store and name in self.store.used:  # else it is held: nobody makes it again
            making.pop(name, None)
        return made

    def memo(self, name: str, parts: tuple[object, ...], make: Callable[[], bytes]) -> bytes:
        """What `make` makes of `parts`, where no paper is needed for it and nobody waits."""
        if self.store is None:
            return make()
        target = Target(name, key(name, *parts), lambda press: make())
        found = self._stored(target.key)
        if found is None:
            found = make()
            self._put(target, found)
        return found

    async def paper(
        self, job: Callable[[], Job], decides: bool = False, drawn: Drawn = NO_PICTURES
    ) -> Outcome:
        """The paper of a job, made out when its turn has come; it may show pictures of `drawn`.

        `decides` says that other papers depend on it (by its pages, say).
        """
        from anthocard.press.paper.typeset import set_type

        return set_type(await self.with_pictures(job(), drawn))

    async def with_pictures(self, job: Job, drawn: Drawn) -> Job:
        """A job with the pictures that it shows, of those that there are."""
        shown = [src for src in drawn if src in job.html]
        made = await each(self.get(drawn[src]) for src in shown)
        return replace(job, pictures=tuple(zip(shown, made, strict=True)))

    async def join(self, make: Callable[[list[bytes]], bytes], parts: list[bytes]) -> bytes:
        """One paper of several; `make` is a function that has a name in its module."""
        return make(parts)

    async def elsewhere(self, make: Callable[..., bytes], *given: Any) -> bytes:
        """What a function that has a name in its module makes; here, or where there is room."""
        return make(*given)

    def now(self, coroutine: Coroutine[Any, Any, Made]) -> Made:
        """What a coroutine gives, for those who can do nothing else meanwhile."""

        async def whole() -> Made:
            try:
                return await coroutine
            finally:
                for making in self._making.pop(asyncio.get_running_loop(), {}).values():
                    making.cancel()
                await asyncio.sleep(0)
                self._end()

        made: Made = stopped_in_order(asyncio.run, whole())
        return made

    def _end(self) -> None:
        """Let go of whoever helps."""

    def _stored(self, key: str) -> bytes | None:
        return self.store.get(key) if self.store and key else None

    def _put(self, target: Target, content: bytes) -> None:
        if target.key and not target.paper:
            self.anew.append(target.name)
        if self.store and target.key:
            self.store.put(target.key, content)


HERE: Final = PaperPress()  # where nothing is kept and nobody helps


async def each(awaited: Iterable[Awaitable[Made]]) -> list[Made]:
    """What all of them give, in order, once all have come to an end.

    Raises AuthorError with the mistakes of all, or what the first other one raised.
    """
    done = await asyncio.gather(*awaited, return_exceptions=True)
    wrong = [one for one in done if isinstance(one, BaseException)]
    mistakes = [told for one in wrong if isinstance(one, AuthorError) for told in one.mistakes]
    if mistakes:
        raise AuthorError(dict.fromkeys(mistakes))
    if wrong:
        raise wrong[0]
    return done  # type: ignore[return-value]  # no exception is left in it


async def card_pdf(
    page: Callable[[], str],
    fits: tuple[str, ...],
    style: str,
    name: str,
    place: Place,
    fonts: tuple[Path, ...] = (),
    zoom: float = 1.0,
    what: str = "card",
    press: PaperPress = HERE,
    decides: bool = False,
    safe_mm: float | None = None,
    find: Callable[[str], Place] | None = None,
) -> bytes:
    """A page (HTML, with FIT in it) in the first of `fits` that fits one sheet, PDF/A-3a, UA-1.

    `name` and `place` are the recipe's; raises AuthorError naming it when none fits, when words
    would be lost or when no face has one of its characters, PaperError for what WeasyPrint logs,
    PaperUnavailable. `zoom` enlarges the whole page; `what` is said of a refusal; words keep off
    the trim by `safe_mm` (the table's), and `find` tells where those are written that are lost.
    """
    safe = papers.mark("safe") if safe_mm is None else safe_mm
    outcome = await press.paper(lambda: Job(page(), style, fonts, zoom, fits, safe), decides)
    if outcome.trouble == "too-full":
        message = f"the {what} of “{name}” does not fit one sheet, even with the tightest setting"
        mend = "shorten the served line, the garnish or the name, or pour fewer things"
        raise AuthorError([Mistake("card-too-full", message, place, mend)])
    at = find(outcome.about) if find and outcome.trouble == LOST else place
    return _pdf(outcome, name, at)


async def paper_pdf(
    page: Callable[[], str],
    style: str,
    fonts: tuple[Path, ...] = (),
    name: str = "this paper",
    press: PaperPress = HERE,
    decides: bool = False,
    safe_mm: float | None = None,
    place: Place | None = None,
    ends: tuple[str, ...] = (),
    drawn: Drawn = NO_PICTURES,
) -> bytes:
    """A paper of any number of pages, tagged, PDF/A-3a and PDF/UA-1. Raises as card_pdf does.

    `ends` are words for FIT in the page, as Job says; it may show pictures of `drawn`.
    """
    safe = papers.mark("safe") if safe_mm is None else safe_mm
    job = partial(Job, style=style, fonts=fonts, safe_mm=safe, ends=ends)
    outcome = await press.paper(lambda: job(page()), decides, drawn)
    return _pdf(outcome, name, place or Place(name))


async def measured(
    page: Callable[[], str],
    style: str,
    fonts: tuple[Path, ...],
    name: str,
    place: Place,
    press: PaperPress = HERE,
    drawn: Drawn = NO_PICTURES,
) -> bytes:
    """Where the parts of a page lie once it is set, JSON: `whole`, whether no word is lost, and
    `parts`, rows of the fields of a Part. Raises as paper_pdf does.
    """
    safe = papers.mark("safe")
    job = partial(Job, style=style, fonts=fonts, safe_mm=safe, measures=True)
    outcome = await press.paper(lambda: job(page()), decides=True, drawn=drawn)
    return _pdf(outcome, name, place)


def _pdf(outcome: Outcome, name: str, place: Place) -> bytes:
    """The bytes, or the error that says why there are none."""
    if not outcome.trouble:
        return outcome.pdf
    if outcome.trouble == "no-glyph":
        message = f"no face on paper has “{outcome.words}”, used in “{name}”"
        raise AuthorError([Mistake("no-glyph", message, place, mend_for(outcome.words))])
    if outcome.trouble == LOST:
        message = f"“{outcome.about}” in “{name}” would be {outcome.words}"
        mend = "shorten it; or, in a theme of your own, give it room"
        raise AuthorError([Mistake(LOST, message, _at_word(place, outcome.about), mend)])
    if outcome.trouble == "unavailable":
        raise PaperUnavailable(outcome.words)
    if outcome.trouble == "complaint":
        raise PaperError(outcome.words)
    raise PaperStopped(name, place, outcome.trouble, outcome.words)


def _at_word(place: Place, words: str) -> Place:
    """The words themselves, where they are written on the line of a place."""
    found = place.text.find(words)
    return place if found < 0 else place.shifted(found + 1 - place.column, len(words))
