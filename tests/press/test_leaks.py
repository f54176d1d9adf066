"""The last look before guests see a folder: honest builds pass, and every planted leak is found."""

from __future__ import annotations

import gzip
import io
import json
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pikepdf
import pytest
from anthocard.diagnostics.diagnostic import AuthorError
from anthocard.engine.compute import compute
from anthocard.house.collection import Collection
from anthocard.house.reader import read_house
from anthocard.press.base.theme import find_theme
from anthocard.press.build import plan
from anthocard.press.html import house_pages
from anthocard.press.html.leaks import leaks
from anthocard.press.paper.job import HERE, paper_pdf
from PIL import Image, PngImagePlugin

HOUSE = """\
# zqhousenote1 the landlord must not hear of this
name: The Tin Roof
place: GB
currency: GBP
web: https://tin-roof.example/
languages: [de]
glasses:
  goblet: {width: 62 mm, holds: 180 ml}  # zqglassnote2 from the market on Sunday
measures:
  dash: {ml: 0.8, measured: 2026-01-03}
garnish_costs: {a zqgarnish3 leaf of bay: 71.43}
rules:
  keeping-sharp: {state: loosened, reason: zqreason4 we freeze it at once, date: 2026-01-03, days: 30}
"""
STOCK = """\
gin:
  kind: spirit
  abv_percent: 40
  supplier: Quibblesworth
  price: 24.17
  pack: 700 ml
  # zqstock5 he owes us two cases
"""
INFUSION = """\
---
kind: infusion
name: Zqinfused6 Blue
plant: butterfly pea
into: gin
dose: 3.17 g per litre
time: 100 min
strained: 97.5 %
store: zqstore7 the shelf behind the door
form: zqform8 whole and dried flowers
keeps: 60 days
---
Words nobody prints.

## Method
1. Steep the zqsteep9 flowers in the cold gin for exactly two hours, then strain.
"""
SOLUTION = """\
---
kind: solution
name: zqsharp10 acid mix
parts: [55 g citric acid, 7 g malic acid]
made_up_to: 1 l  # zqpart11 weigh it twice
---
## Method
Weigh, then fill up to the mark with still water from the tap.
"""
DRINK = """\
---
kind: drink
name: Rain Later
translations: {de: {name: Später Regen}}
glass: goblet
ice: cracked
method: shaken
pours:
  - 50 ml zqinfused6 blue
  - 2.25 ml simple syrup
reveal: {pour: zqsharp10 acid mix, amount: 12.5 ml, served: in a zqserved12 thimble}
garnish: [a zqgarnish3 leaf of bay]
serve: zqserve13 turn it once towards the guest
price: 13.20
---
Blue until you pour.

## de

Blau, bis Sie gießen.

## Zubereitung
1. Shake hard over zqshake14 cracked ice for nine seconds; never stir this one.
2. Tell nobody that the gin is the cheap one from the corner shop.
"""
MENU = """\
---
kind: menu
name: Tonight
sections: [{name: All, drinks: [Rain Later]}]  # zqmenu15 the owner wants it shorter
---
We are glad that you came.
"""
FILES = {
    "house.yaml": HOUSE,
    "stock.yaml": STOCK,
    "infusions/zqfile16-blue.md": INFUSION,
    "solutions/zqfile17-mix.md": SOLUTION,
    "drinks/zqfile18-rain.md": DRINK,
    "menus/zqfile19-menu.md": MENU,
}
#: What somebody could let slip: canaries, whole lines, parts of lines, names and figures.
SECRETS = (
    *(f"zq{word}" for word in (
        "housenote1", "glassnote2", "garnish3", "reason4", "stock5", "store7", "form8", "steep9",
        "part11", "served12", "serve13", "shake14", "menu15",
    )),
    "zqinfused6 blue", "ZQSHARP10 ACID MIX", "zqfile16-blue.html", "zqfile17-mix.md",
    "zqfile18-rain.pdf", "Quibblesworth", "71.43", "3.17 g per litre", "55 g citric acid",
    "the gin is the cheap one from", "fill up to the mark with", "he owes us two cases",
    "Price that meets the target",
)  # fmt: skip


@pytest.fixture(scope="module")
def canaries(tmp_path_factory: pytest.TempPathFactory) -> Collection:
    """A house with a word of its own in every field, comment and file name."""
    folder = tmp_path_factory.mktemp("canaries")
    for name, text in FILES.items():
        path = folder / name
        path.parent.mkdir(exist_ok=True)
        path.write_text(text, encoding="utf-8")
    return read_house(folder)


def test_an_honest_build_has_no_leak(canaries: Collection, tmp_path: Path) -> None:
    """Pages and papers of a house full of canaries: not one of them reaches guests."""
    plan.publish(canaries, compute(canaries)[0], tmp_path / "out")
    guest = sorted(path for path in (tmp_path / "out/guest").rglob("*") if path.is_file())
    assert {path.suffix for path in guest} >= {".html", ".pdf", ".png", ".js", ".webmanifest"}
    assert leaks(((path.name, path.read_bytes()) for path in guest), canaries) == ()
    whole = b"".join(path.read_bytes() for path in guest)
    assert b"Rain Later" in whole
    for name in ("book.pdf", "zqfile18-rain.html", "cards/zqfile18-rain.pdf"):
        content = (tmp_path / "out/staff" / name).read_bytes()
        assert len(leaks([(f"trial{Path(name).suffix}", content)], canaries)) > 1


def page(secret: str) -> bytes:
    return f"<!doctype html><p>Blue, <em>until</em> {secret} you pour.".encode()


