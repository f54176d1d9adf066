"""Every page on a screen: self-contained, told in words, with one way in."""

import hashlib
import json
import re
from base64 import b64encode
from dataclasses import replace
from html import unescape
from posixpath import normpath
from typing import Any

import pytest
from anthocard.engine.results import Computed
from anthocard.house.model import Menu
from anthocard.house.settings import House
from anthocard.press.base.theme import find_theme
from anthocard.press.build.plan import contents
from anthocard.press.draw.filled_glass import STEPS
from anthocard.press.paper.job import HERE

THEME = find_theme()
WEB = "https://cold-frame.example/menu"


@pytest.fixture
def hosted(collection: Any, computed: dict[str, Computed]) -> dict[str, bytes]:
    """Every page of a house that says where its menu is hosted and speaks German too."""
    house = collection.house.model_copy(update={"web": WEB, "languages": ("de",)})
    made = contents(replace(collection, house=house), computed, THEME, papers=False)
    return {path: HERE.now(HERE.get(one)) for path, one in made.items()}


@pytest.fixture
def pages(hosted: dict[str, bytes]) -> dict[str, str]:
    return {path: made.decode() for path, made in hosted.items() if path.endswith(".html")}


def test_no_page_asks_anything_of_anyone(pages: dict[str, str]) -> None:
    """The only addresses outside the folder are the house's own and that of a vocabulary."""
    for path, html in pages.items():
        bare = re.sub(r"https://cold-frame\.example/|https://schema\.org", "", html)
        bare = bare.replace('xmlns="http://www.w3.org/2000/svg"', "")
        assert not re.search(
            r"https?:|//[a-z]|\sstyle=\"|\son[a-z]+=", bare.replace("https://", "")
        )
        for address in re.findall(r'(?:src|href)="([^"#]+)', bare):
            if address == "data:,":
                continue  # no icon, for a page that does not know where one would be
            assert not address.startswith(("/", "data:"))
            there = normpath(f"{path}/../{address}")
            assert there.startswith(f"{path.partition('/')[0]}/")


def test_the_policy_lets_in_no_inline_script_but_by_its_hash(pages: dict[str, str]) -> None:
    """Scripts come from the folder; the one inline element is data, and is named by its hash."""
    for html in pages.values():
        policy = re.search(r'Content-Security-Policy" content="([^"]+)"', html)
        assert policy is not None
        assert policy[1].startswith("default-src 'none'")
        assert "unsafe" not in policy[1]
        for kind, body in re.findall(r"<script([^>]*)>(.*?)</script>", html, re.DOTALL):
            if body:
                digest = b64encode(hashlib.sha256(body.encode()).digest()).decode()
                assert f"'sha256-{digest}'" in policy[1]
                assert 'type="application/ld+json"' in kind
            else:
                assert "defer" in kind


def test_what_a_page_loads_is_there_under_a_name_that_changes_with_it(
    hosted: dict[str, bytes],
) -> None:
    """Every address of an asset leads to a file whose name holds a print of its bytes, or for a
    picture, which is drawn after the page that shows it, a key of all it is made from.
    """
    for path, made in hosted.items():
        if not path.endswith((".html", ".css", ".webmanifest")):
            continue
        folder = path.rpartition("/")[0]
        text = made.decode()
        found = re.findall(
            r'(?:src|srcset|href|data-manifest|data-reel|data-day)="(assets/[^"]+)"', text
        )
        found += [f"assets/{name}" for name in re.findall(r'url\("([^"]+)"\)', text)]
        for address in found:
            home = folder.removesuffix("/assets")
            file = hosted[f"{home}/{address}"]
            if address.endswith(".webp"):
                assert re.fullmatch(r"assets/[^/]+\.[0-9a-f]{8}\.webp", address)
                continue
            assert hashlib.blake2b(file, digest_size=4).hexdigest() in address


def test_every_page_has_a_language_a_title_and_one_h1(pages: dict[str, str]) -> None:
    """What a screen reader needs first."""
    for path, html in pages.items():
        assert html.startswith("<!doctype html>")
        assert f'<html lang="{"de" if path.endswith("de.html") else "en"}">' in html
        assert re.search(r"<title>[^<]+</title>", html)
        assert html.count("<h1") == 1


def test_ids_are_unique_on_a_page(pages: dict[str, str]) -> None:
    """Two drawings never share a clip or a gradient, and every reference leads somewhere."""
    for html in pages.values():
        ids = re.findall(r'\bid="([^"]+)"', html)
        assert len(ids) == len(set(ids))
        assert set(re.findall(r"url\(#([^)]+)\)", html)) <= set(ids)
        assert set(re.findall(r'<use[^>]* href="#([^"]+)"', html)) <= set(ids)


