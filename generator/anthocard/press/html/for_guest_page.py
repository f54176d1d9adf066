"""The page of the spec book for one guest: what they may not have is ticked, what is left is told.

Belongs here: what stands on that page. Does not belong here: the answers (engine/safety), their
order (data/guest_list.py), the ticking (themes/base/for-guest.js).
"""

from __future__ import annotations

import json
from collections.abc import Sequence

from anthocard.engine.safety.for_guest import ANSWERS
from anthocard.house.settings import House
from anthocard.press.base.languages import language
from anthocard.press.base.theme import Theme
from anthocard.press.data.guest_list import Row, need_word, needs_of
from anthocard.press.html.assets import Assets

ADDRESS = "for-a-guest.html"


def for_guest_page(rows: Sequence[Row], house: House, theme: Theme, assets: Assets) -> str:
    """Each drink with its answers for the script; and need by need for who reads without one."""
    tongue, needs = language(house.language), needs_of(house)
    told = [
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
    values = {
        "house": {"name": house.name},
        "needs": [(need.key, need_word(need, tongue)) for need in needs],
        "answers": ANSWERS,
        "rows": rows,
        "told": json.dumps(told, ensure_ascii=False, separators=(",", ":")),
        "style": assets["pages.css"],
        "assets": assets,
    }
    return theme.render("for-guest.html", values, house.language)