def png(secret: str) -> bytes:
    told = PngImagePlugin.PngInfo()
    told.add_itxt("Description", secret, zip=True)
    held = io.BytesIO()
    Image.new("RGB", (2, 2)).save(held, "png", pnginfo=told)
    return held.getvalue()


def jpeg(secret: str) -> bytes:
    held, exif = io.BytesIO(), Image.Exif()
    exif[0x010E] = secret
    Image.new("RGB", (2, 2)).save(held, "jpeg", exif=exif)
    return held.getvalue()


def set_pdf(secret: str) -> bytes:
    html = f"<html lang=en><title>x</title><p>Blue until {secret} you pour.</p>"
    asked = paper_pdf(lambda: html, "@page { size: 200mm 80mm }", find_theme().fonts, "a trial")
    return HERE.now(asked)


def titled_pdf(secret: str) -> bytes:
    held = io.BytesIO()
    with pikepdf.new() as pdf:
        pdf.add_blank_page()
        pdf.docinfo["/Subject"] = secret
        pdf.save(held)
    return held.getvalue()


WAYS: dict[str, Callable[[str], bytes]] = {
    "index.html": page,
    "de.html": lambda s: f"<p>{''.join(f'&#{ord(c)};' for c in s)}</p>".encode(),
    "broken.html": lambda s: f"<p>{s.replace(' ', ' <b>&nbsp;</b> ')}</p>".encode(),
    "data.html": lambda s: f'<script type="application/ld+json">"{s}"</script>'.encode(),
    "menu.webmanifest": lambda s: json.dumps({"name": s}).encode(),
    "escaped.json": lambda s: ('"' + "".join(f"\\u{ord(c):04x}" for c in s) + '"').encode(),
    "menu.pdf": set_pdf,
    "titled.pdf": titled_pdf,
    "shared.png": png,
    "shared.jpg": jpeg,
    "index.html.gz": lambda s: gzip.compress(page(s)),
}
CODE: dict[str, Callable[[str], bytes]] = {
    "note.html": lambda s: f"<p>Blue.<!-- {s} -->".encode(),
    "alt.html": lambda s: f'<p title="{s}">Blue.</p>'.encode(),
    "pour.js": lambda s: f"// {s}\nlet x = 1;".encode(),
    "guest.css": lambda s: f"p::after {{ content: '{s}'; }}".encode(),
}


@pytest.mark.parametrize("name", [*WAYS, *CODE])
def test_every_planted_leak_is_found(canaries: Collection, name: str) -> None:
    """Each secret in each kind of file, shown or hidden; figures where words are read."""
    make = WAYS.get(name) or CODE[name]
    for secret in SECRETS:
        if name in CODE and secret == "71.43":
            continue  # in code and drawings any figure may stand
        found = leaks([(name, make(secret))], canaries)
        assert found, secret
        assert {one.file for one in found} == {name}
    assert leaks([(name, make("nothing at all"))], canaries) == ()


def test_a_file_that_is_named_after_a_recipe_of_staff_is_a_leak(canaries: Collection) -> None:
    """What a file is called is read as well."""
    (found, *_) = leaks([("guest/zqfile16-blue.html", b"")], canaries)
    assert "Zqinfused6 Blue" in found.source


@pytest.mark.parametrize(
    "told",
    ["£2.14", "2,14 £", "2.14\u00a0£", "GBP 2.14", "costs us 2.14 GBP", "2.14369", "2.143691"],
)
def test_a_cost_that_was_worked_out_is_a_leak(canaries: Collection, told: str) -> None:
    """A sum beside its currency, in any language's way, or with more decimals than anybody writes:
    in pages, data, papers and pictures. No file of the house holds it."""
    for name in ("index.html", "data.html", "menu.pdf", "shared.png"):
        files = [(name, WAYS[name](told))]
        assert leaks(files, canaries) == ()
        (found, *_) = leaks(files, canaries, [2.143691])
        assert found.source == "a cost, worked out for staff"


@pytest.mark.parametrize(
    ("told", "cost"),
    [
        ("£2.14", 2.15),
        ("2.14 ml", 2.14),
        ("£12.14", 2.14),
        ("£2.143", 2.14),
        ("£0.00", 0.0),
        ("9.50 £", 9.5),
    ],
)
def test_a_figure_that_is_no_cost_is_none(canaries: Collection, told: str, cost: float) -> None:
    """Another sum, no money, nothing at all, and what guests pay for a drink."""
    open_one = replace(canaries, drinks={
        name: drink.model_copy(update={"price": 9.5}) for name, drink in canaries.drinks.items()
    })  # fmt: skip
    assert leaks([("index.html", page(told))], open_one, [cost]) == ()


def test_a_leak_stops_the_swap(
    canaries: Collection, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A template that shows the method: the last good build stands, and the file is named."""
    computed, out = compute(canaries)[0], tmp_path / "out"
    plan.publish(canaries, computed, out, papers=False)
    before = (out / "guest/index.html").read_bytes()
    honest = house_pages.menu_page

    def talkative(collection: Collection, *more: object) -> str:
        return honest(collection, *more) + collection.drinks["Rain Later"].staff_text  # type: ignore[arg-type]

    monkeypatch.setattr(house_pages, "menu_page", talkative)
    with pytest.raises(AuthorError) as told:
        plan.publish(canaries, computed, out, papers=False)
    assert {one.place.path for one in told.value.mistakes} == {"guest/index.html", "guest/de.html"}
    assert "in the method of Rain Later" in str(told.value)
    assert (out / "guest/index.html").read_bytes() == before
