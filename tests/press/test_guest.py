"""The guest folder: nothing of the back bar in it, light enough for a phone, whole in any place."""

import re
import struct
from collections.abc import Iterator
from io import BytesIO
from pathlib import Path
from shutil import copytree

import pytest
from anthocard.engine.compute import compute
from anthocard.house.reader import Collection, read_house
from anthocard.press.build.plan import publish

RECIPES = Path(__file__).parents[2] / "recipes"
MARK = "Zqxv"  # found in no word of any language of the demo house


@pytest.fixture(scope="module")
def planted(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo house with marks in all that is for staff: all that guests get, and the pages of staff."""
    house = tmp_path_factory.mktemp("house") / "recipes"
    copytree(RECIPES, house)
    for path in sorted(house.rglob("*.md")):
        text = path.read_text(encoding="utf-8")
        text = text.replace("## Method\n", f"## Method\n\n{MARK}method\n\n", 1)
        text = re.sub(r"(?m)^(store|serve|keeps|form|vessel): .*$", rf"\1: {MARK}\1", text)
        text = re.sub(r"(?m)^  served: .*$", f"  served: {MARK}served", text)
        # Among its words: a garnish that nobody can draw would put the drink into another glass.
        text = re.sub(r"(?m)^garnish: \[(\w+)", rf"garnish: [\1 {MARK}garnish", text)
        path.write_text(text, encoding="utf-8")
    stock = house / "stock.yaml"
    line = (
        f"\n{MARK} bitters: {{kind: bitters, abv_percent: 44, pack: 700 ml, price: 7731.77,"
        f" supplier: {MARK}supplier}}\n"
    )
    stock.write_text(stock.read_text(encoding="utf-8") + line, encoding="utf-8")
    book = house / "house.yaml"
    renamed = f"guest_words:\n  {MARK} bitters: bitters of ours\n"
    book.write_text(
        book.read_text(encoding="utf-8").replace("\nguest_words:\n", f"\n{renamed}"),
        encoding="utf-8",
    )
    drink = house / "drinks" / "squall-line.md"
    poured = f"pours:\n  - 0.37 ml {MARK} bitters\n"
    drink.write_text(
        drink.read_text(encoding="utf-8").replace("pours:\n", poured), encoding="utf-8"
    )
    collection = read_house(house)
    out = tmp_path_factory.mktemp("out") / "build"
    computed = compute(collection)[0]

    def wanted(path: str) -> bool:
        return path.startswith("guest/") or path.endswith(".html")

    publish(collection, computed, out, only=wanted)
    return out


def layers(path: Path) -> Iterator[bytes]:
    """Every byte of a file, and of what is packed in it."""
    raw = path.read_bytes()
    yield raw
    if path.suffix == ".png":
        at = 8
        while at < len(raw):
            (length,) = struct.unpack(">I", raw[at : at + 4])
            if raw[at + 4 : at + 8] not in (b"IHDR", b"IDAT", b"IEND"):
                yield raw[at + 8 : at + 8 + length]
            at += 12 + length
    if path.suffix == ".pdf":
        import pikepdf
        import pypdfium2

        with pikepdf.open(path) as pdf:
            for one in pdf.objects:
                yield one.read_bytes() if isinstance(one, pikepdf.Stream) else repr(one).encode()
        with pypdfium2.PdfDocument(path) as pages:
            for page in pages:
                yield page.get_textpage().get_text_range().encode()
    if path.suffix == ".woff2":
        from fontTools.ttLib import TTFont

        out = BytesIO()
        with TTFont(path) as font:
            font.flavor = None
            font.save(out)
        yield out.getvalue()


def test_no_mark_of_the_back_bar_reaches_guests(planted: Path) -> None:
    """Suppliers' names, methods, serving notes, stores, garnishes, doses and costs: not one byte.

    The same marks stand in the spec book, so the test would find them.
    """
    staff = b"".join(p.read_bytes() for p in (planted / "staff").rglob("*.html"))
    for what in ("method", "served", "store", "garnish", "serve", " bitters"):
        assert f"{MARK}{what}".encode() in staff, what
    assert (planted / "guest" / "menu.pdf").is_file()
    for path in sorted((planted / "guest").rglob("*")):
        for layer in layers(path) if path.is_file() else ():
            for mark in (MARK.encode(), MARK.lower().encode(), b"7731.77"):
                assert mark not in layer, path


def demo() -> Collection:
    return read_house(RECIPES)


def test_nothing_staff_pour_is_named_to_guests(planted: Path) -> None:
    """No house recipe, no amount in millilitres but the whole serve, no edition, no path.

    What was bought is told under each drink, by the house's own word where it has one.
    """
    collection = demo()
    told = {
        word.casefold() for drink in collection.drinks.values() for word in drink.guest_text.split()
    }
    html = "".join(p.read_text(encoding="utf-8") for p in (planted / "guest").rglob("*.html"))
    text = re.sub(r"(?s)<style>.*?</style>", "", html.casefold())
    names = {recipe.name.casefold() for recipe in collection.made}
    assert "bitters of ours" in text
    for name in sorted(names):
        if " " in name and not set(name.split()) <= told:
            assert name not in text, name
    amounts = re.findall(r"([\d.]+)\s*ml\b", text)
    assert all(float(a) % 5 == 0 and float(a) >= 15 for a in amounts)
    for word in ("edition", "supplier", "recipes/", ".md", "cost", "margin"):
        assert word not in text


def test_faces_are_light(planted: Path) -> None:
    """Three, each within 15 KB: what a first view asks for besides is weighed in a browser."""
    faces = list((planted / "guest").glob("assets/*.woff2"))
    assert len(faces) == 3
    assert all(path.stat().st_size <= 15_000 for path in faces)


def test_every_letter_of_the_page_is_in_its_faces(planted: Path) -> None:
    """No sign of the demo house's pages falls back to another face by accident."""
    from fontTools.ttLib import TTFont

    guest = planted / "guest"
    (face,) = guest.glob("assets/text.*.woff2")
    with TTFont(face) as font:
        held = set(font.getBestCmap())
    for page in guest.glob("*.html"):
        visible = re.sub(r"(?s)<(script|svg|head).*?</\1>|<[^>]+>", "", page.read_text("utf-8"))
        assert {letter for letter in visible if ord(letter) not in held and letter != "\n"} == set()


def test_pages_in_two_languages_know_each_other(planted: Path) -> None:
    """Each links the other by file and says which language it is."""
    english = (planted / "guest/index.html").read_text(encoding="utf-8")
    german = (planted / "guest/de.html").read_text(encoding="utf-8")
    assert '<html lang="en-GB">' in english
    assert '<html lang="de">' in german
    assert '<a href="de.html" hreflang="de" lang="de"' in english
    assert '<a href="index.html" hreflang="en-GB" lang="en-GB"' in german
    assert "Das Glas fällt" in german
    assert "12,50\u00a0£" in german


def test_drinks_without_alcohol_are_told_as_the_others(planted: Path) -> None:
    """The same parts in the same order: glass, story, price, colours, pour."""
    html = (planted / "guest/index.html").read_text(encoding="utf-8")
    found = re.findall(r'(?s)<article id="([^"]+)".*?</article>', html)
    articles = dict(zip(found, re.findall(r"(?s)<article id=.*?</article>", html), strict=True))
    parts = ('class="seen"', "<h4", 'class="price"', 'class="steps"', 'type="range"')
    for slug in ("dew-point", "barograph", "the-glass-is-falling"):
        places = [articles[slug].index(part) for part in parts]
        assert places == sorted(places)
