"""What the template of each paper and page is given, told from the types, for theme authors.

Belongs here: which value a template gets under which name, and how a type is told in plain words.
Does not belong here: the values (words/), filling templates in (theme.py).
"""

from __future__ import annotations

import inspect
import re
import types
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import fields, is_dataclass
from typing import Any, Final, Union, get_args, get_origin, get_type_hints, is_typeddict

from markupsafe import Markup

from anthocard.press.data.guest_list import GuestList
from anthocard.press.html.assets import Assets
from anthocard.press.html.book_list import ListGiven, UsedGiven
from anthocard.press.html.for_guest_page import ForGuestGiven
from anthocard.press.html.guest_pages import DrinkGiven, LostGiven, MenuGiven
from anthocard.press.html.palette_page import PaletteGiven, PlantsGiven
from anthocard.press.html.staff import SpecGiven, TablesGiven
from anthocard.press.paper.menus.menu_page import MenuPage
from anthocard.press.paper.spec_book import BookGiven
from anthocard.press.words.back import Back
from anthocard.press.words.batch_sheet import Sheet
from anthocard.press.words.bottle_label import Label
from anthocard.press.words.buying import Buying
from anthocard.press.words.card import Card
from anthocard.press.words.log_sheets import Log
from anthocard.press.words.prep_sheet import Prep

#: By template, what it gets: the fields of a type, or a name and a type each.
GIVEN: Final[Mapping[str, Any]] = {
    "card.html": {"card": Card, "fit": str, "strip": str},
    "card_large.html": {"card": Card, "fit": str, "strip": str, "method": tuple[str, ...]},
    "card_back.html": {"card": Card, "back": Back, "fit": str},
    "label.html": {"label": Label, "fit": str},
    "label_small.html": {"label": Label, "fit": str},
    "menu_paper.html": MenuPage,
    "prep.html": {"prep": Prep, "fit": str},
    "batch.html": {"sheet": Sheet, "fit": str},
    "buy.html": {"buying": Buying, "fit": str},
    "log.html": {"sheets": tuple[Log, ...], "house": str},
    "for-guest-list.html": {"list": GuestList},
    "legend.html": {"parts": list[tuple[str, str]]},
    "book.html": BookGiven,
    "spec.html": SpecGiven,
    "staff.html": ListGiven,
    "used.html": UsedGiven,
    "tables.html": TablesGiven,
    "plants.html": PlantsGiven,
    "palette.html": PaletteGiven,
    "for-guest.html": ForGuestGiven,
    "menu.html": MenuGiven,
    "drink.html": DrinkGiven,
    "lost.html": LostGiven,
}

_HEAD = """\
# What the templates of papers and pages are given

Made from the program's own types. A theme sees words and drawings, never a figure to round.
`_("…")` is a phrase in the language of the house, `own` the `lang` attribute of what the house
wrote itself, `language.lang` the language of the paper or page. Of a page, `style` is the address
of its style and `assets["guest.css"]` that of any file beside it.
"""


def fields_page() -> str:
    """The page, Markdown."""
    found: dict[Any, None] = {}
    waiting = [kind for template in GIVEN for kind in given_to(template).values()]
    while waiting:
        more = [cls for cls in _classes(waiting.pop(0)) if cls not in found]
        found |= dict.fromkeys(more)
        waiting += [kind for cls in more for kind in _hints(cls).values()]
    known = Counter(cls.__name__ for cls in found)
    # Two of one name are told apart by what they stand in.
    names = {
        cls: cls.__name__ if known[cls.__name__] == 1 else f"{cls.__name__} of {_room(cls)}"
        for cls in found
    }
    lines = [_HEAD]
    for template, given in GIVEN.items():
        comments = {} if isinstance(given, Mapping) else _comments(given)
        lines += [f"## {template}", "", *_rows(given_to(template), comments, names), ""]
    for cls, name in names.items():
        told = (inspect.getdoc(cls) or "").partition("\n\n")[0]
        lines += [f"## {name}", "", told, "", *_rows(_hints(cls), _comments(cls), names), ""]
    return "\n".join(lines)


def given_to(template: str) -> Mapping[str, Any]:
    """The names that a template is given, each with its type."""
    given: Any = GIVEN[template]
    return given if isinstance(given, Mapping) else _hints(given)


def _hints(cls: Any) -> Mapping[str, Any]:
    """Each field with its type; of a class also what it makes of them."""
    hints = get_type_hints(cls)
    if not is_dataclass(cls):
        return hints
    made = {
        name: get_type_hints(one.fget)["return"]
        for name, one in inspect.getmembers(cls, lambda one: isinstance(one, property))
    }
    return {**{one.name: hints[one.name] for one in fields(cls)}, **made}


def _room(cls: Any) -> str:
    return str(cls.__module__).rpartition(".")[2].replace("_", " ")


def _rows(
    given: Mapping[str, Any], comments: Mapping[str, str], names: Mapping[Any, str]
) -> Iterator[str]:
    for name, kind in given.items():
        comment = comments.get(name, "")
        yield f"- `{name}`: {_kind_words(kind, names)}{f'; {comment}' if comment else ''}"


def _kind_words(kind: Any, names: Mapping[Any, str]) -> str:
    """A type in plain words; ours by their `names`."""
    plain = {
        str: "text", Markup: "HTML", bool: "yes or no", int: "a whole number", float: "a number",
        range: "a row of whole numbers", Assets: "the address of each file by its plain name",
    }  # fmt: skip
    if kind in plain or kind in names:
        return plain.get(kind) or names[kind]
    origin, inner = get_origin(kind), get_args(kind)
    if origin in (Union, types.UnionType):
        said = ("nothing" if one is type(None) else _kind_words(one, names) for one in inner)
        return " or ".join(said)
    if origin in (list, frozenset, Sequence) or (origin is tuple and inner[-1] is Ellipsis):
        return f"a list of {_kind_words(inner[0], names)}"
    if origin is tuple:
        return f"({', '.join(_kind_words(one, names) for one in inner)})"
    if origin in (dict, Mapping):
        return f"{_kind_words(inner[1], names)} by name"
    if inner:  # a choice of words
        return " or ".join(f"“{one}”" for one in inner)
    return str(kind.__name__)


def _classes(kind: Any) -> Iterator[Any]:
    """The types of ours within a type."""
    if isinstance(kind, type) and (is_dataclass(kind) or is_typeddict(kind)):
        if kind is not Assets:
            yield kind
        return
    for one in get_args(kind):
        yield from _classes(one)


def _comments(cls: Any) -> dict[str, str]:
    """What is noted behind each field where it is declared, in what the type is made of as well."""
    bases = (*getattr(cls, "__orig_bases__", ()), cls)
    own = (one for one in bases if isinstance(one, type) and one.__module__ == cls.__module__)
    return {name: said for one in own for name, said in _noted(inspect.getsource(one))}


def _noted(source: str) -> Iterator[tuple[str, str]]:
    for line in source.splitlines():
        found = re.match(r"    (\w+): .*?  # (.+)$", line)
        if found:
            yield found[1], found[2]
