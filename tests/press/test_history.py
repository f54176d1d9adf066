"""The ledger of editions: what changed is told, what stays costs nothing, the same twice."""

from typing import Any

from anthocard.press.base.languages import language
from anthocard.press.base.number_text import EN
from anthocard.press.words.history import (
    EDITIONS_KEPT,
    News,
    news_in,
    news_of,
    read_ledger,
    steps_of,
    written_on,
)


def figures(edition: str, gin: str, ph: float = 6.2, **more: str) -> dict[str, Any]:
    shown = {"pH before": [ph], "strength before": 20.0, "colour before": "blue"}
    named = {"name": "Nip", "kind": "drink", "edition": edition}
    return {**named, "amounts": {"gin": gin, **more}, "figures": shown}


def test_the_first_edition_has_nothing_before_it() -> None:
    """A new recipe, or a new build folder, starts with no steps."""
    ledger = written_on({}, {"nip": figures("A", "50 ml")})
    assert steps_of(ledger, "nip", EN) == ()


def test_a_step_names_each_difference() -> None:
    """Amounts changed, new and gone; figures as printed; newest first."""
    ledger = written_on({}, {"nip": figures("A", "50 ml", lime="5 ml")})
    ledger = written_on(ledger, {"nip": figures("B", "45 ml", 5.9, honey="10 ml")})
    (step,) = steps_of(ledger, "nip", EN)
    assert (step.was, step.to) == ("A", "B")
    assert step.lines == (
        "gin: 50 ml → 45 ml",
        "honey: new, 10 ml",
        "lime: gone, was 5 ml",
        "pH before: 6.2 → 5.9",
    )
    ledger = written_on(ledger, {"nip": figures("C", "45 ml", 5.9, honey="10 ml")})
    assert [s.to for s in steps_of(ledger, "nip", EN)] == ["C", "B"]
    assert steps_of(ledger, "nip", EN)[0].lines == ("words, papers or the tables behind it",)


def test_a_step_is_told_in_the_language_of_the_day_it_is_read() -> None:
    """Figures are kept as figures; what another version kept in words is told as it stands."""
    ledger = written_on({}, {"nip": figures("A", "50 ml", lime="5 ml")})
    now = figures("B", "50 ml", 5.9)
    now["figures"]["colour before"] = "deep blue"
    ledger = written_on(ledger, {"nip": now})
    (step,) = steps_of(ledger, "nip", language("de"))
    assert step.lines == (
        "lime: entfallen, war 5 ml",
        "pH vorher: 6,2 → 5,9",
        "Farbe vorher: blau → tiefblau",
    )
    ledger["nip"]["steps"].append({"to": "A", "was": "Z", "lines": ["gin: 45 ml → 50 ml"]})
    assert steps_of(ledger, "nip", language("fr"))[1].lines == ("gin: 45 ml → 50 ml",)
    kept = {**ledger["nip"], "figures": {"pH before": "5.9", "strength before": "20.0 % vol"}}
    ledger = written_on({"nip": kept}, {"nip": figures("C", "50 ml", 5.9)})
    assert steps_of(ledger, "nip", EN)[0].lines == ("colour before: new, blue",)


def test_the_same_edition_leaves_the_ledger_alone() -> None:
    """Published twice: not a byte differs."""
    ledger = written_on({}, {"nip": figures("A", "50 ml")})
    ledger = written_on(ledger, {"nip": figures("B", "45 ml")})
    assert written_on(ledger, {"nip": figures("B", "45 ml")}) == ledger


def test_recipes_that_are_gone_are_dropped_and_old_steps_end() -> None:
    """The ledger does not grow for ever."""
    ledger: dict[str, Any] = {"old": {"edition": "X", "steps": []}}
    for n in range(EDITIONS_KEPT + 5):
        ledger = written_on(ledger, {"nip": figures(str(n), f"{n + 1} ml")})
    assert set(ledger) == {"nip"}
    assert len(steps_of(ledger, "nip", EN)) == EDITIONS_KEPT


def test_a_ledger_that_cannot_be_read_is_none() -> None:
    """A broken file costs the history, never the build."""
    for text in (None, "", "{", "[]", "3"):
        assert read_ledger(text) == {}


def test_news_stays_until_something_else_changes() -> None:
    """A first build has none; then what changed or came is news, and what is gone is named."""
    first = written_on({}, {"nip": figures("A", "50 ml"), "tot": figures("T", "20 ml")})
    assert news_of({}, first) == News((), (), ())
    second = written_on(first, {"nip": figures("B", "45 ml"), "dram": figures("D", "9 ml")})
    assert [news_in(second, slug) for slug in ("nip", "dram")] == ["changed", "new"]
    assert news_of(first, second) == News(("Nip",), ("Nip",), ("Nip",))
    same = {"nip": figures("B", "45 ml"), "dram": figures("D", "9 ml")}
    assert written_on(second, same) == second
    assert news_of(second, second) == News((), (), ())
    third = written_on(second, {**same, "dram": figures("E", "8 ml")})
    assert [news_in(third, slug) for slug in ("nip", "dram")] == ["", "changed"]


def test_what_somebody_else_wrote_into_a_ledger_is_no_news() -> None:
    """Rows of any shape: nothing is said of them."""
    rubbish: dict[str, Any] = {"a": 3, "b": {"news": ["x"]}, "c": {"kind": "drink", "news": "old"}}
    assert [news_in(rubbish, slug) for slug in "abcd"] == [""] * 4
    assert news_of({"z": 3}, rubbish) == News((), (), ())
