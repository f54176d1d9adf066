"""What a house decided about the rules of care and keeping, in words: shown in the book, for staff.

Belongs here: wording `rules:` of house.yaml. Does not belong here: what follows from a decision
(cautions.py, use_by.py).
"""

from __future__ import annotations

from anthocard.house.settings import House, OwnRule
from anthocard.press.base.languages import Language, language
from anthocard.press.words.spec import Figure


def decisions(house: House) -> tuple[Figure, ...]:
    """Each rule the house tightened or loosened: which and how, why, and on which day."""
    tongue = language(house.language)
    return tuple(
        Figure(_decided(key, own, tongue), own.reason, f"{own.date:%d.%m.%Y}")
        for key, own in house.rules.items()
    )


def _decided(key: str, own: OwnRule, tongue: Language) -> str:
    """“keeping sharp: loosened, 30 days, for frost acid alone”."""
    parts = [f"{key.replace('-', ' ')}: {tongue.word('decision', own.state)}"]
    if own.days is not None:
        parts.append(tongue.ngettext("%(n)d day", "%(n)d days", own.days))
    if own.only:
        parts.append(tongue.gettext("for %(recipes)s alone", recipes=", ".join(own.only)))
    return ", ".join(parts)
