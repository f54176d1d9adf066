"""Links to papers in finished pages, where a paper could not be set.

Belongs here: saying that a paper is old, and taking out what leads nowhere. Does not belong here:
why it could not be set (build/plan.py), what is on the old one (paper/archive.py).
"""

from __future__ import annotations

import re
from collections.abc import Collection

from anthocard.press.base.languages import language


def mark_links(
    page: str, html: bytes, gone: Collection[str], old: Collection[str], tag: str
) -> bytes:
    """A page, by its path below `out`, with what is said of links to papers that are not new.

    Beside a link for staff stands that its paper is `old`; all others of those that are `gone` are
    taken out: guests are offered no old paper, and what is not there would lead nowhere. `tag` is
    the language of the page.
    """
    folder, word = f"{page.partition('/')[0]}/", language(tag).pgettext("paper", "old")

    def marked(link: re.Match[str]) -> str:
        path = f"{folder}{link[1]}"
        if path not in gone:
            return link[0]
        return f"{link[0]} <strong>({word})</strong>" if path in old and folder == "staff/" else ""

    links = r'<a\b[^>]*\bhref="([^"]*)"[^>]*>.*?</a>'
    return re.sub(links, marked, html.decode(), flags=re.DOTALL).encode()
