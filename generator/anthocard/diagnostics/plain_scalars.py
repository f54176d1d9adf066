"""What an unquoted word of YAML means: a number, a day, true or false, or just the word.

Belongs here: our own reading of plain scalars, narrower than YAML 1.1, which takes `no` for false,
`12:30` for 750 and `011` for 9. Does not belong here: the structure around the word (yaml_lines).
"""

from __future__ import annotations

import re
from datetime import date
from typing import Any, Final, TypeAlias

#: The kind, the message and the mend of a word that is refused.
Trouble: TypeAlias = tuple[str, str, str]

AMBIGUOUS: Final = "ambiguous"  # the kind of what can be read in more than one way
WORDS: Final = frozenset({"yes", "no", "on", "off", "y", "n"})
_SWITCHES: Final = {"true": True, "false": False}
_NOTHING: Final = frozenset({"", "~", "null"})
_INTEGER: Final = re.compile(r"[-+]?(?:0|[1-9][0-9]{0,14})")
_DECIMAL: Final = re.compile(r"[-+]?(?:0|[1-9][0-9]{0,14})\.[0-9]{1,15}")
_DATE: Final = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
_NUMBERLIKE: Final = re.compile(
    r"[-+]?(?:[0-9][0-9_]*(?:\.[0-9_]*)?(?:e[-+]?[0-9]+)?|\.[0-9_]+(?:e[-+]?[0-9]+)?"
    r"|0x[0-9a-f_]+|0o[0-7_]+|0b[01_]+|[0-9][0-9_]*(?::[0-9]{1,2})+(?:\.[0-9_]*)?|\.inf|\.nan)",
    re.IGNORECASE,
)


def plain_value(text: str) -> tuple[Any, Trouble | None]:
    """What an unquoted word means, and why it is refused, if it is."""
    word = text.lower()
    value: Any = text
    trouble: Trouble | None = None
    if word in _SWITCHES:
        value = _SWITCHES[word]
    elif word in _NOTHING:
        value = None
        trouble = ("empty-value", "nothing is written here", "write a value, or drop the line")
    elif word in WORDS:
        trouble = doubtful(text)
    elif text[0].isalpha():
        pass  # the common case, and no number starts so
    elif _INTEGER.fullmatch(text):
        value = int(text)
    elif _DECIMAL.fullmatch(text):
        value = float(text)
    elif _DATE.fullmatch(text):
        value, trouble = _day(text)
    elif _NUMBERLIKE.fullmatch(text):
        trouble = doubtful(text)
    return value, trouble


def doubtful(text: str) -> Trouble:
    """The complaint about a word that YAML and its author may read differently.

    In quotes it is the word; what a figure or a switch would be, the field itself says.
    """
    return AMBIGUOUS, f"“{text}” can be read in more than one way", f'write “"{text}"”'


def switch_of(text: str) -> str | None:
    """The switch that a word may stand for: “true” for “yes”, “false” for “off”; else None."""
    word = text.lower()
    return None if word not in WORDS else "true" if word in ("yes", "on", "y") else "false"


def _day(text: str) -> tuple[Any, Trouble | None]:
    try:
        return date.fromisoformat(text), None
    except ValueError:
        return text, ("bad-date", f"there is no day {text}", "write it as year-month-day")


def latest(day: date, today: date) -> date:
    """The same day of the latest year that has seen it by today: what a year to come may mean."""
    for year in range(today.year, today.year - 5, -1):
        try:
            found = day.replace(year=year)
        except ValueError:  # 29 February
            continue
        if found <= today:
            return found
    return today
