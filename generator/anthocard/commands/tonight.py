"""anthocard tonight: what to do without a bottle, from a shelf, or for one guest."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from anthocard.diagnostics.plain_letters import json_text
from anthocard.terminal.houses import add_house, at_hand, house_to_read, not_sound, tell_elsewhere
from anthocard.terminal.output import put

if TYPE_CHECKING:
    from anthocard.diagnostics.diagnostic import Mistake
    from anthocard.house.collection import Collection
    from anthocard.press.data.worked import WorkedRecipes

#: The lines of a drink that a bottle stands behind.
_DRINKS = ("pour", "reveal")

EXAMPLE = """\
Out of something: each drink that needs it, what stands in from the bottles of the house (as sour,
at the same pH, nearest in colour, as sweet or as strong), what a stand-in brings that the drink did
not hold, and which drinks cannot be saved. Write a stand-in down as a drink of its own before it is
served: its cautions are its own.

From what is there: --with names it, else whatever stock.yaml has on_hand.

For a guest: safe, safe without something, not safe, or unknown; unknown is never safe.

examples:
  anthocard tonight --out-of "lemon juice"
  anthocard tonight --with "gin, lemon juice, honey"
  anthocard tonight
  anthocard tonight --guest "nuts, pregnant"
  anthocard tonight --guest vegan --paper for-table-four.pdf
"""


def describe(parser: argparse.ArgumentParser) -> None:
    """Options of this command."""
    parser.epilog = EXAMPLE
    add_house(parser)
    asked = parser.add_mutually_exclusive_group()
    asked.add_argument(
        "--out-of", metavar="NAME", action="append", help="what has run out; may be given again"
    )
    asked.add_argument("--with", metavar="NAMES", dest="there", help="what stands on the shelf")
    asked.add_argument(
        "--guest", metavar="NEEDS", help="what one guest may not or will not have, with commas"
    )
    parser.add_argument(
        "--paper", dest="out", metavar="FILE", type=Path, help="the list for a guest as a PDF too"
    )
    parser.add_argument("--json", action="store_true", help="print JSON")


def run(options: argparse.Namespace) -> int:
    """Answer the one question that was asked."""
    folder = house_to_read(options)
    collection, worked, elsewhere = at_hand(folder)
    tell_elsewhere(elsewhere)
    if options.out_of:
        names = [_known(name, collection, "--out-of", elsewhere) for name in options.out_of]
        return _without(options, names, collection, worked)
    if options.guest:
        return _for_guest(options, folder, collection, worked)
    there = None
    if options.there is not None:
        wanted = [name.strip() for name in options.there.split(",") if name.strip()]
        there = [_known(name, collection, "--with", elsewhere) for name in wanted]
    return _from_shelf(options, there, collection)


def _without(
    options: argparse.Namespace, names: list[str], collection: Collection, worked: WorkedRecipes
) -> int:
    from anthocard.diagnostics.diagnostic import MistakeLog
    from anthocard.engine.mix.shelf import Shelf
    from anthocard.engine.safety.brings import brings
    from anthocard.engine.trade.on_the_shelf import holding, offered
    from anthocard.engine.trade.rail import Rail, in_a_batch
    from anthocard.engine.trade.stand_ins import gaps
    from anthocard.house.collection import fold
    from anthocard.terminal.tonight_words import Missed, without_json, without_lines

    missing = frozenset(map(fold, names))
    shelf = Shelf(collection, MistakeLog())
    rail = Rail(shelf, offered(missing, collection))
    instead = tuple(one for name in names for one in in_a_batch(shelf[name], rail))
    held = {
        drink.name: lines
        for drink in collection.drinks.values()
        if (lines := holding(drink, missing, collection))
    }
    ones = [worked[collection.slug(collection.drinks[name])] for name in held]
    called = [
        {m.name for name, role in lines.items() if role in _DRINKS and (m := collection.find(name))}
        for lines in held.values()
    ]
    found = gaps([*zip(ones, called, strict=True)], rail, collection.house)
    drinks_without = [
        Missed(
            one.name,
            tuple(its),
            tuple(name for name, role in held[one.name].items() if role in ("garnish", "rim")),
            tuple(sorted(poured - {name for gap in its for name in gap.names})),
            {it.name: brings(it.name, one, collection) for g in its for it in g.stand_ins},
            {name: instead for name in sorted(poured) if fold(name) not in missing},
        )
        for one, poured, its in zip(ones, called, found, strict=True)
    ]
    if options.json:
        print(json_text(without_json(names, drinks_without)))
    else:
        print(*without_lines(", ".join(names), drinks_without), sep="\n")
    return 0


def _from_shelf(
    options: argparse.Namespace, named: list[str] | None, collection: Collection
) -> int:
    from dataclasses import asdict

    from anthocard.engine.trade.on_the_shelf import makeable, on_hand
    from anthocard.house.collection import fold
    from anthocard.terminal.tonight_words import shelf_lines

    there = on_hand(collection) if named is None else frozenset(map(fold, named))
    drinks = [makeable(drink, there, collection) for drink in collection.drinks.values()]
    if options.json:
        print(json_text({"drinks": [asdict(one) for one in drinks]}))
    elif not there:
        print("Nothing in stock.yaml has a line “on_hand”: write some, or name it: --with “gin, …”")
    else:
        print(*shelf_lines(drinks), sep="\n")
    return 0


def _for_guest(
    options: argparse.Namespace, folder: Path, collection: Collection, worked: WorkedRecipes
) -> int:
    from anthocard.engine.safety.for_guest import answer_for
    from anthocard.engine.safety.ingredients import by_line
    from anthocard.facts.law.needs import need_of
    from anthocard.terminal.tonight_words import guest_json, guest_lines

    needs = [need_of(word) for word in options.guest.split(",") if word.strip()]
    drinks = [
        answer_for(worked[collection.slug(drink)], needs, by_line(drink, collection))
        for drink in collection.drinks.values()
    ]
    if options.out is not None:
        from anthocard.press.base.theme import find_theme
        from anthocard.press.data.guest_list import make_guest_list
        from anthocard.press.paper.forms import guest_pdf
        from anthocard.press.paper.house_papers import sheet_size
        from anthocard.press.paper.job import HERE

        sheet = make_guest_list(needs, drinks, collection.house)
        theme, paper = find_theme("base", folder), sheet_size(collection.house)
        put(options.out, HERE.now(guest_pdf(sheet, theme, paper)))
    if options.json:
        print(json_text(guest_json([need.label for need in needs], drinks)))
    else:
        print(*guest_lines(", ".join(need.label for need in needs), drinks), sep="\n")
        if options.out is not None:
            print(f"\nOn paper in {options.out}")
    return 0


def _known(name: str, collection: Collection, option: str, elsewhere: tuple[Mistake, ...]) -> str:
    """The name of a thing as the house has it. Raises AuthorError."""
    from anthocard.diagnostics.diagnostic import Mistake, Place, did_you_mean

    found = collection.find(name)
    if found is not None:
        return found.name
    mend = did_you_mean(name, collection.may_be_meant)
    missing = Mistake("no-such-thing", f"nothing is called “{name}”", Place(option), mend)
    raise not_sound(missing, elsewhere)
