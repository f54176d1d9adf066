"""The pages of the spec book for one guest: what they may not have is ticked, what is left is told.

Belongs here: what stands on those pages and in the pieces their script reads, and how both are cut.
Does not belong here: the answers (engine/safety), their order (data/guest_list.py), the ticking
(themes/base/for-guest.js).
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from functools import partial
from typing import TypedDict

from anthocard.engine.safety.for_guest import ANSWERS, Answer
from anthocard.house.collection import Collection, drink_slugs
from anthocard.house.settings import House
from anthocard.press.base.languages import language
from anthocard.press.base.theme import Theme
from anthocard.press.data.guest_list import GuestRow, make_rows, need_word, needs_of
from anthocard.press.data.worked import WorkedRecipes
from anthocard.press.html.assets import Assets
from anthocard.press.html.book_list import cut
from anthocard.press.store.key import Memo

#: Drinks on a page and in a piece; chosen: two to three kilobytes of answers each.
SHARE = 100
_STEM, PIECE = "for-a-guest", "for-guest-"
_BEFORE, _AFTER = "(globalThis.anthocardGuests ??= []).push(...", ");\n"


class ForGuestGiven(TypedDict):
    """What a page for one guest is given."""

    house: Mapping[str, str]  # its name
    needs: list[tuple[str, str]]  # the key of each need, and its words
    answers: tuple[str, ...]  # in the order in which the script counts them
    rows: Sequence[GuestRow]  # drinks, for who reads without a script
    pages: Sequence[tuple[str, str]]  # the address of each page and the first name on it
    page: int
    index: list[str]  # the addresses of what the script reads
    style: str
    assets: Assets


def shares(collection: Collection, worked: WorkedRecipes) -> Mapping[str, Sequence[str]]:
    """The slugs of all drinks by the page on which their answers stand."""
    return cut([*drink_slugs(collection, worked).values()], _STEM, SHARE)


def guest_files(collection: Collection, worked: WorkedRecipes, memo: Memo) -> dict[str, bytes]:
    """What the script of the pages reads, by plain name: every drink with its answers."""
    house = collection.house
    made = {}
    for number, slugs in enumerate(shares(collection, worked).values(), 1):
        make = partial(_piece, collection, worked, slugs)
        parts = (house, *(worked.prints[slug] for slug in slugs)) if worked.prints else ()
        made[f"{PIECE}{number}.js"] = memo("answers for guests", parts, make) if parts else make()
    return made


def piece_of(rows: Sequence[GuestRow]) -> bytes:
    """Drinks with every answer that is not “safe”, as for-guest.js takes them apart."""
    answers = [
        {
            "name": row.name,
            "slug": row.slug,
            "answers": {
                key: [ANSWERS.index(answer), list(lines)]
                for key, (answer, lines) in row.answers.items()
                if answer != "safe"
            },
        }
        for row in rows
    ]
    written = json.dumps(answers, ensure_ascii=False, separators=(",", ":"))
    return f"{_BEFORE}{written}{_AFTER}".encode()


def rows_of(piece: bytes, house: House) -> tuple[GuestRow, ...]:
    """What `piece_of` was given: pages are rendered whenever any address changes, and their answers
    are in the pieces already.
    """
    drinks = json.loads(piece.decode().removeprefix(_BEFORE).removesuffix(_AFTER))
    safe: dict[str, tuple[Answer, tuple[str, ...]]] = {
        need.key: ("safe", ()) for need in needs_of(house)
    }
    return tuple(
        GuestRow(
            drink["name"],
            drink["slug"],
            safe
            | {
                key: (ANSWERS[number], tuple(lines))
                for key, (number, lines) in drink["answers"].items()
            },
        )
        for drink in drinks
    )


def for_guest_page(
    address: str,
    rows: Sequence[GuestRow],
    pages: Sequence[tuple[str, str]],
    house: House,
    theme: Theme,
    assets: Assets,
) -> str:
    """The page at `address`: for the script every drink; for who reads without one those of `rows`,
    need by need. `pages` are all addresses with the first name on each.
    """
    tongue = language(house.language)
    values: ForGuestGiven = {
        "house": {"name": house.name},
        "needs": [(need.key, need_word(need, tongue)) for need in needs_of(house)],
        "answers": ANSWERS,
        "rows": rows,
        "pages": pages,
        "page": [at for at, _ in pages].index(address) + 1,
        "index": assets.named(PIECE),
        "style": assets["pages.css"],
        "assets": assets,
    }
    return theme.render("for-guest.html", values, house.language)


def _piece(collection: Collection, worked: WorkedRecipes, slugs: Sequence[str]) -> bytes:
    return piece_of(make_rows(worked, slugs, collection))
