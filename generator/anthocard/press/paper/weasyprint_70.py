"""What WeasyPrint spends for nothing, mended: memory for each card, time for each face in it.

Belongs here: the two faults that were found. Does not belong here: setting type (typeset.py);
keeping processes small whatever leaks in them (workers.py).

WeasyPrint 70.0 makes a list of Pango attributes for every line that has OpenType features (our
figures are tabular) and never drops its own hold on it; nor does it free the attribute it makes
beside the one it remembers: 0.2 MB a card. pango_layout_set_attributes() takes a hold of its own,
and a list owns what is inserted (Pango reference manual), so each line may drop its list once it is
set, if each list has an attribute to itself. Other versions are left as they are: dropping twice
would crash.

It names the C type of each list of glyphs by its length, and cffi reads every name that is new to
it with a parser of C: twice for each face of a paper, 3 ms each time. A type of any length is read
once, and what is made of it is the same.
"""

from __future__ import annotations

from typing import Any, Final

#: The versions whose source was read.
READ: Final = ("70.0",)
_GLYPHS: Final = "hb_codepoint_t["


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
    """Mend both, once; does nothing for a version that was not looked at."""
    if weasyprint.__version__ not in READ:
        return
    from weasyprint.pdf import fonts
    from weasyprint.text import line_break
    from weasyprint.text.ffi import ffi, pango
    from weasyprint.text.fonts import FontConfiguration

    class Layout(line_break.Layout):  # type: ignore[misc]
        def setup(self, style: Any) -> None:
            super().setup(style)
            features = pango.pango_layout_get_attributes(self.layout)
            if features != ffi.NULL:
                pango.pango_attr_list_unref(features)

    def born(self: Any) -> None:
        begin(self)
        self.font_features = _EachItsOwn()

    begin = FontConfiguration.__init__
    FontConfiguration.__init__ = born
    line_break.Layout = Layout
    fonts.ffi = _AnyLength(ffi)
