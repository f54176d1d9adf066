"""dial, calibrate and palette, as a person runs them."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from anthocard.facts.chemistry.liquid import PLANTS

from tests.commands.conftest import Ran
from tests.engine.conftest import HOUSE, write_house
from tests.engine.test_uncertainty import FILES

Run = Callable[..., Ran]


def bar(folder: Path) -> Path:
    return write_house(folder, FILES, HOUSE + "# the last word\n")


def test_dial_prints_dose_curve_and_taste(anthocard: Run, tmp_path: Path) -> None:
    """A dose in both measures, what it gives, the curve, and nothing written."""
    drink = bar(tmp_path) / "drinks" / "d.md"
    before = drink.read_text("utf-8")
    ran = anthocard("dial", drink, "--until", "pH 3.2")
    assert ran.returncode == 0, ran.stderr
    for words in ("pour ", "exactly ", "●", "colour is right", "acidity", "titrate your own"):
        assert words in ran.stdout
    assert drink.read_text("utf-8") == before


def test_dial_two_at_once(anthocard: Run, tmp_path: Path) -> None:
    """Buffer for before and acid for after, in one call."""
    folder = bar(tmp_path)
    made = "kind: solution\nname: hold\nparts: [12 g trisodium citrate]\nmade_up_to: 100 ml\n"
    wine = FILES["drinks/d.md"].replace("15 ml white syrup", "20 ml fino sherry")
    write_house(folder, {"solutions/h.md": made, "drinks/d.md": wine})
    ran = anthocard(
        "dial", folder / "drinks" / "d.md", "--until", "pH 3.4", "--hold", "hold until pH 5.4"
    )
    assert ran.returncode == 0, ran.stderr
    assert "hold until pH 5.4" in ran.stdout
    assert "lemon juice until pH 3.4" in ran.stdout


def test_dial_says_why_not(anthocard: Run, tmp_path: Path) -> None:
    """Unreachable, unreadable and missing wishes leave with code 1 and a way out."""
    drink = bar(tmp_path) / "drinks" / "d.md"
    for words, says in (
        (["--until", "green"], "no dose of lemon juice"),
        (["--until", "blurple"], "did you mean"),
        ([], "wishes for nothing"),
        (["--hold", "gin"], "NAME until WISH"),
    ):
        ran = anthocard("dial", drink, *words)
        assert ran.returncode == 1
        assert says in ran.stderr
        assert "Traceback" not in ran.stderr


def test_calibrate_explains(anthocard: Run) -> None:
    """Without a name it is the protocol, and keeps the probe out of guests' glasses."""
    ran = anthocard("calibrate")
    assert ran.returncode == 0
    assert "Never put a probe into a guest's glass" in ran.stdout


def test_calibrate_writes_a_dated_row(anthocard: Run, tmp_path: Path) -> None:
    """The row lands in house.yaml with a comment; what stood there stays; the house still reads."""
    folder = bar(tmp_path)
    for words in (
        ["lemon juice", "--ph", "2.3", "--on", "2026-01-05"],
        ["blue gin", "--ph", "5", "--absorbance", "574=0.4", "--diluted", "5"],
        ["dash", "--weigh", "15.2", "--count", "20", "--density", "0.95"],
        ["stirred", "--dilution", "26 % of the start"],
    ):
        ran = anthocard("calibrate", *words, "--house", folder)
        assert ran.returncode == 0, ran.stderr
    text = (folder / "house.yaml").read_text("utf-8")
    assert "# written by anthocard calibrate, 2026-01-05" in text
    assert '- {of: "lemon juice", ph: 2.3, measured: 2026-01-05}' in text
    assert text.count("dash:") == 1
    assert "dash: {ml: 0.8" in text
    assert "# the last word" in text
    assert anthocard("proofread", "--house", folder).returncode == 0


def test_calibrate_refuses_nonsense_and_leaves_the_house(anthocard: Run, tmp_path: Path) -> None:
    """A reading that cannot be is told, and house.yaml is byte for byte as it was."""
    folder = bar(tmp_path)
    before = (folder / "house.yaml").read_bytes()
    for words in (["lemon juice", "--ph", "0.1"], ["nobody", "--ph", "3"], ["lemon juice"]):
        ran = anthocard("calibrate", *words, "--house", folder)
        assert ran.returncode in (1, 2)
        assert (folder / "house.yaml").read_bytes() == before


def test_palette_writes_page_and_paper(anthocard: Run, tmp_path: Path) -> None:
    """One page and one PDF, in the folder that was asked for."""
    ran = anthocard("palette", "--house", bar(tmp_path), "--out", tmp_path / "charts")
    assert ran.returncode == 0, ran.stderr
    assert (tmp_path / "charts" / "palette.html").read_text("utf-8").count("<caption>") == len(
        PLANTS
    )
    assert (tmp_path / "charts" / "palette.pdf").read_bytes().startswith(b"%PDF")
