"""publish: what is told while it works and when it is done, and a second run that does nothing."""

from __future__ import annotations

import json
import os
import pty
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest
from anthocard.disk.listing import LIST
from anthocard.press.build.fingerprint import RECORD

from tests.commands.conftest import COMMAND, begin_small, environment

Run = Callable[..., object]


def tree(folder: Path) -> dict[str, bytes]:
    files = (path for path in folder.rglob("*") if path.is_file())
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in files}


@pytest.fixture
def built(anthocard: Run, bar: Path, tmp_path: Path) -> Path:
    out = tmp_path / "build"
    assert anthocard("publish", "--house", bar, "--out", out, "--no-paper").returncode == 0
    return out


def test_the_summary_says_what_where_and_what_next(
    anthocard: Run, bar: Path, tmp_path: Path
) -> None:
    """How many files, the two ways in, and that there is something to look at."""
    out = tmp_path / "build"
    answer = anthocard("publish", "--house", bar, "--out", out, "--no-paper")
    assert answer.returncode == 0
    assert answer.stdout.startswith("Wrote ")
    for name in ("guest", "staff"):
        assert f"{out}/{name}/index.html" in answer.stdout
        assert (out / name / "index.html").is_file()
    assert "\r" not in answer.stdout + answer.stderr
    assert "\x1b" not in answer.stdout + answer.stderr


def test_a_second_run_does_nothing(anthocard: Run, bar: Path, built: Path) -> None:
    """It says so, and not even a time stamp changes; a change of one letter ends that. The note
    alone may be written anew: right after a save it is too young to be trusted at a glance.
    """

    def stamps() -> dict[Path, int]:
        found = (path for path in built.rglob("*") if path.name != RECORD)
        return {path: path.stat().st_mtime_ns for path in found}

    before = stamps()
    words = ("publish", "--house", bar, "--out", built, "--no-paper")
    again = anthocard(*words)
    assert "Nothing has changed" in again.stdout
    assert json.loads(anthocard(*words, "--json").stdout)["unchanged"] is True
    assert stamps() == before
    page = bar / "drinks" / "first-light.md"
    page.write_text(page.read_text(encoding="utf-8").replace("Blue, until", "Blue until"), "utf-8")
    assert "Wrote" in anthocard(*words).stdout
    assert "Blue until" in (built / "guest" / "index.html").read_text(encoding="utf-8")


def test_a_file_taken_away_is_made_again(anthocard: Run, bar: Path, built: Path) -> None:
    """Doing nothing is only right while everything that was written still stands."""
    (built / "guest" / "index.html").unlink()
    answer = anthocard("publish", "--house", bar, "--out", built, "--no-paper")
    assert "Wrote" in answer.stdout
    assert (built / "guest" / "index.html").is_file()


@pytest.mark.parametrize(
    ("only", "there", "gone"),
    [
        (["guest"], "guest/index.html", "staff/index.html"),
        (["staff"], "staff/first-light.html", "guest/index.html"),
        (["drinks/first-light.md"], "staff/first-light.html", "staff/slow-morning.html"),
        (["Slow Morning"], "staff/slow-morning.html", "staff/first-light.html"),
    ],
)
def test_only_a_part(
    anthocard: Run, bar: Path, tmp_path: Path, only: list[str], there: str, gone: str
) -> None:
    """One half, or one recipe by file or name; the rest is not made."""
    out = tmp_path / "part"
    words = [word for one in only for word in ("--only", one)]
    assert anthocard("publish", "--house", bar, "--out", out, "--no-paper", *words).returncode == 0
    assert (out / there).is_file()
    assert not (out / gone).exists()


