"""What the template of each paper is given, told from the types: a page for theme authors.

Belongs here: which value a template gets under which name, and how a type is told in plain words.
Does not belong here: the values (words/), filling templates in (theme.py).
"""

from __future__ import annotations

import inspect
import re
import types
from collections.abc import Iterator, Mapping
from dataclasses import fields, is_dataclass
from typing import Any, Final, Union, get_args, get_origin, get_type_hints

from markupsafe import Markup

from anthocard.press.data.guest_list import GuestList
from anthocard.press.paper.menus.menu_page import MenuPage
from anthocard.press.words.back import Back
from anthocard.press.words.batch_sheet import Sheet
from anthocard.press.words.bottle_label import Label
from anthocard.press.words.buying import Buying
from anthocard.press.words.card import Card
from anthocard.press.words.log_sheets import Log
from anthocard.press.words.prep_sheet import Prep

#: By template, what it gets: a name and a type; of the menu, the fields of its type.
GIVEN: Final[Mapping[str, Mapping[str, Any]]] = {
    "card.html": {"card": Card, "fit": str, "strip": str},
    "card_large.html": {"card": Card, "fit": str, "strip": str, "method": tuple[str, ...]},
    "card_back.html": {"card": Card, "back": Back, "fit": str},
    "label.html": {"label": Label, "fit": str},
    "label_small.html": {"label": Label, "fit": str},
    "menu_paper.html": get_type_hints(MenuPage),
    "prep.html": {"prep": Prep, "fit": str},
    "batch.html": {"sheet": Sheet, "fit": str},
    "buy.html": {"buying": Buying, "fit": str},
    "log.html": {"sheets": tuple[Log, ...], "house": str},
    "for-guest-list.html": {"list": GuestList},
    "legend.html": {"parts": list[tuple[str, str]]},
}
#: In every template: the functions of phrases, and these.
EVERYWHERE: Final = ("_", "gettext", "ngettext", "pgettext", "npgettext", "language", "lang", "own")

_HEAD = """\
# What the templates of papers are given

Made from the program's own types. A theme sees words and drawings, never a figure to round.
`_("…")` is a phrase in the language of the house, `own` the `lang` attribute of what the house
wrote itself, `language.lang` the language of the paper.
"""


def fields_page() -> str:
    """The page, Markdown."""
    kinds: dict[str, Any] = {}
    lines = [_HEAD]
    for template, given in GIVEN.items():
        lines += [f"## {template}", ""]
        comments = _comments(MenuPage) if template == "menu_paper.html" else {}
        for name, kind in given.items():
            lines.append(_row(name, kind, comments.get(name, "")))
            kinds |= _classes(kind)
        lines.append("")
    waiting = [*kinds]
    while waiting:
        cls = kinds[waiting.pop(0)]
        lines += [f"## {cls.__name__}", "", (inspect.getdoc(cls) or "").partition("\n\n")[0], ""]
        comments, hints = _comments(cls), get_type_hints(cls)
        for field in fields(cls):
            kind = hints[field.name]
            lines.append(_row(field.name, kind, comments.get(field.name, "")))
            more = {name: one for name, one in _classes(kind).items() if name not in kinds}
            kinds |= more
            waiting += more
        lines.append("")
    return "\n".join(lines)


def _row(name: str, kind: Any, comment: str) -> str:
    return f"- `{name}`: {_kind_words(kind)}{f'; {comment}' if comment else ''}"


def _kind_words(kind: Any) -> str:
    """A type in plain words."""
    plain = {str: "text", Markup: "HTML", bool: "yes or no", int: "a whole number"}
    if kind in plain:
        return plain[kind]
    origin, inner = get_origin(kind), get_args(kind)
    if origin in (Union, types.UnionType):
        return " or ".join("nothing" if one is type(None) else _kind_words(one) for one in inner)
    if origin in (tuple, list) and (origin is list or inner[-1] is Ellipsis):
        return f"a list of {_kind_words(inner[0])}"
    if origin is tuple:
        return f"({', '.join(map(_kind_words, inner))})"
    if origin is dict:
        return f"{_kind_words(inner[1])} by name"
    if inner:  # a choice of words
        return " or ".join(f"“{one}”" for one in inner)
    return str(kind.__name__)


def _classes(kind: Any) -> dict[str, Any]:
    """The types of ours within a type, by name."""
    if isinstance(kind, type) and is_dataclass(kind):
        return {kind.__name__: kind}
    found: dict[str, Any] = {}
    for one in get_args(kind):
        found |= _classes(one)
    return found


def _comments(cls: Any) -> dict[str, str]:
    """What is noted behind each field where it is declared."""
    return dict(_noted(inspect.getsource(cls)))


def _noted(source: str) -> Iterator[tuple[str, str]]:
    for line in source.splitlines():
        found = re.match(r"    (\w+): .*?  # (.+)$", line)
        if found:
            yield found[1], found[2]
