"""What was made before, kept for the next run: pages by what they are made from, and nothing twice.

Belongs here: asking a cache before making anything, and counting what was made. Does not belong
here: keeping bytes (cache.py), recipes worked out before (recall.py), papers (workers.py).

Whoever makes something costly out of things that can be written down calls `kept`, or hands out a
`Keyed` that others may call; without a keeper at work it is simply made. The fingerprint of this
package is part of every key.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from functools import cache
from hashlib import blake2b
from pathlib import Path
from typing import Protocol

from anthocard.press.build.unchanged import own_print
from anthocard.press.store.cache import Cache


class Keeper:
    """A cache of pages, pictures and papers; `anew` names the first two that were really made."""

    def __init__(self, cache: Cache) -> None:
        self.cache = cache
        self.anew: list[str] = []

    def __call__(self, one: Keyed) -> bytes:
        """The bytes of `one`, from the cache if they are there.

        A paper is not told in `anew`: whoever sets papers counts them.
        """
        content = self.cache.get(one.key)
        if content is None:
            content = one.make()
            if not one.paper:
                self.anew.append(one.what)
            self.cache.put(one.key, content)
        return content

    @contextmanager
    def at_work(self) -> Iterator[None]:
        """Everything asked of `kept` inside comes from here."""
        token = _KEEPER.set(self)
        try:
            yield
        finally:
            _KEEPER.reset(token)


_KEEPER: ContextVar[Keeper | None] = ContextVar("_KEEPER", default=None)


@dataclass(frozen=True, slots=True)
class Keyed:
    """Bytes that `make` makes, and the key of all they are made from: the same key, the same bytes.

    Called, it asks the keeper at work first.
    """

    what: str
    key: str
    make: Callable[[], bytes]
    paper: bool = False

    def __call__(self) -> bytes:
        """The bytes."""
        keeper = _KEEPER.get()
        return self.make() if keeper is None else keeper(self)


def keyed(
    what: str, parts: tuple[object, ...], make: Callable[[], bytes], paper: bool = False
) -> Keyed:
    """What `make` makes of `parts`, whose repr must tell all that matters."""
    return Keyed(what, key_from(what, *map(repr, parts)), make, paper)


def kept(
    what: str, parts: tuple[object, ...], make: Callable[[], bytes], paper: bool = False
) -> bytes:
    """The bytes of such a one here and now; without a keeper nothing is asked for its key."""
    return make() if _KEEPER.get() is None else keyed(what, parts, make, paper)()


def hold(keys: Iterable[str]) -> None:
    """What stands as it was made, unread, counts as used like anything that was asked for."""
    keeper = _KEEPER.get()
    if keeper is not None:
        keeper.cache.used.update(keys)


class Known(Protocol):
    """Asks for bytes by the recipes they are made from, besides `parts`; see `keyed`."""

    def __call__(
        self, what: str, slugs: Sequence[str], make: Callable[[], bytes], *parts: object
    ) -> bytes:
        """The bytes that `make` makes of the recipes in `slugs`."""


def not_known(what: str, slugs: Sequence[str], make: Callable[[], bytes], *parts: object) -> bytes:
    """Where recipes are not kept, all is made."""
    return make()


def key_from(*words: str) -> str:
    """A key of 40 hex digits for this version of the package and those words, in order."""
    digest = blake2b(digest_size=20)
    for word in (own_print(), *words):
        digest.update(blake2b(word.encode(errors="surrogatepass")).digest())
    return digest.hexdigest()


@cache
def print_of(folders: tuple[Path, ...]) -> str:
    """The contents of every file of some folders, in 40 hex digits."""
    digest = blake2b(digest_size=20)
    for folder in folders:
        for path in sorted(path for path in folder.rglob("*") if path.is_file()):
            digest.update(f"{path.relative_to(folder)}\0".encode(errors="surrogateescape"))
            digest.update(blake2b(path.read_bytes()).digest())
    return digest.hexdigest()
