"""A name wherever a file is, a file wherever a name is; and the shell offers the house's own."""

from __future__ import annotations

import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.commands.conftest import COMMAND, ROOT, environment

Run = Callable[..., object]


@pytest.mark.parametrize(
    ("command", "words", "told"),
    [
        ("figures", ["First Light", "drinks/first-light.md"], "First Light (drink"),
        ("explain", ["first light", "drinks/first-light.md"], "from"),
        ("batch", ["first-light", "drinks/first-light.md"], '"name": "First Light"'),
        ("cards", ["first-light"], "1 card"),
    ],
)
def test_one_drink_by_any_of_its_names(
    anthocard: Run, bar: Path, tmp_path: Path, command: str, words: list[str], told: str
) -> None:
    """In commands that take a file and in those that take a name."""
    more = {"batch": ["--serves", "4", "--json"], "cards": ["--out", tmp_path / "cards.pdf"]}
    for word in words:
        answer = anthocard(command, word, "--house", bar, *more.get(command, []))
        assert told in answer.stdout


def test_a_name_of_nothing(anthocard: Run, bar: Path) -> None:
    """The nearest is offered."""
    answer = anthocard("figures", "First Ligth", "--house", bar)
    assert answer.returncode == 1
    assert "did you mean “First Light”?" in answer.stderr


def test_the_shell_offers_what_the_house_has(anthocard: Run, bar: Path) -> None:
    """Recipes and its own stock; nothing, and no complaint, where there is no house."""
    told = anthocard("completion", "names", cwd=bar)
    assert {"First Light", "blue gin", "tonic water"} <= set(told.stdout.splitlines())
    assert "vodka" not in told.stdout.splitlines()
    nowhere = anthocard("completion", "names", cwd=bar / "drinks")
    assert (nowhere.returncode, nowhere.stdout.strip(), nowhere.stderr) == (0, "", "")


def test_bash_completes_a_name_and_runs_none(anthocard: Run, bar: Path, tmp_path: Path) -> None:
    """A half-typed name in any case; a name that would be a command is only a name."""
    page = bar / "drinks" / "first-light.md"
    page.write_text(
        page.read_text("utf-8").replace("First Light", "First $(touch BAD) Light"), "utf-8"
    )
    menu = bar / "menus" / "tonight.md"
    menu.write_text(menu.read_text("utf-8").replace("      - First Light\n", ""), "utf-8")
    script = tmp_path / "complete.sh"
    asked = " ".join(COMMAND)
    script.write_text(
        f'anthocard() {{ {asked} "$@"; }}\n{anthocard("completion", "bash").stdout}\n'
        'COMP_WORDS=(anthocard figures fir); COMP_CWORD=2; _anthocard\nprintf "%s\\n" "${COMPREPLY[@]}"\n',
        "utf-8",
    )
    done = subprocess.run(
        ["bash", str(script)], cwd=bar, env=environment(PYTHONPATH=str(ROOT)),
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.stdout.splitlines() == ["First $(touch BAD) Light"]
    assert not (bar / "BAD").exists()


def test_headings_of_a_table_in_any_capitals(anthocard: Run, bar: Path) -> None:
    """As a spreadsheet writes them."""
    table = bar / "new.csv"
    table.write_text(
        "Name,Glass,METHOD,Pours,Reveal.Pour,reveal.amount,Price\n"
        "Third Light,coupe,Stirred,45 ml blue gin,sharp acid,5 ml,12\n",
        "utf-8",
    )
    answer = anthocard("import", "recipes", table, "--house", bar)
    assert answer.returncode == 0, answer.stderr
    assert (bar / "drinks" / "third-light.md").is_file()