def test_colour_is_never_the_only_cue(pages: dict[str, str], frost: Computed) -> None:
    """Every drawing that says something has a title; colours stand beside it in words, in order."""
    for html in pages.values():
        speaking = re.findall(r'<svg[^>]*role="img"[^>]*>(?!<title)', html)
        assert [svg for svg in speaking if "aria-label" not in svg] == []
    assert frost.after is not None
    steps = re.search(r'class="steps"[^>]*>(.*?)</ol>', pages["guest/index.html"])
    assert steps is not None
    named = re.findall(r"<li>([^<]+)</li>", steps[1])
    assert (named[0], named[-1]) == (frost.before.colour.name, frost.after.colour.name)
    assert f"{named[0]} to {named[-1]}" in pages["staff/index.html"]


def test_a_menu_finds_its_drinks_whatever_the_case(pages: dict[str, str]) -> None:
    """The menu names “STANDING WATER”, the drink is called “Standing Water”."""
    assert "Standing Water" in pages["guest/index.html"]


def test_a_drink_listed_twice_stands_twice(
    collection: Any, computed: dict[str, Computed], frost: Computed
) -> None:
    """Two menus may offer one drink: both places have ids of their own."""
    sections = ({"name": "Again", "drinks": (frost.name,)},)
    second = Menu.model_validate({"name": "Late", "sections": sections}, strict=False)
    both = replace(collection, menus={**collection.menus, "Late": second})
    html = HERE.now(
        HERE.get(contents(both, computed, THEME, papers=False)["guest/index.html"])
    ).decode()
    ids = re.findall(r'\bid="([^"]+)"', html)
    assert len(ids) == len(set(ids))
    assert 'id="first-frost-2"' in html


def test_words_of_authors_are_escaped(by_hand: Any, collection: Any, still: Computed) -> None:
    """A name with a bracket in it is a name, not markup, in pages, data and scripts alike."""
    name = "<b>&\"Nip'</script>"
    drink = by_hand.drink(name=name, garnish=("<i>leaf</i>",))
    own = collection.slug(drink)
    one = by_hand.compute(drink, slug=own)
    menu = Menu.model_validate(
        {"name": "</script>", "sections": ({"name": "x", "drinks": (name,)},)}, strict=False
    )
    small = replace(collection, menus={"x": menu}, recipes=(drink,))
    made = contents(small, {own: one}, THEME, papers=False)
    for path in ("guest/index.html", f"staff/{own}.html", "staff/index.html"):
        html = HERE.now(HERE.get(made[path])).decode()
        assert "<b>&" not in html
        assert "<i>leaf" not in html
        assert "&amp;" in html


def test_a_house_with_nothing_in_it_still_has_pages(house: House, collection: Any) -> None:
    """On the first day there is no drink and no menu: the pages stand, with the house's name."""
    made = contents(replace(collection, menus={}), {}, THEME, papers=False)
    for path in ("guest/index.html", "staff/index.html"):
        assert house.name in HERE.now(HERE.get(made[path])).decode()
    assert "staff/tables.html" not in made  # no address, no codes


def test_a_spec_page_tells_what_staff_need(pages: dict[str, str]) -> None:
    """Amounts with links to what the house makes, figures, method, cautions, sources, the curve."""
    html = pages["staff/first-frost.html"].replace("\xa0", " ")
    for words in (
        '<a href="pea-flower-gin.html">',
        "The guest pours",
        "6.20",
        "Shake hard",
        "No copper",
        "the window is narrow",
        "a handbook",
        "acidity of verjus",
        "Pour curve: pH 6.2",
        "the dose",
    ):
        assert words in html


def test_a_recipe_and_what_it_is_made_of_lead_to_each_other(pages: dict[str, str]) -> None:
    """From the drink to its infusion, and back."""
    assert 'href="pea-flower-gin.html"' in pages["staff/first-frost.html"]
    assert 'href="first-frost.html"' in pages["staff/pea-flower-gin.html"]


def test_the_menu_stands_as_data(pages: dict[str, str], house: House) -> None:
    """schema.org: a Menu of sections of items with offers, and only what the page says as well."""
    html = pages["guest/index.html"]
    found = re.search(r'<script type="application/ld\+json">(.*?)</script>', html)
    assert found is not None
    menu = json.loads(found[1])
    assert (menu["@context"], menu["@type"]) == ("https://schema.org", "Menu")
    (section,) = menu["hasMenuSection"]
    item, _ = section["hasMenuItem"]
    assert item["@type"] == "MenuItem"
    assert item["offers"] == {"@type": "Offer", "price": "12.50", "priceCurrency": "GBP"}
    assert item["url"] == f"{WEB}/drinks/first-frost.html"


