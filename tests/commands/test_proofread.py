"""proofread: everything at once, by file, for people and for tools, and the exit code."""

from __future__ import annotations

import json
import os
import shutil
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest
from anthocard.diagnostics.diagnostic import Mistake, Place
from anthocard.diagnostics.report import as_rows, grouped, tally
from anthocard.engine.compute import compute
from anthocard.engine.review import review
from anthocard.house.reader import read_house
from anthocard.press.base.theme import find_theme
from anthocard.press.build.plan import contents
from anthocard.press.build.recipe_cache import work_out
from anthocard.press.build.run import Run as Press
from anthocard.press.proof import set_ahead
from anthocard.press.store.store import Store

from tests.commands.conftest import run

Run = Callable[..., object]
KEYS = [
    "path", "line", "column", "length", "severity", "kind", "message", "mend", "excerpt",
]  # fmt: skip


def write(folder: Path, name: str, old: str, new: str) -> None:
    path = folder / name
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new), encoding="utf-8")


def test_all_files_are_told_in_one_go(anthocard: Run, bar: Path) -> None:
    """Mistakes of three files stand under their files' names; the exit code is 1."""
    write(bar, "drinks/first-light.md", "50 ml blue gin", "50 mll blue gin")
    write(bar, "drinks/slow-morning.md", "10 ml plain syrup", "10 ml plain sirup")
    write(bar, "house.yaml", "light: D65", "lihgt: D65")
    answer = anthocard("proofread", "--house", bar)
    assert answer.returncode == 1
    heads = [x for x in answer.stdout.splitlines() if x.startswith("bar/") and x.count(":") == 1]
    assert heads == [
        "bar/drinks/first-light.md: 1 mistake",
        "bar/drinks/slow-morning.md: 1 mistake",
        "bar/house.yaml: 1 mistake",
    ]
    assert "did you mean “ml”?" in answer.stdout
    assert "did you mean “light”?" in answer.stdout


def test_warnings_do_not_stop_anything(anthocard: Run, bar: Path) -> None:
    """A new house has defaults and unread labels: warnings, exit code 0."""
    answer = anthocard("proofread", "--house", bar, "--all")
    assert answer.returncode == 0
    assert "composition second-hand" in answer.stdout
    assert "nobody has checked the label of gin" in answer.stdout
    assert answer.stdout.rstrip().endswith("no mistakes.")
    short = anthocard("proofread", "--house", bar, "--errors")
    assert "composition second-hand" not in short.stdout


def test_the_worst_comes_first_and_not_too_much_at_once(anthocard: Run) -> None:
    """Of the demo house eight kinds at most, those that could hurt a guest first; the rest is counted,
    and told whole by --all."""
    short, whole = (
        anthocard("proofread", "--house", "recipes", *more) for more in ((), ("--all",))
    )
    told = short.stdout.count("\n  Mend: ")
    assert 3 <= told <= 8
    assert short.stdout.index("checked the label") < short.stdout.index("would hardly see")
    assert short.stdout.index("would hardly see") < short.stdout.index("By the way: nothing uses")
    hidden = whole.stdout.count("\n  Mend: ") - told
    last = short.stdout.rstrip().splitlines()[-1]
    assert (
        last
        == f"{whole.stdout.rstrip().splitlines()[-1]} “anthocard proofread --all” tells the other {hidden}."
    )


def test_json_has_a_stable_shape(anthocard: Run, bar: Path) -> None:
    """Keys of the whole and of each mistake, in order; the same with and without mistakes."""
    good = json.loads(anthocard("proofread", "--house", bar, "--json").stdout)
    assert list(good) == ["house", "ok", "recipes", "counts", "mistakes"]
    assert good["ok"] is True
    assert good["recipes"] == 5
    write(bar, "drinks/first-light.md", "50 ml blue gin", "50 mll blue gin")
    answer = anthocard("proofread", "--house", bar, "--json")
    bad = json.loads(answer.stdout)
    assert answer.returncode == 1
    assert list(bad) == list(good)
    assert bad["counts"] == {"error": 1, "warning": 0, "hint": 0}
    (row,) = bad["mistakes"]
    assert list(row) == KEYS
    assert (row["line"], row["column"], row["length"]) == (9, 8, 3)
    assert (row["kind"], row["severity"]) == ("unknown-unit", "error")
    assert row["excerpt"] == "  - 50 mll blue gin"


