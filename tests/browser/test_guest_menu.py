"""The guest menu as guests use it: a drink at once, a choice that is kept, either way of reading.

In Chromium, and where Debian's Firefox is installed in that as well.
"""

import itertools
import json
import shutil
import subprocess
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from anthocard.engine.compute import compute
from anthocard.house.collection import Collection, page_key
from anthocard.house.model import Drink, Menu
from anthocard.house.reader import read_house
from anthocard.press.base.theme import find_theme
from anthocard.press.html.guest_pages import menu_page
from anthocard.press.html.house_assets import guest_assets
from anthocard.press.html.menu import offered

from tests.browser.conftest import MODULES, ROOT, SUBPATH
from tests.patience import HUNG_S

Ask = Callable[..., dict[str, Any]]
MENU, GERMAN = "guest/index.html", "guest/de.html"


def _ask(node: str, browser: str, program: str) -> Ask:
    def ask(task: str, urls: list[str], **more: Any) -> dict[str, Any]:
        options = {"modules": str(MODULES), "browser": browser, "program": program, "urls": urls}
        command = [
            node,
            str(Path(__file__).with_name("menu.mjs")),
            task,
            json.dumps(options | more),
        ]
        done = subprocess.run(command, capture_output=True, text=True, timeout=HUNG_S, check=False)
        assert done.returncode == 0, done.stderr
        told: dict[str, Any] = json.loads(done.stdout)
        return told

    return ask


@pytest.fixture(scope="module")
def ask(node: str, chromium: str) -> Ask:
    """One task of menu.mjs in Chromium."""
    return _ask(node, "chrome", chromium)


@pytest.fixture(scope="module", params=["chromium", "firefox"])
def either(request: pytest.FixtureRequest, node: str, chromium: str) -> Ask:
    """One task of menu.mjs in each browser."""
    if request.param == "chromium":
        return _ask(node, "chrome", chromium)
    found = shutil.which("firefox-esr")
    if found is None:
        pytest.skip(
            "firefox-esr is not on this machine. .ci/test does not install it: the download and a"
            " second round of browser tests would cost its runs minutes they do not have"
        )
    return _ask(node, "firefox", found)


def many(count: int, folder: Path) -> str:
    """The address of a menu of so many drinks in sections of twelve, made of the demo's."""
    collection = read_house(ROOT / "recipes")
    computed = compute(collection)[0]
    kinds = offered(collection, computed)
    made, pages = {}, {}
    for number in range(count):
        one = kinds[number % len(kinds)]
        recipe = one.recipe.model_copy(
            update={"name": f"{one.name} {number + 1}", "translations": {}}
        )
        made[f"drink-{number + 1}"] = replace(one, recipe=recipe, slug=f"drink-{number + 1}")
        page = collection.pages[page_key(one.recipe)]
        assert page.source is not None
        source = replace(page.source, slug=f"drink-{number + 1}")
        pages[page_key(recipe)] = replace(page, source=source)
    names = [one.name for one in made.values()]
    sections = tuple(
        {"name": f"Part {at // 12 + 1}", "drinks": tuple(names[at : at + 12])}
        for at in range(0, count, 12)
    )
    menu = Menu.model_validate({"name": "All of it", "sections": sections}, strict=False)
    house = collection.house.model_copy(update={"languages": ()})
    whole: Collection = replace(
        collection, house=house, menus={menu.name: menu}, pages={**collection.pages, **pages},
        drinks={one.name: one.recipe for one in made.values() if isinstance(one.recipe, Drink)},
    )  # fmt: skip
    theme = find_theme()
    assets = guest_assets(whole, made, theme, "")
    for path, content in assets.files.items():
        (folder / path).parent.mkdir(parents=True, exist_ok=True)
        (folder / path).write_bytes(content)
    file = folder / "index.html"
    file.write_text(menu_page(whole, made, theme, assets, house.language), encoding="utf-8")
    return file.as_uri()


def test_the_first_screen_is_a_drink_that_turns(ask: Ask, address: str) -> None:
    """At 360 by 740: glass, name and price within 600 px; 8 requests and 130 kB besides pictures."""
    for page in (MENU, GERMAN):
        seen = ask("first", [f"{address}/{page}"])
        assert max(seen["glass"], seen["name"], seen["price"]) <= 600
        assert len(seen["asked"]) <= 8, seen["asked"]
        assert 60_000 <= seen["bytes"] <= 130_000
        assert seen["shift"] < 0.05


