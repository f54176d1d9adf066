"""What is done to a drink that wants more than care: vacuum, gas, fire, stills, cultures.

Belongs here: the rows, and finding them in what staff read and in the keys of an infusion. Does not
belong here: whom that is told (engine/safety/process_check.py), or anything that figures decide.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache, lru_cache

from anthocard.diagnostics.tables import TableError, read_table
from anthocard.facts.law.prose import Wording, denies, wording


@dataclass(frozen=True, slots=True)
class Process:
    """One row: what it is, and what the authority of the place is asked for.

    `rule` is the key of the caution in rules.yaml that says what to mind, `topic` that of
    statutes.yaml. `from_c`, `to_c` and
    `hours` bound the infusions that are one by their keys; none where all are 0. `steps` are the
    steps of a preparation that are one: “ferment”, “steep siphon”.
    """

    key: str
    says: str
    rule: str
    ask: str
    source: str
    how: str
    wording: Wording
    topic: str = ""
    from_c: float = 0.0
    to_c: float = 0.0
    hours: float = 0.0
    steps: frozenset[str] = frozenset()


@cache
def processes() -> tuple[Process, ...]:
    """Every row in the order of the table. Raises TableError."""
    return tuple(
        _process(key, row)
        for key, row in read_table("anthocard.facts.law", "processes.yaml")["processes"].items()
    )


@lru_cache(maxsize=1024)
def done_in(sentence: str) -> tuple[tuple[Process, str], ...]:
    """The processes that a sentence tells to do, each with its words; none where it denies."""
    each = ((one, one.wording.words(sentence)) for one in processes())
    found = tuple((one, words) for one, words in each if words)
    return () if found and denies(sentence) else found


def held(temperature_c: float, hours: float) -> tuple[Process, ...]:
    """The processes that steeping at a temperature for a time is, by its keys alone."""
    return tuple(
        one
        for one in processes()
        if one.hours and hours >= one.hours and one.from_c <= temperature_c <= one.to_c
    )


def stepped(words: frozenset[str]) -> tuple[Process, ...]:
    """The processes that a step is, by its word alone or with its choice: “steep siphon”."""
    return tuple(one for one in processes() if one.steps & words)


def _process(key: str, row: dict[str, object]) -> Process:
    plain = {name: row[name] for name in ("says", "rule", "ask", "source", "how")}
    keys = row.get("keys", {})
    if not isinstance(keys, dict) or set(keys) not in (set(), {"from_c", "to_c", "hours"}):
        raise TableError(f"processes.yaml: {key}: keys are from_c, to_c and hours")
    more = {"topic": str(row.get("topic", "")), "steps": frozenset(row.get("steps", ()))}  # type: ignore[call-overload]  # likewise
    return Process(key=key, wording=wording(row), **more, **plain, **keys)  # type: ignore[arg-type]  # columns of a checked table
