"""The menu for those who see it otherwise: read aloud, in Firefox, on a slow phone, on paper."""

from __future__ import annotations

import json
import re
import shutil
from html.parser import HTMLParser
from io import BytesIO
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image

from tests.browser.conftest import ROOT, SUBPATH
from tests.browser.firefox import firefox
from tests.browser.test_guest_menu import GERMAN, MENU, Ask, ask, either

__all__ = ("ask", "either")  # fixtures
DRINK = "guest/drinks/squall-line.html"
ROLES = {"pushbutton": "button", "heading": "heading", "article": "article", "slider": "slider"}


def _shape(nodes: list[dict[str, Any]]) -> list[tuple[str, str, int]]:
    """Headings, articles, buttons and sliders with their names, in the order they are read."""
    roles = ROLES | {role: role for role in ROLES.values()}
    return [
        (roles[node["role"]], node["name"], node.get("level") or 0)
        for node in nodes
        if node["role"] in roles
    ]


@pytest.fixture(scope="module")
def program() -> str:
    found = shutil.which("firefox-esr")
    if found is None:
        pytest.skip("firefox-esr is not on this machine; see test_guest_menu.py for why")
    return found


def test_both_browsers_tell_the_same_tree(
    ask: Ask, program: str, address: str, tmp_path: Path
) -> None:
    """Firefox's accessibility service and Chromium's agree on every heading, drink, slider and
    button, its name and its place; a choice is spoken of politely.
    """
    chromium = _shape(ask("spoken", [f"{address}/{MENU}"])["nodes"])
    with firefox(program, tmp_path) as window:
        window.open(f"{address}/{MENU}")
        nodes = window.tree()
        window.run('document.querySelector("label:has(#no-egg)").click()')
        chosen = window.tree()
    assert _shape(nodes) == chromium
    assert len(chromium) > 50
    assert len([node for node in nodes if node["live"] == "polite"]) > 10
    spoken = [
        chosen[at + 1]["name"] for at, node in enumerate(chosen[:-1]) if node["live"] == "polite"
    ]
    assert "of 15 drinks" in spoken[0]


def test_the_keyboard_goes_the_same_way(either: Ask, address: str) -> None:
    """The first stops of Tab are those of the page, in either browser."""
    told = either("stops", [f"{address}/{MENU}"])
    assert told["focus"][:4] == ["To the drinks", "Deutsch", "All drinks", "Choose"]


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_axe_finds_nothing_in_either(either: Ask, scheme: str, address: str) -> None:
    """All rules of axe-core, by day and by night, with all details open."""
    urls = [f"{address}/{page}" for page in (MENU, GERMAN, DRINK)]
    assert either("axe", urls, scheme=scheme)["found"] == []


def test_a_slow_phone_gets_it_whole(ask: Ask, address: str) -> None:
    """At a sixth of the processor: no jump, every slider there, a tap pours to the end, counts
    agree, and no task keeps a finger waiting for long.
    """
    told = ask("slow", [f"{address}/{MENU}"])
    assert told["shift"] < 0.05
    assert told["ready"] == told["pours"] > 10
    assert told["poured"] == 100
    assert told["said"].startswith("14 of 15 drinks")


def test_what_is_printed_is_worth_it(ask: Ask, address: str, tmp_path: Path) -> None:
    """On paper: every drink with its picture, no button and no bar, ink on white."""
    told = ask("print", [f"{address}/{MENU}"])
    assert told["hidden"] == []
    assert told["glasses"] == told["drinks"]
    assert told["ground"] == "rgb(255, 255, 255)"


def test_icons_may_be_cut_round(site: Path) -> None:
    """Each manifest offers its icons to be masked as well, and all that is drawn lies in the circle
    of four fifths that a mask leaves (W3C, Web Application Manifest, “maskable”; from memory).
    """
    guest = site / SUBPATH / "guest" / "assets"
    staff = site / SUBPATH / "staff" / "assets"
    manifests = sorted([*guest.glob("*.webmanifest"), *staff.glob("*.webmanifest")])
    assert len(manifests) == 3
    for manifest in manifests:
        told = json.loads(manifest.read_text(encoding="utf-8"))
        assert all(told[key] for key in ("name", "start_url", "lang"))
        masked = [icon for icon in told["icons"] if icon["purpose"] == "maskable"]
        assert {"192x192", "512x512"} <= {icon["sizes"] for icon in masked}
        for icon in masked:
            content = (manifest.parent / icon["src"]).read_bytes()
            dots = np.asarray(Image.open(BytesIO(content)).convert("RGB")).astype(int)
            assert f"{dots.shape[1]}x{dots.shape[0]}" == icon["sizes"]
            away = np.abs(dots - dots[0, 0]).sum(axis=2) > 24
            rows, columns = np.nonzero(away)
            middle = (dots.shape[0] - 1) / 2
            reach = np.hypot(rows - middle, columns - middle).max()
            assert reach <= 0.4 * dots.shape[0], icon["src"]


class _Read(HTMLParser):
    """What people read of a page: its words, and what its tags say."""

    SAID = ("alt", "aria-label", "title", "placeholder")

    def __init__(self) -> None:
        super().__init__()
        self.words: list[str] = []
        self._code = 0

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self._code += tag in ("script", "style")
        self.words += [value for key, value in attrs if value and key in self.SAID]

    def handle_endtag(self, tag: str) -> None:
        self._code -= tag in ("script", "style")

    def handle_data(self, data: str) -> None:
        if not self._code:
            self.words.append(data)


def test_no_straight_mark_and_no_day_in_figures_is_read(site: Path, pages: list[str]) -> None:
    """On any page: marks as its language sets them, days in words."""
    for page in pages:
        read = _Read()
        read.feed((site / SUBPATH / page).read_text(encoding="utf-8"))
        assert [words for words in read.words if re.search("[\"']", words)] == [], page
        days = re.compile(r"\b\d\d\.\d\d\.\d{4}\b")
        if page != GERMAN and not page.endswith(".de.html"):
            assert [words for words in read.words if days.search(words)] == [], page


def test_solutions_are_told_apart(site: Path) -> None:
    """By pH in their badge and by what is dissolved in a litre: no two rows alike."""
    page = (site / SUBPATH / "staff" / "index.html").read_text(encoding="utf-8")
    page = page.replace("\xa0", " ")
    rows = re.findall(
        r'<span class="badge">([^<]*)</span><div><a[^>]*>[^<]*</a>\s*<p>(.*?)</p>', page
    )
    assert len(rows) == 6
    assert len(set(rows)) == 6
    assert all(badge.startswith("pH ") and " g/l: " in line for badge, line in rows)


def test_only_what_is_sold_has_a_price(site: Path) -> None:
    """The price that meets a target stands on drinks alone."""
    priced = "Price that meets the target"
    for path in sorted((ROOT / "recipes").glob("*/*.md")):
        page = site / SUBPATH / "staff" / f"{path.stem}.html"
        if page.is_file():
            assert (priced in page.read_text(encoding="utf-8")) is (path.parent.name == "drinks")