def test_a_part_leaves_the_rest_as_it_stands(anthocard: Run, bar: Path, built: Path) -> None:
    """Making one recipe again changes its own files only, and the prints by which devices know it."""
    before = tree(built)
    page = bar / "drinks" / "first-light.md"
    text = page.read_text(encoding="utf-8").replace("Fill the jug.", "Fill it.")
    page.write_text(text, encoding="utf-8")
    words = ("publish", "--house", bar, "--out", built, "--no-paper")
    assert anthocard(*words, "--only", "first-light").returncode == 0
    after = tree(built)
    changed = {name for name in after if before.get(name) != after[name]}
    assert "staff/first-light.html" in changed
    own = {name for name in changed if name.startswith(("guest", "staff")) and LIST not in name}
    assert {Path(name).name.partition(".")[0] for name in own} == {"first-light", "offline"}
    assert "Wrote" in anthocard(*words).stdout  # a part is never taken for the whole


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("--only", "frist-light"), "did you mean “first-light”?"),
        (("--theme", "bsae"), "did you mean “base”?"),
    ],
)
def test_a_part_or_theme_that_is_none(
    anthocard: Run, bar: Path, tmp_path: Path, words: tuple[str, ...], told: str
) -> None:
    """The nearest name is offered, and nothing is written."""
    answer = anthocard("publish", "--house", bar, "--out", tmp_path / "out", "--no-paper", *words)
    assert answer.returncode == 1
    assert told in answer.stderr
    assert not (tmp_path / "out").exists()


def test_quiet_is_quiet(anthocard: Run, bar: Path, tmp_path: Path) -> None:
    """Nothing on either stream when all is well."""
    answer = anthocard(
        "publish", "--house", bar, "--out", tmp_path / "out", "--no-paper", "--quiet"
    )
    assert (answer.returncode, answer.stdout, answer.stderr) == (0, "", "")


def test_json_summary(anthocard: Run, bar: Path, tmp_path: Path) -> None:
    """One object with a stable shape, and nothing beside it."""
    out = tmp_path / "out"
    answer = anthocard("publish", "--house", bar, "--out", out, "--no-paper", "--json")
    told = json.loads(answer.stdout)
    assert {
        "out", "unchanged", "files", "written", "guest", "staff", "counts", "mistakes", "seconds",
    } <= set(told)  # fmt: skip
    assert told["files"] == len(told["written"])
    assert all(Path(path).is_file() for path in told["written"])


@pytest.mark.parametrize(("term", "shown"), [("xterm", True), ("dumb", False)])
def test_progress_only_where_a_line_can_be_written_over(
    bar: Path, tmp_path: Path, term: str, shown: bool
) -> None:
    """On a real terminal a counter; on a dumb one, which a screen reader may be, plain lines."""
    ours, theirs = pty.openpty()
    words = ["publish", "--house", str(bar), "--out", str(tmp_path / "out"), "--no-paper"]
    process = subprocess.Popen(
        [*COMMAND, *words], env=environment(TERM=term), stdout=subprocess.DEVNULL, stderr=theirs,
        stdin=subprocess.DEVNULL,
    )  # fmt: skip
    os.close(theirs)
    heard = b""
    while True:
        try:
            chunk = os.read(ours, 4096)
        except OSError:
            break
        if not chunk:
            break
        heard += chunk
    os.close(ours)
    assert process.wait(60) == 0
    assert (b"\r1 of " in heard) is shown
    assert (heard != b"") is shown


def test_every_command_counts_the_same(anthocard: Run, bar: Path, tmp_path: Path) -> None:
    """publish, again with nothing changed, and proofread: one number, in words and in JSON."""
    looked = json.loads(anthocard("proofread", "--house", bar, "--json").stdout)
    assert looked["counts"]["warning"] > 0
    words = ("publish", "--house", bar, "--out", tmp_path / "build", "--no-paper")
    first = anthocard(*words)
    assert f"{looked['counts']['warning']} warnings" in first.stdout
    assert f"{looked['counts']['warning']} warnings" in anthocard(*words).stdout
    for more in ((), ("--again",)):
        assert json.loads(anthocard(*words, *more, "--json").stdout)["counts"] == looked["counts"]


