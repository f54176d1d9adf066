"""The inside of WeasyPrint 70: where its words lie, and what it spends for nothing, mended.

Belongs here: whatever names a part of WeasyPrint that it does not promise to keep. Does not belong
here: what is wrong with where words lie (lost_words.py), setting type (typeset.py), keeping
processes small whatever leaks in them (build/worker.py).

WeasyPrint 70.0 makes a list of Pango attributes for every line that has OpenType features (our
figures are tabular) and never drops its own hold on it; nor does it free the attribute it makes
beside the one it remembers: 0.2 MB a card. pango_layout_set_attributes() takes a hold of its own,
and a list owns what is inserted (Pango reference manual), so each line may drop its list once it is
set, if each list has an attribute to itself. Other versions are left as they are: dropping twice
would crash.

It names the C type of each list of glyphs by its length, and cffi reads every name that is new to
it with a parser of C: twice for each face of a paper, 3 ms each time. A type of any length is read
once, and what is made of it is the same.

It lays every part of a column of flex boxes out three times to share out the height that is left,
which is known once each was laid out once: it is shared out just before what lies behind is placed.

It forgets how far a first line is indented where words run from the right: its letters are shifted.

It reads each line of a drawing that stands in a page by the rules of HTML and works out a style for
it as for a box, which the drawing makes no use of: a quarter of a card. Drawings travel folded in
an attribute and are unfolded, read as XML, where they are drawn.
"""

from __future__ import annotations

import re
from base64 import b64decode, b64encode
from collections.abc import Collection, Iterator
from dataclasses import dataclass
from typing import Any, Final
from xml.etree import ElementTree

from anthocard.press.paper.bearing import UNSEEN

#: The versions whose source was read.
READ: Final = ("70.0",)
_GLYPHS: Final = "hb_codepoint_t["
_SVG: Final = "http://www.w3.org/2000/svg"
_DRAWING: Final = re.compile(f'(<svg xmlns="{_SVG}"[^>]*)>.*?</svg>', re.DOTALL)
_FOLDED: Final = "data-folded"
MM_PER_PX: Final = 25.4 / 96.0  # CSS Values 3, §6.2
#: Ink above and below the line that letters stand on, in em: Fira Sans and Spectral keep capitals
#: and tails within it, read from their OS/2 tables (capitals 0.69, ascenders 0.74, tails 0.22).
ABOVE, BELOW = 0.74, 0.22


@dataclass(frozen=True, slots=True)
class TextRun:
    """Letters set in one go on a page: where their ink lies, mm from the trimmed page's corner.

    `page` counts from 1; `left` < `right`, `top` < `bottom`; `cut` says that a box around them
    hides what sticks out of it and that they stick out.
    """

    page: int
    text: str
    left: float
    top: float
    right: float
    bottom: float
    cut: bool = False


def folded(html: str, weasyprint: Any) -> str:
    """A page whose drawings are folded up; one that is no XML stays as it is."""
    return _DRAWING.sub(_fold, html) if weasyprint.__version__ in READ else html


def _fold(found: re.Match[str]) -> str:
    try:
        ElementTree.fromstring(found[0])
    except ElementTree.ParseError:
        return found[0]
    return f'{found[1]} {_FOLDED}="{b64encode(found[0].encode()).decode()}"></svg>'


def runs(document: Any) -> Iterator[list[TextRun]]:
    """All letters of each page of a document that was laid out; nothing is laid out for it.

    Those in a box that is turned are left out, and those inside a drawing.
    """
    for number, page in enumerate(document.pages, start=1):
        found: list[TextRun] = []
        _gather(page._page_box, number, (), found)
        yield found


@dataclass(frozen=True, slots=True)
class MeasuredPart:
    """A box that its template names by `data-part`: mm below the upper margin of its page.

    `margins` are those above and below on that page together; `page` counts from 1.
    """

    page: int
    name: str
    top: float
    bottom: float
    margins: float


def parts(document: Any) -> Iterator[MeasuredPart]:
    """All named boxes of a document that was laid out, in the order of its source."""
    for number, page in enumerate(document.pages, start=1):
        whole, seen = page._page_box, set()
        for box in whole.descendants():
            name = box.element.get("data-part") if box.element is not None else None
            if name is None or box.element in seen:
                continue
            seen.add(box.element)  # a table is a box in a box: the outer one is met first
            top = (box.border_box_y() - whole.content_box_y()) * MM_PER_PX
            high, margins = box.border_height(), whole.margin_top + whole.margin_bottom
            yield MeasuredPart(number, name, top, top + high * MM_PER_PX, margins * MM_PER_PX)


def runs_on(document: Any, names: Collection[str]) -> dict[str, float]:
    """How far down its last page an element goes, a share of the page's own height, 0 to 1, of
    those that run over several pages; an element is known by a class that no other has.
    """
    pieces: dict[str, list[float]] = {}
    for page in document.pages:
        whole = page._page_box
        for box in whole.descendants():
            words = box.element.get("class", "") if box.element is not None else ""
            for name in words.split():
                if name in names and not hasattr(box, "text"):
                    low = box.position_y + box.margin_height() - whole.content_box_y()
                    pieces.setdefault(name, []).append(low / whole.height)
    return {name: shares[-1] for name, shares in pieces.items() if len(shares) > 1}