def test_each_drink_has_a_page_to_share(pages: dict[str, str], hosted: dict[str, bytes]) -> None:
    """One a language, that knows its address, its picture, its other languages and its data."""
    html = pages["guest/drinks/first-frost.html"]
    here = f"{WEB}/drinks/first-frost"
    assert f'<link rel="canonical" href="{here}.html">' in html
    assert f'hreflang="de" href="{here}.de.html"' in html
    assert f'og:image" content="{here}.png"' in html
    assert hosted["guest/drinks/first-frost.png"].startswith(b"\x89PNG")
    assert hosted["guest/drinks/first-frost.png"] != hosted["guest/drinks/standing-water.png"]
    assert re.search(r'<h1 id="name-first-frost"[^>]*>First Frost</h1>', html)
    found = re.search(r'<script type="application/ld\+json">(.*?)</script>', html)
    assert found is not None
    item = json.loads(found[1])
    assert (item["@context"], item["@type"]) == ("https://schema.org", "MenuItem")
    assert (item["url"], item["image"]) == (f"{here}.html", f"{here}.png")
    assert item["offers"] == {"@type": "Offer", "price": "12.50", "priceCurrency": "GBP"}
    assert item["description"] in unescape(re.sub(r"<[^>]+>", "", html))
    assert 'href="drinks/first-frost.html"' in pages["guest/index.html"]
    assert 'href="../index.html#first-frost"' in html
    assert '<html lang="de">' in pages["guest/drinks/first-frost.de.html"]


def test_a_lost_address_leads_back_to_the_menu(pages: dict[str, str]) -> None:
    """The page loads nothing, since nobody knows where it will stand, and names each language."""
    html = pages["guest/404.html"]
    assert not re.search(r'(?:src|href)="(?!https://|data:,)', html)
    assert f'href="{WEB}/"' in html
    assert f'href="{WEB}/de.html"' in html
    assert '<div lang="de">' in html
    sheet = re.search(r"<style>(.*?)</style>", html, re.DOTALL)
    assert sheet is not None
    print_ = b64encode(hashlib.sha256(sheet[1].encode()).digest()).decode()
    assert f"style-src 'self' 'sha256-{print_}'" in html


def test_a_menu_installs_under_its_own_name(hosted: dict[str, bytes]) -> None:
    """One manifest a language, each opening its own page; no name is cut in mid-word."""
    told = {
        path: json.loads(made) for path, made in hosted.items()
        if path.startswith("guest/") and path.endswith(".webmanifest")
    }  # fmt: skip
    starts = {one["lang"]: one["start_url"] for one in told.values()}
    assert starts == {"en": "../index.html", "de": "../de.html"}
    for one in told.values():
        assert one.get("short_name", one["name"]) == one["name"]
        assert {icon["sizes"] for icon in one["icons"]} >= {"192x192", "512x512"}


def test_the_hosted_address_is_told_once_hosted(pages: dict[str, str], hosted: Any) -> None:
    """Canonical address, both languages for search engines, the shared picture, table codes."""
    html = pages["guest/index.html"]
    assert f'<link rel="canonical" href="{WEB}/">' in html
    assert f'hreflang="de" href="{WEB}/de.html"' in html
    picture = re.search(rf'og:image" content="{WEB}/([^"]+)"', html)
    assert picture is not None
    assert hosted[f"guest/{picture[1]}"].startswith(b"\x89PNG")
    assert WEB in pages["staff/tables.html"]


def test_a_strip_and_a_slider_know_the_same_turn(pages: dict[str, str], frost: Computed) -> None:
    """Both start and end at the computed colours: the strip in colour, the slider in words."""
    found = re.search(r"data-pour='([^']+)'", pages["guest/index.html"])
    assert found is not None
    turn = json.loads(unescape(found[1]))
    assert frost.after is not None
    ends = frost.before.seen.above, frost.after.seen.above
    strip = re.search(r'<svg class="turn".*?</svg>', pages["guest/index.html"])
    assert strip is not None
    stops = re.findall(r'stop-color="(#\w+)"', strip[0])
    assert (stops[0], stops[-1]) == (ends[0].hex, ends[1].hex)
    assert [turn["name"][turn["at"][place]] for place in (0, -2)] == [end.name for end in ends]
    assert len(turn["at"]) == 2 * STEPS
    assert "hex" not in turn  # the picture has its colours in it


def test_a_drink_that_does_not_turn_has_nothing_to_pour(pages: dict[str, str]) -> None:
    """One name, no slider."""
    still = pages["guest/index.html"].partition('id="standing-water"')[2]
    assert "data-pour" not in still
    assert 'class="steps"' in still