def test_a_hint_for_every_loose_end(bar: Path) -> None:
    """A syrup nobody pours, a drink on no menu, a drink without a price."""
    write(bar, "menus/tonight.md", "      - Slow Morning\n", "")
    write(bar, "drinks/first-light.md", "price: 12\n", "")
    (bar / "syrups" / "spare.md").write_text(
        "---\nname: spare syrup\nparts: [100 g sucrose, 100 g still water]\n---\n", encoding="utf-8"
    )
    found = {m.kind: m for m in reviewed(bar) if m.severity == "hint"}
    assert sorted(found) == ["no-price", "not-offered", "unused"]
    assert found["unused"].message == "nothing uses spare syrup"
    assert found["not-offered"].place.path == "bar/drinks/slow-morning.md"
    assert all(m.mend for m in found.values())


def reviewed(folder: Path, today: date = date(2026, 3, 1)) -> tuple[Mistake, ...]:
    collection = read_house(folder)
    computed, _ = compute(collection, today=today)
    return review(collection, lambda slug: computed[slug].defaults, today)


@pytest.mark.parametrize(
    ("record", "kinds"),
    [
        ("", {"no-allergen-record"}),
        (", allergens: {checked: 2026-02-01}", set()),
        (", allergens: {checked: 2024-02-01}", {"old-allergen-record"}),
    ],
)
def test_a_label_nobody_read_is_told(bar: Path, record: str, kinds: set[str]) -> None:
    """Gin without a record, with one of last month, with one of two years ago."""
    write(bar, "stock.yaml", "gin: {pack: 700 ml}", f"gin: {{pack: 700 ml{record}}}")
    told = {m.kind for m in reviewed(bar) if m.message.endswith("gin") or " gin " in m.message}
    assert {kind for kind in told if "allergen" in kind} == kinds


def test_a_default_is_told_once_where_it_is_written(bar: Path) -> None:
    """Gin stands behind three recipes and is told once, at its own line of stock.yaml."""
    found = [m for m in reviewed(bar) if m.message.startswith("gin: composition second-hand")]
    (one,) = found
    assert one.place.path == "bar/stock.yaml"
    assert "behind" in one.message


@pytest.mark.parametrize(
    ("name", "old", "new", "at"),
    [
        ("drinks/first-light.md", "sprig of thyme", "sprig of \u2603thyme", "15:21"),
        ("drinks/first-light.md", "Blue, until you pour", "Blue, until \u2603you pour", "18:13"),
        ("house.yaml", "voice: A line", "voice: A \u2603line", "7:10"),
        ("menus/tonight.md", "name: Tonight", "name: Tonight \u2603", None),
    ],
)
def test_a_letter_no_face_has_is_told_at_the_word(
    name: str, old: str, new: str, at: str | None, anthocard: Run, bar: Path
) -> None:
    """What publish would only find while it sets type is an error here, with line and column."""
    write(bar, name, old, new)
    told = json.loads(anthocard("proofread", "--house", bar, "--json").stdout)
    wrong = [one for one in told["mistakes"] if one["severity"] == "error"]
    assert not told["ok"]
    assert {one["kind"] for one in wrong} == {"no-glyph"}
    assert at is None or f"{wrong[0]['line']}:{wrong[0]['column']}" == at
    assert all(one["path"] == f"bar/{name}" for one in wrong)


def test_a_letter_in_a_comment_is_nobodys_business(anthocard: Run, bar: Path) -> None:
    """Comments are never set: an odd letter in one is no mistake."""
    path = bar / "house.yaml"
    path.write_text(f"# \u2603\n{path.read_text('utf-8')}", "utf-8")
    assert anthocard("proofread", "--house", bar).returncode == 0


@pytest.fixture(scope="session")
def kept(begun: Path) -> Path:
    """What a publish of the house just begun keeps, papers and pictures."""
    words = ("--house", begun / "bar", "--out", begun / "whole")
    own = {"XDG_CACHE_HOME": str(begun / "own")}
    assert run("publish", *words, env=own).returncode == 0
    return begun / "own"


@pytest.fixture
def bar(kept: Path, bar: Path) -> Path:
    """A copy of that house which knows what was kept: what a test spoils is made anew."""
    shutil.copytree(kept, bar.parent / "own", copy_function=os.link)
    return bar


def proof(anthocard: Run, bar: Path, *words: str) -> tuple[int, list[dict[str, object]]]:
    answer = anthocard(
        "proofread",
        "--house",
        bar,
        "--json",
        *words,
        env={"XDG_CACHE_HOME": str(bar.parent / "own")},
    )
    told = json.loads(answer.stdout)["mistakes"]
    return answer.returncode, [one for one in told if one["severity"] == "error"]


def publish(anthocard: Run, bar: Path, *words: str) -> tuple[int, str]:
    answer = anthocard(
        "publish", "--house", bar, "--out", bar.parent / "out", *words,
        env={"XDG_CACHE_HOME": str(bar.parent / "own")},
    )  # fmt: skip
    return answer.returncode, answer.stderr


