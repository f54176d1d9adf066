"""A house's own pictures: read inside its folder only, published small, upright and without a word."""

from __future__ import annotations

import asyncio
from io import BytesIO
from pathlib import Path

import pytest
from anthocard.diagnostics.diagnostic import AuthorError
from anthocard.engine.compute import compute
from anthocard.house.reader import read_house
from anthocard.press.base.theme import find_theme
from anthocard.press.build.plan import contents
from anthocard.press.draw.photograph import LONGEST, is_picture, published, size_of
from anthocard.press.paper.job import HERE
from PIL import Image

from tests.engine.conftest import write_house
from tests.engine.opened import drink, house

MENU = "kind: menu\nname: M\nsections: [{name: S, drinks: [D]}]\n"
NAMED = "picture: {file: d.jpg, shows: a tall glass on a sill}\ntranslations: {de: {picture: ein hohes Glas}}\n"
WORDS = b"shot by Zqxv at 52.1 N"


def taken(wide: int = 1600, tall: int = 1000, turned: int = 1) -> bytes:
    """A picture as a camera saves it: left half red, right half blue, and words beside it."""
    picture = Image.new("RGB", (wide, tall), "red")
    picture.paste("blue", (wide // 2, 0, wide, tall))
    exif = Image.Exif()
    exif[0x0112], exif[0x010E] = turned, WORDS.decode()
    out = BytesIO()
    picture.save(out, "JPEG", exif=exif, comment=WORDS)
    return out.getvalue()


def bar(folder: Path, content: bytes | None) -> Path:
    """A house with one drink that names a picture, and that picture where there is one."""
    folder.mkdir(exist_ok=True)
    files = {"drinks/d.md": drink("50 ml gin", NAMED), "menus/m.md": MENU}
    home = write_house(
        folder, files, house(more="language: en-GB\nlanguages: [de]\nweb: https://a.example/\n")
    )
    if content is not None:
        (home / "pictures").mkdir()
        (home / "pictures" / "d.jpg").write_bytes(content)
    return home


def test_it_is_published_upright_small_and_without_a_word() -> None:
    """On its side and 1600 wide: upright, 1200 tall, the red half up, and nothing of the camera."""
    raw = taken(turned=6)
    assert WORDS in raw
    made = published(raw)
    assert WORDS not in made
    assert b"Exif" not in made
    with Image.open(BytesIO(made)) as picture:
        assert picture.format == "JPEG"
        assert picture.size == size_of(raw) == (750, LONGEST)
        red, _, blue = picture.getpixel((375, 100))
        assert red > 200 > 60 > blue
    assert made == published(raw)


def test_a_clear_ground_is_white_and_a_small_one_is_not_made_larger() -> None:
    """A PNG with nothing behind the glass."""
    out = BytesIO()
    Image.new("RGBA", (40, 20), (0, 0, 0, 0)).save(out, "PNG")
    with Image.open(BytesIO(published(out.getvalue()))) as picture:
        assert picture.size == (40, 20)
        assert picture.getpixel((5, 5)) == (255, 255, 255)


def test_what_is_no_picture_or_too_large_to_unpack_is_refused(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """A text, half a picture's head, and a picture of more dots than may be unpacked."""
    assert not is_picture(b"\xff\xd8\xff but no picture")
    assert size_of(b"") == (0, 0)
    with pytest.raises(ValueError, match="no picture"):
        published(b"RIFF....")
    monkeypatch.setattr("anthocard.press.draw.photograph.most_of", lambda *row: 1000)
    assert not is_picture(taken(100, 100))


def test_it_stands_on_the_drinks_page_and_where_it_is_shared(tmp_path: Path) -> None:
    """In words of the page's language, with its size, in the place of the drawn one."""
    collection = read_house(bar(tmp_path, taken()))
    pages = contents(collection, compute(collection)[0], find_theme(), papers=False)
    assert "guest/drinks/d.png" not in pages
    made = asyncio.run(pages["guest/drinks/d.jpg"].make(HERE))  # type: ignore[arg-type]
    assert made == published(taken())
    page = pages["guest/drinks/d.html"].make(HERE).decode()  # type: ignore[union-attr]
    tag = '<img class="taken" src="d.jpg" width="1200" height="750" alt="a tall glass on a sill"'
    assert tag in page
    assert 'content="https://a.example/drinks/d.jpg"' in page
    assert 'alt="ein hohes Glas"' in pages["guest/drinks/d.de.html"].make(HERE).decode()  # type: ignore[union-attr]


@pytest.mark.parametrize(
    ("content", "told"),
    [
        (None, "cannot be read"),
        (b"GIF89a", "is no PNG"),
        (b"\xff\xd8\xff" + bytes(13_000_000), "larger"),
    ],
)
def test_a_picture_that_is_none_is_told_at_its_name(
    tmp_path: Path, content: bytes | None, told: str
) -> None:
    """Missing, of another kind, too large: place, why, mend."""
    with pytest.raises(AuthorError) as broken:
        read_house(bar(tmp_path, content))
    (one,) = broken.value.mistakes
    assert told in one.message
    assert one.place.text[one.place.column - 1 :].startswith("d.jpg")
    assert one.mend


def test_a_link_out_of_the_house_is_not_followed(tmp_path: Path) -> None:
    """Whatever it leads to."""
    outside = tmp_path / "outside.jpg"
    outside.write_bytes(taken(10, 10))
    home = bar(tmp_path / "home", None)
    (home / "pictures").mkdir()
    (home / "pictures" / "d.jpg").symlink_to(outside)
    with pytest.raises(AuthorError, match="leads out of the house"):
        read_house(home)


def test_no_name_leads_out_of_the_folder(tmp_path: Path) -> None:
    """A name is one step, and ends as pictures do."""
    files = {"drinks/d.md": drink("50 ml gin", "picture: {file: ../d.jpg, shows: x}\n")}
    with pytest.raises(AuthorError):
        read_house(write_house(tmp_path, files))
