from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest
from anthocard.diagnostics.diagnostic import MistakeLog
from anthocard.house.files import read_shelf, slug, split_front_matter
from hypothesis import given, strategies as st

House = Callable[..., Path]


def kinds_told(folder: Path) -> list[str]:
    log = MistakeLog()
    read_shelf(folder, log)
    return [mistake.kind for mistake in log]


def test_front_matter_is_cut_at_the_fences() -> None:
    """Front-matter, body and the line the body starts on come out as written."""
    source = split_front_matter("--- \na: 1\n---\n\nBody\n---\n", "x/A b.md", "drink", MistakeLog())
    assert source is not None
    assert (source.front, source.body, source.body_line) == ("a: 1", "\nBody\n---\n", 4)
    assert source.slug == "a-b"


def test_windows_line_ends_and_a_byte_order_mark_change_nothing(house: House) -> None:
    """The same file saved by another editor reads the same."""
    folder = house()
    path = folder / "drinks" / "blue-hour.md"
    plain = read_shelf(folder, MistakeLog()).recipes
    text = path.read_text(encoding="utf-8")
    path.write_bytes(b"\xef\xbb\xbf" + text.replace("\n", "\r\n").encode())
    assert read_shelf(folder, MistakeLog()).recipes == plain


def test_another_encoding_is_told_at_its_first_letter(house: House) -> None:
    """A file in an older encoding is refused, with the line and column of the first odd byte."""
    folder = house()
    (folder / "drinks" / "old.md").write_bytes("---\nname: Rosé\n---\n".encode("latin-1"))
    log = MistakeLog()
    read_shelf(folder, log)
    (mistake,) = log
    assert (mistake.kind, mistake.place.line, mistake.place.column) == ("not-utf-8", 2, 10)


def test_hidden_characters_and_huge_files_are_refused(house: House) -> None:
    """What no editor shows, and what no recipe needs, is told rather than published."""
    assert kinds_told(house(**{"drinks/a.md": "---\nname: A\x00\n---\n"})) == ["odd-character"]
    assert kinds_told(house(**{"drinks/a.md": "x" * 1_000_001})) == ["too-big"]


def test_a_link_out_of_the_house_is_refused(house: House, tmp_path: Path) -> None:
    """A symbolic link may not publish a file from elsewhere."""
    folder = house()
    outside = tmp_path / "secret.md"
    outside.write_text("---\nname: Secret\n---\n", encoding="utf-8")
    (folder / "drinks" / "secret.md").symlink_to(outside)
    (folder / "drinks" / "gone.md").symlink_to(tmp_path / "gone" / "gone.md")
    log = MistakeLog()
    shelf = read_shelf(folder, log)
    assert [mistake.kind for mistake in log] == ["outside-house", "outside-house"]
    assert not [source for source in shelf.recipes if source.slug == "secret"]


def test_a_folder_without_a_house_is_told(tmp_path: Path) -> None:
    """Neither a missing folder nor a missing house.yaml goes unsaid."""
    assert kinds_told(tmp_path / "none") == ["missing-file"]
    assert kinds_told(tmp_path) == ["missing-file"]


def test_a_recipe_in_no_known_folder_is_warned_of(house: House) -> None:
    """A file one letter away from a folder that is read does not vanish in silence."""
    log = MistakeLog()
    read_shelf(house(**{"drink/x.md": "x", "drinks/.draft.md": "x"}), log)
    (mistake,) = log
    assert (mistake.severity, mistake.mend) == ("warning", "did you mean “drinks”?")


@pytest.mark.parametrize(
    ("name", "expected"),
    [
        ("Harbour Light", "harbour-light"),
        ("Crème de Violette!", "creme-de-violette"),
        ("Ærø / Łąka", "aero-laka"),
        ("CON", "con-card"),
        ("Plants", "plants-card"),
        ("For a Guest", "for-a-guest-card"),
        ("赤紫", ""),
        ("a" * 80, "a" * 60),
    ],
)
def test_slugs_by_hand(name: str, expected: str) -> None:
    """Names in Latin letters keep their sound; those of devices and of our own
    pages are moved out of the way."""
    assert slug(name) == expected


@given(st.text(max_size=100))
def test_a_slug_is_safe_and_settled(name: str) -> None:
    """Only a-z, 0-9 and single hyphens are left, and a slug is its own slug."""
    made = slug(name)
    assert made == "" or re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", made)
    assert slug(made) == made
    assert len(made) <= 60
