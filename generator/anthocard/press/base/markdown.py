"""Markdown of authors as HTML that cannot do harm.

Belongs here: the only Markdown import, what HTML and which links an author may bring in. Does not
belong here: pages (html/), papers (paper/), how they look (themes).
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from html.parser import HTMLParser
from typing import TYPE_CHECKING

from markupsafe import Markup

from anthocard.diagnostics.diagnostic import AuthorError, Mistake, Place
from anthocard.house.files import slug, too_tangled

if TYPE_CHECKING:
    from markdown import Markdown

# fmt: off
TAGS = frozenset({
    "a", "abbr", "b", "blockquote", "br", "caption", "code", "dd", "del", "dl", "dt", "em",
    "h2", "h3", "h4", "h5", "h6", "hr", "i", "ins", "li", "mark", "ol", "p", "pre", "q", "s",
    "small", "strong", "sub", "sup", "table", "tbody", "td", "tfoot", "th", "thead", "tr", "ul",
})
# fmt: on
#: A link from one recipe's file to another's.
RECIPE = re.compile(r"(?:\.\./)?(?:[a-z]+/)?([^/#]+)\.md(#.*)?")
_STEP = re.compile(r"^\s{0,3}(?:\d+[.)]|[-*+])\s+")
_MARKS = re.compile(r"[*_`]|^#+\s*", re.MULTILINE)
ATTRIBUTES = {
    "a": {"href", "title"},
    "abbr": {"title"},
    "ol": {"start"},
    "td": {"colspan", "rowspan"},
    "th": {"colspan", "rowspan", "scope"},
}


def markdown_html(text: str) -> Markup:
    """Markdown as HTML that cannot do harm: known tags, relative links, no styles, no scripts.

    A link to another recipe's file, “../syrups/honey.md#method”, leads to its page.
    """
    return _clean(text, _to_page)


def guest_html(text: str) -> Markup:
    """The same for guests: a link to a recipe leads to its place on the menu."""
    return _clean(text, _to_place)


def steps_in(text: str) -> tuple[str, ...]:
    """The steps of a method: its numbered or dotted lines, what hangs below them joined on."""
    steps: list[str] = []
    for line in text.splitlines():
        if line.lstrip().startswith("#"):
            continue
        if _STEP.match(line):
            steps.append(_STEP.sub("", line))
        elif line.strip() and steps:
            steps[-1] = f"{steps[-1]} {line.strip()}"
        elif line.strip():
            steps.append(line.strip())
    return tuple(plain_text(step) for step in steps)


def plain_text(text: str) -> str:
    """Markdown without its marks, on one line."""
    return " ".join(_MARKS.sub("", text).split())


@dataclass(frozen=True, slots=True)
class DroppedMarkup:
    """Something that is left out of a page, in words, and how it stands in the author's text."""

    words: str
    written: str


def dropped_markup(text: str) -> tuple[tuple[DroppedMarkup, ...], tuple[str, ...]]:
    """What `markdown_html` takes out of a text, and the links it keeps; each once."""
    if not text.strip():
        return (), ()
    found = _Found()
    found.feed(_html(text))
    return tuple(dict.fromkeys(found.refused)), tuple(dict.fromkeys(found.links))


class _Found(HTMLParser):
    """Notes what of a page would not pass, and the links that do."""

    def __init__(self) -> None:
        super().__init__()
        self.refused: list[DroppedMarkup] = []
        self.links: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        values = dict(attrs)
        if tag == "img":
            source = values.get("src") or ""
            self.refused.append(DroppedMarkup(f"the picture “{source}”", source or "<img"))
        elif tag not in TAGS:
            self.refused.append(DroppedMarkup(f"the tag <{tag}>", tag))
        for name, value in attrs:
            if name.startswith("on") or name == "style":
                self.refused.append(DroppedMarkup(f"the attribute {name}", name))
            elif name == "href" and not _stays(value or ""):
                self.refused.append(DroppedMarkup(f"the link “{value}”", value or name))
            elif name == "href":
                self.links.append(value or "")


def _clean(text: str, lead: Callable[[str], str]) -> Markup:
    import nh3

    if not text.strip():
        return Markup()

    def follow(tag: str, attribute: str, value: str) -> str | None:
        if attribute != "href":
            return value
        return lead(value.strip()) if _stays(value) else None

    clean = nh3.clean(
        _html(text),
        tags=set(TAGS),
        attributes=ATTRIBUTES,
        attribute_filter=follow,
        url_schemes=set(),
        link_rel=None,
    )
    return Markup(clean)


def _html(text: str) -> str:
    """What Markdown makes of a text; raises AuthorError for one it would choke on."""
    if too_tangled(text):
        raise AuthorError([_tangled(text)])
    try:
        return _markdown().reset().convert(text)
    except RecursionError as error:
        _markdown.cache_clear()  # what was broken off half-way would read no link after this
        raise AuthorError([_tangled(text)]) from error


def _tangled(text: str) -> Mistake:
    first = text.strip().split("\n")[0][:80]
    place = Place(f"the text that starts “{first}”")
    return Mistake("too-tangled", "this text is nested too deeply", place, "write it more simply")


def _stays(link: str) -> bool:
    """Whether a link stays inside the house: nowhere else, no way up but to a recipe."""
    plain = link.strip().replace("\\", "/")
    if re.match(r"[a-zA-Z][a-zA-Z0-9+.-]*:|/", plain):
        return False
    return ".." not in plain.split("#")[0].split("/") or RECIPE.fullmatch(plain) is not None


def _to_page(link: str) -> str:
    recipe = RECIPE.fullmatch(link)
    return f"{slug(recipe[1])}.html{recipe[2] or ''}" if recipe else link


def _to_place(link: str) -> str:
    recipe = RECIPE.fullmatch(link)
    return f"#{slug(recipe[1])}" if recipe else link


@cache
def _markdown() -> Markdown:
    from markdown import Markdown

    # A recipe's first heading is the page's second: “## Method” stays what the author wrote.
    return Markdown(extensions=["abbr", "def_list", "sane_lists", "tables"], output_format="html")
