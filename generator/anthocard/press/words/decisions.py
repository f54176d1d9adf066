"""What a house decided about the rules of care and keeping, in words: shown in the book, for staff.

Belongs here: wording `rules:` of house.yaml. Does not belong here: what follows from a decision
(cautions.py, use_by.py).
"""

from __future__ import annotations

from anthocard.house.settings import House
from anthocard.press.words.spec import Figure


def decisions(house: House) -> tuple[Figure, ...]:
    """Each rule the house tightened or loosened: which and how, why, and on which day."""
    return tuple(
        Figure(
            f"{key.replace('-', ' ')}: {own.state}"
            + (f", {own.days} days" if own.days is not None else "")
            + (f", for {', '.join(own.only)} alone" if own.only else ""),
            own.reason,
            f"{own.date:%d.%m.%Y}",
        )
        for key, own in house.rules.items()
    )