def test_a_house_is_published_beside_itself(
    anthocard: Run, bar: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Wherever it is asked from, in one place, so that its editions have one history."""
    words = ("publish", "--no-paper", "--quiet")
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    for place, house in ((elsewhere, bar), (bar, Path()), (bar.parent, Path(bar.name))):
        monkeypatch.chdir(place)
        more = () if house == Path() else ("--house", house)
        assert anthocard(*words, *more).returncode == 0
        assert (bar.parent / f"{bar.name}-build" / "staff" / "editions.json").is_file()
    assert not [*elsewhere.iterdir(), *bar.glob("*build*")]


def test_without_paper_none_is_removed(anthocard: Run, bar: Path, tmp_path: Path) -> None:
    """A paper of before stays, byte for byte, and the next whole publish knows it again."""
    out = tmp_path / "build"
    words = ("publish", "--house", bar, "--out", out)
    assert anthocard(*words).returncode == 0
    papers = {path: path.read_bytes() for path in out.rglob("*.pdf")}
    assert papers
    assert anthocard(*words, "--no-paper").returncode == 0
    assert {path: path.read_bytes() for path in out.rglob("*.pdf")} == papers
    assert json.loads(anthocard(*words, "--json").stdout)["anew"]["papers"] == 0


#: A lot that was read, so that the infusion's page has something to chart.
LOT = """\
- {of: blue gin, lot: 26306A, made: 2026-11-02, volume: 683 ml, readings: [{ph: 5.1, diluted: 5,
   absorbances: {545: 0.196, 574: 0.249, 618: 0.21}, measured: 2026-11-02}]}
"""


def test_the_cards_on_the_wall(anthocard: Run, bar: Path, tmp_path: Path) -> None:
    """After a first publish nothing is news; then one drink changes, one comes, one goes: each is
    named, the changed and the new are marked in the staff's list and printed alone. The page of
    an infusion shows its lots.
    """
    out = tmp_path / "build"
    words = ("publish", "--house", bar, "--out", out, "--no-paper")
    (bar / "lots.yaml").write_text(LOT, "utf-8")
    assert "off the wall" not in anthocard(*words).stdout
    assert '<section class="drift">' in (out / "staff" / "blue-gin.html").read_text("utf-8")
    page = bar / "drinks" / "first-light.md"
    text = page.read_text(encoding="utf-8")
    page.write_text(text.replace("50 ml blue gin", "45 ml blue gin"), "utf-8")
    third = text.replace("name: First Light", "name: Third Light")
    (bar / "drinks" / "third-light.md").write_text(third, "utf-8")
    (bar / "drinks" / "slow-morning.md").unlink()
    menu = bar / "menus" / "tonight.md"
    menu.write_text(menu.read_text("utf-8").replace("      - Slow Morning\n", ""), "utf-8")
    told = anthocard(*words).stdout
    assert "Take off the wall, it has changed: First Light." in told
    assert "Take off the wall, it is no longer in the house: Slow Morning." in told
    assert "New cards: First Light, Third Light." in told
    index = (out / "staff" / "index.html").read_text("utf-8")
    assert index.count("<b>changed</b>") == index.count("<b>new</b>") == 1
    again = json.loads(anthocard(*words, "--json").stdout)
    assert again["cards"] == {"changed": [], "new": [], "gone": []}
    printed = anthocard("cards", "--house", bar, "--changed", "--since", out, "--out",
                        tmp_path / "cards.pdf")  # fmt: skip
    assert printed.stdout.startswith("2 cards ")
    page.write_text(page.read_text("utf-8").replace("45 ml blue gin", "50 ml blue gin"), "utf-8")
    assert "has changed: First Light." in anthocard(*words).stdout
    index = (out / "staff" / "index.html").read_text("utf-8")
    assert (index.count("<b>changed</b>"), index.count("<b>new</b>")) == (1, 0)


def test_any_process_gives_the_same_bytes(anthocard: Run, tmp_path: Path) -> None:
    """Papers, pictures and pages from nothing, in two processes that put sets in another order."""
    begin_small(tmp_path / "bar")
    made = []
    for seed in ("1", "2"):
        out, own = tmp_path / f"out-{seed}", {"XDG_CACHE_HOME": str(tmp_path / f"own-{seed}")}
        words = ("publish", "--house", tmp_path / "bar", "--out", out)
        answer = anthocard(*words, env={**own, "PYTHONHASHSEED": seed})
        assert answer.returncode == 0, answer.stderr
        (out / RECORD).unlink()  # it tells inodes and times
        made.append(tree(out))
    assert made[0] == made[1]
    assert {Path(name).suffix for name in made[0]} >= {".pdf", ".html", ".webp"}