def test_a_choice_is_counted_kept_and_told(either: Ask, address: str) -> None:
    """The number beside each choice is how many drinks it leaves; no part of the menu stands empty.
    A choice is told aloud, and is still there after a reload and in another language.
    """
    urls = [f"{address}/{MENU}", f"{address}/{GERMAN}"]
    told = either("choose", urls, picks=["colour-red", "no-egg"])
    assert len(told["each"]) > 20
    for one in told["each"]:
        assert (one["told"], one["empty"]) == (one["left"], 0), one["id"]
    assert told["quiet"] == ""
    picked = told["picked"]["shown"]
    assert 0 < len(picked) < len(told["all"])
    assert "squall-line" in told["all"]
    assert "squall-line" not in picked  # red at last, and made with egg
    assert told["picked"]["said"].startswith(f"{len(picked)} of {len(told['all'])} drinks")
    assert told["reloaded"] == told["picked"]
    assert told["other"]["shown"] == picked
    assert f"{len(picked)} von {len(told['all'])} Drinks" in told["other"]["said"]
    assert told["again"] == {"shown": told["all"], "said": ""}


def test_those_who_do_not_see_are_told_as_much(ask: Ask, address: str, site: Path) -> None:
    """In Chromium's own tree: no two articles, buttons or sliders of one name, a live word for the
    choice, headings in rank, by size too; the first stops of the keyboard in the order of the page.
    """
    told = ask("spoken", [f"{address}/{MENU}"])
    drinks = (site / SUBPATH / MENU).read_text(encoding="utf-8").count("<article")
    for role in ("article", "slider"):
        names = [node["name"] for node in told["nodes"] if node["role"] == role]
        assert len(names) >= drinks - 1
        assert all(names)
        assert len(names) == len(set(names)), role
    pours = [
        n["name"] for n in told["nodes"] if n["role"] == "button" and "Hold to pour" in n["name"]
    ]
    assert "Hold to pour Squall Line" in pours
    assert len(pours) == len(set(pours))
    assert [node for node in told["nodes"] if node["role"] == "status"]
    levels = [node["level"] for node in told["nodes"] if node["role"] == "heading"]
    assert levels[:4] == [1, 2, 3, 4]
    assert all(b - a <= 1 for a, b in itertools.pairwise(levels))
    smallest = {n: min(size for level, size in told["sizes"] if level == n) for n in (1, 2, 3)}
    largest = {n: max(size for level, size in told["sizes"] if level == n) for n in (2, 3, 4)}
    assert all(smallest[n] > largest[n + 1] for n in (1, 2, 3))
    assert told["focus"][:4] == ["To the drinks", "Deutsch", "All drinks", "Choose"]


def test_any_of_sixty_drinks_is_two_taps_away(either: Ask, tmp_path: Path) -> None:
    """The list of all, then the name, from wherever one is; the bar stays at hand, and is small."""
    told = either("taps", [many(60, tmp_path)])
    assert told["drinks"] == 60
    assert told["missed"] == []
    assert told["open"] == 0
    assert 0 <= told["bar"] < 1
    assert told["height"] <= 60
    assert told["wide"] == 0


def test_a_menu_of_hundreds_still_chooses(ask: Ask, tmp_path: Path) -> None:
    """Counts and drinks agree there too (of three choices: each is laid out anew)."""
    url = many(300, tmp_path)
    told = ask("choose", [url, url], picks=["strength-none"], filters=3)
    assert len(told["each"]) == 3
    assert [one["id"] for one in told["each"] if one["told"] != one["left"]] == []
    assert len(told["all"]) == 300
    assert told["picked"]["said"].startswith(f"{len(told['picked']['shown'])} of 300 drinks")
    assert told["reloaded"] == told["picked"]


def test_a_page_runs_either_way(either: Ask, address: str) -> None:
    """At 320 px with 60 letters a word and letters twice as large: no sideways scroll, from the
    left or from the right. A touch on the strip's ends and middle pours 0, 50 and 100 % from the
    side where reading begins, and the colours run with it.
    """
    told = either("ways", [f"{address}/{MENU}"])
    assert told["ltr"] == {"wide": 0, "values": [0, 50, 100], "mirrored": 1}
    assert told["rtl"] == {"wide": 0, "values": [100, 50, 0], "mirrored": -1}


def test_nothing_glows_by_day(ask: Ask, tmp_path: Path) -> None:
    """The liquid of a flat glass shines in a dark room alone."""
    told = ask("lights", [many(1, tmp_path)])
    assert told["light"] == "none"
    assert "drop-shadow" in told["dark"]
