"""What proofread tells of the pages: everything left out, everything untranslated."""

from pathlib import Path
from shutil import copytree

import pytest
from anthocard.diagnostics.diagnostic import AuthorError, Mistake
from anthocard.engine.compute import compute
from anthocard.house.reader import read_house
from anthocard.press.html.gaps import gaps

RECIPES = Path(__file__).parents[2] / "recipes"
DRINK = "drinks/dew-point.md"


@pytest.fixture
def house(tmp_path: Path) -> Path:
    return copytree(RECIPES, tmp_path / "recipes")


def told(house: Path) -> tuple[Mistake, ...]:
    collection = read_house(house)
    return gaps(collection, compute(collection)[0])


def change(path: Path, old: str, new: str) -> None:
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")


def test_the_demo_house_lacks_nothing(house: Path) -> None:
    """Both languages whole, every link alive, an address to lead to."""
    assert told(house) == ()


@pytest.mark.parametrize(
    ("words", "kind"),
    [
        ("<script>alert(1)</script>", "taken-out"),
        ("![a leaf](../../outside.png)", "taken-out"),
        ("[elsewhere](https://elsewhere.example/)", "taken-out"),
        ("[out](../../outside.md)", "taken-out"),
        ("[lost](../syrups/lost.md)", "dead-link"),
    ],
)
def test_what_is_left_out_is_told_at_its_line(house: Path, words: str, kind: str) -> None:
    """Raw HTML with script, a picture or link outside the house, a link to nothing."""
    change(house / DRINK, "## Method\n", f"## Method\n\n{words}\n")
    (mistake,) = told(house)
    assert (mistake.kind, mistake.severity) == (kind, "warning")
    assert mistake.place.path.endswith(DRINK)
    assert mistake.place.text == words


def test_a_text_without_its_translation_is_told(house: Path) -> None:
    """Guests read the house's own words; the author is told which."""
    change(house / DRINK, "## de\n", "")
    (mistake,) = told(house)
    assert mistake.kind == "untranslated"
    assert "Dew Point" in mistake.message


def test_a_language_nobody_offers_is_told(house: Path) -> None:
    """A text in French while the house publishes English and German."""
    change(house / DRINK, "## de\n", "## fr\n\nLa rosée.\n\n## de\n")
    (mistake,) = told(house)
    assert (mistake.kind, mistake.severity) == ("language-not-offered", "hint")


def test_a_language_without_words_of_ours_is_told(house: Path) -> None:
    """The pages stay English where there is no table, and that is said once."""
    change(house / "house.yaml", "languages: [de]", "languages: [de, cy]")
    kinds = [mistake.kind for mistake in told(house)]
    assert kinds.count("no-words") == 1
    assert "untranslated" in kinds


def test_a_name_of_ten_thousand_characters_is_refused(house: Path) -> None:
    """A mistake with its place, in either language, and no page."""
    change(house / DRINK, "name: Dew Point", f"name: {'x' * 10_000}")
    change(house / DRINK, "name: Taupunkt", f"name: {'y' * 10_000}")
    with pytest.raises(AuthorError) as caught:
        read_house(house)
    mistakes = [m for m in caught.value.mistakes if m.place.path.endswith(DRINK)]
    assert len(mistakes) == 2
    assert all(m.place.line in (3, 5) for m in mistakes)
