"""What WeasyPrint forgets to give back, given back: 0.2 MB a card, so that a long run stays small.

Belongs here: the one leak that was found. Does not belong here: setting type (paper.py); keeping
processes small whatever leaks in them (workers.py).

WeasyPrint 70.0 makes a list of Pango attributes for every line that has OpenType features (our
figures are tabular) and never drops its own hold on it; nor does it free the attribute it makes
beside the one it remembers. pango_layout_set_attributes() takes a hold of its own, and a list owns
what is inserted (Pango reference manual), so each line may drop its list once it is set, if each
list has an attribute to itself. Other versions are left as they are: dropping twice would crash.
"""

from __future__ import annotations

from typing import Any, Final

#: The versions whose source was read.
KEEPS_FEATURES: Final = ("70.0",)


class _EachItsOwn(dict[bytes, Any]):
    """Remembers no attribute, so that no two lists own the same one."""

    def setdefault(self, key: bytes, default: Any = None) -> Any:
        return default


def mend(weasyprint: Any) -> None:
    """Make lines give back their lists; does nothing for a version that was not looked at."""
    if weasyprint.__version__ not in KEEPS_FEATURES:
        return
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