def test_a_card_that_is_too_full_is_told_at_its_field(anthocard: Run, bar: Path) -> None:
    """What publish finds while it sets type: the same mistake, at what is too long. With a little
    less on it the card goes through, here and there."""
    told = "Pour it slowly and watch the colour climb. " * 4
    write(bar, "drinks/first-light.md", "  - 15 ml plain syrup\n", "  - 2 ml plain syrup\n" * 8)
    write(bar, "drinks/first-light.md", "in a small jug on the side", told.strip())
    code, (wrong,) = proof(anthocard, bar)
    assert code == 1
    assert wrong["kind"] == "card-too-full"
    assert wrong["path"] == "bar/drinks/first-light.md"
    assert str(wrong["excerpt"]).startswith("  served: Pour it")
    only = ("--only", "drinks/first-light.md")
    code, said = publish(anthocard, bar, *only)
    assert code == 1
    assert str(wrong["message"]) in said
    write(bar, "drinks/first-light.md", told.strip(), "Pour it slowly. " * 4)
    assert proof(anthocard, bar) == (0, [])
    assert publish(anthocard, bar, *only)[0] == 0


def test_a_label_that_may_be_too_full_is_set(
    bar: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """None of a house just begun is near the edge; were the edge at no letters, each would be set,
    as publish sets it."""
    collection, store = read_house(bar), Store(tmp_path / "store", b"x" * 32)
    worked, _ = work_out(collection, store)
    run = Press(store, 1)
    assert set_ahead.set_ahead(collection, worked, find_theme(), run) == ()
    assert run.papers == set()
    monkeypatch.setattr(set_ahead, "FULL_LETTERS", 0)
    run = Press(store, 1)
    assert set_ahead.set_ahead(collection, worked, find_theme(), run) == ()
    labels, again = run.papers, Press(store, 1)
    again.now(again.get(contents(collection, worked, find_theme())["staff/labels.pdf"]))
    assert again.papers == labels
    assert again.set_anew == 0


def test_a_word_that_no_line_may_hold_is_set(bar: Path, tmp_path: Path) -> None:
    """Sixty letters without a place to break, as a garnish and as a glass's name would be: every
    paper is set, and a publish that finds them so has none left to refuse."""
    write(bar, "drinks/first-light.md", "a sprig of thyme", "sprig" * 12)
    collection, store = read_house(bar), Store(tmp_path / "store", b"x" * 32)
    worked, _ = work_out(collection, store)
    run = Press(store, 1)
    assert set_ahead.set_ahead(collection, worked, find_theme(), run) == ()
    again = Press(store, 1)
    for path, target in contents(collection, worked, find_theme()).items():
        if path.endswith(".pdf"):
            again.now(again.get(target))
    assert again.set_anew == 0


@pytest.mark.parametrize(
    ("file", "text", "kind"),
    [
        ("staff.html", "{% extends 'base/staff.html' %}{% block body %}{{ nothing }}{% endblock %}",
         "broken-template"),
        ("label.css", "p { colour: red }", "broken-style"),
        ("menu.html", "{% extends 'base/menu.html' %}{% block body %}{{ house }}"
         "{% for one in drinks %}{{ one }}{% endfor %}{% endblock %}", None),
        ("card.css", "body { font-size: 40pt }", "card-too-full"),
    ],
)  # fmt: skip
def test_of_a_theme_of_the_house_all_is_made(
    file: str, text: str, kind: str | None, anthocard: Run, bar: Path
) -> None:
    """A template or a style that is broken, a leak, letters too large for any card: what publish
    would say is said, by either in the same words; nothing is written beside the store."""
    own = bar / "themes" / "mine"
    own.mkdir(parents=True)
    (own / file).write_text(text, encoding="utf-8")
    code, wrong = proof(anthocard, bar, "--theme", "mine")
    published, said = publish(anthocard, bar, "--theme", "mine")
    assert code == published
    assert all(str(one["message"]) in said for one in wrong)
    if kind is not None:
        assert kind in {one["kind"] for one in wrong}


def test_telling_is_grouped_and_counted() -> None:
    """Files in order, mistakes in order inside them, counts in words."""
    mistakes = [
        Mistake("b", "two", Place("b.md", 2), severity="warning"),
        Mistake("a", "one", Place("a.md", 9)),
        Mistake("a", "nought", Place("a.md", 1), severity="hint"),
    ]
    assert grouped(mistakes) == (
        "a.md: 1 mistake, 1 hint\na.md:1:1\n  By the way: nought\na.md:9:1\n  one\n\n"
        "b.md: 1 warning, no mistakes\nb.md:2:1\n  Look: two"
    )
    assert tally(mistakes) == "1 mistake, 1 warning, 1 hint"
    assert tally([]) == "no mistakes"
    assert [row["path"] for row in as_rows(mistakes)] == ["a.md", "a.md", "b.md"]