def size_mm(page: Any) -> tuple[float, float]:
    """A page of a document as it will be trimmed: width and height."""
    return page.width * MM_PER_PX, page.height * MM_PER_PX


def _gather(box: Any, number: int, hiding: tuple[Any, ...], found: list[TextRun]) -> None:
    text = getattr(box, "text", "")
    if text and not text.isspace():
        em, foot = box.style["font_size"], box.position_y + box.baseline
        left, right = box.position_x, box.position_x + box.width
        top, low = foot - ABOVE * em, foot + BELOW * em
        cut = any(_sticks_out((left, top, right, low), one, 0.1 * em) for one in hiding)
        left, top, right, low = (edge * MM_PER_PX for edge in (left, top, right, low))
        said = (
            text.translate(UNSEEN).replace("\N{NO-BREAK SPACE}", " ").strip()
        )  # as its author wrote it
        found.append(TextRun(number, said, left, top, right, low, cut))
    for child in getattr(box, "children", ()):
        inner = getattr(child, "_box", child)  # what was taken out of the flow has left its place
        style = inner.style
        if style is not None and style["transform"]:
            continue
        hides = style is not None and style["overflow"] != "visible" and not text
        _gather(inner, number, (*hiding, inner) if hides else hiding, found)


def _sticks_out(edges: tuple[float, ...], box: Any, slack: float) -> bool:
    x, y = box.padding_box_x(), box.padding_box_y()
    inside = (x, y, x + box.padding_width(), y + box.padding_height())
    left, top, right, low = (edge - limit for edge, limit in zip(edges, inside, strict=True))
    return bool(min(left, top) < -slack or max(right, low) > slack)


def _spread(page: Any) -> None:
    """Share out what the least height of `main` leaves empty among the gaps between its parts."""
    for main in (box for box in page.descendants() if box.element_tag == "main"):
        parts = [child for child in main.children if child.is_in_normal_flow()]
        low = max((part.position_y + part.margin_height() for part in parts), default=0.0)
        empty = main.content_box_y() + main.height - low
        if empty > 0.0 and main.min_height > 0.0:
            for number, part in enumerate(parts):
                part.translate(dy=empty * number / max(1, len(parts) - 1))


class _EachItsOwn(dict[bytes, Any]):
    """Remembers no attribute, so that no two lists own the same one."""

    def setdefault(self, key: bytes, default: Any = None) -> Any:
        return default


class _AnyLength:
    """WeasyPrint's cffi, but for lists of glyphs, whose length is that of what goes into them."""

    def __init__(self, ffi: Any) -> None:
        self._ffi = ffi

    def __getattr__(self, name: str) -> Any:
        return getattr(self._ffi, name)

    def new(self, name: str, value: Any = None) -> Any:
        return self._ffi.new(f"{_GLYPHS}]" if name.startswith(_GLYPHS) else name, value)


def mend(weasyprint: Any) -> None:
    """Mend all of it, once; does nothing for a version that was not looked at."""
    if weasyprint.__version__ not in READ:
        return
    from weasyprint import html, layout
    from weasyprint.layout import inline
    from weasyprint.pdf import fonts
    from weasyprint.text import line_break
    from weasyprint.text.ffi import ffi, pango
    from weasyprint.text.fonts import FontConfiguration

    class FreedLayout(line_break.Layout):  # type: ignore[misc]
        def setup(self, style: Any) -> None:
            super().setup(style)
            features = pango.pango_layout_get_attributes(self.layout)
            if features != ffi.NULL:
                pango.pango_attr_list_unref(features)

    def born(self: Any) -> None:
        begin(self)
        self.font_features = _EachItsOwn()

    def behind(page: Any, images: Any) -> None:
        _spread(page)
        place(page, images)

    def unfolded(element: Any, *more: Any) -> Any:
        if drawing := element.attrib.pop(_FOLDED, None):
            element[:] = ElementTree.fromstring(b64decode(drawing))
        return draw(element, *more)

    def indented(context: Any, linebox: Any, *more: Any) -> Any:
        line, resume_at = set_line(context, linebox, *more)
        if line is not None and linebox.text_indent and line.style["direction"] == "rtl":
            for child in line.children:
                child.translate(dx=-linebox.text_indent)
        return line, resume_at

    set_line, inline.get_next_linebox = inline.get_next_linebox, indented
    place, begin = layout.layout_backgrounds, FontConfiguration.__init__
    draw = html.HTML_HANDLERS[f"{{{_SVG}}}svg"]
    html.HTML_HANDLERS[f"{{{_SVG}}}svg"] = unfolded
    layout.layout_backgrounds = behind
    FontConfiguration.__init__ = born
    line_break.Layout = FreedLayout
    fonts.ffi = _AnyLength(ffi)
