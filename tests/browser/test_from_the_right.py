"""A house whose words run from the right: generated, with a catalogue of letters alone.

Belongs here: which way its pages run and what keeps its own order. Does not belong here: what is
said in a language of ours (tests/press/test_languages.py), the menu's strip (test_guest_menu.py).
"""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest
from anthocard.engine.compute import compute
from anthocard.house.reader import read_house
from anthocard.press.base import languages
from anthocard.press.build.plan import publish
from babel.messages.pofile import read_po, write_po

from tests.browser.conftest import Walk
from tests.engine.conftest import write_house

TAG = "he"
#: Letters of our phrases by letters that run from the right; what they say is nobody's language.
LETTERS = str.maketrans("abcdefghijklmnopqrstuvwxyz", "אבגדהוזחטיכלמנסעפצקרשתםןףץ")
FIGURE = re.compile(r"(%\(\w+\)[sd]|%%|\{[^}]*\})")
LONG = "שקט" * 20
HOUSE = f"""\
name: המזח
voice: בר על {LONG}
place: GB
currency: ILS
language: {TAG}
tables: 2
web: https://the-pier.example/
glasses:
  tall glass: {{width: 60 mm, holds: 380 ml}}
"""
FILES = {
    "infusions/blue-gin.md": "kind: infusion\nname: blue gin\nplant: butterfly pea\ninto: gin\n"
    "dose: 7 g/l\ntime: 90 min\n",
    "drinks/quiet.md": "---\nkind: drink\nname: שקט לפני הסערה\nglass: tall glass\nice: cubed\n"
    "method: built\nprice: 48.5\npours: [45 ml blue gin, 100 ml soda water]\n"
    "reveal: {pour: lemon juice, amount: 15 ml}\n---\nכחול, ואז סגול.\n\n## Method\n\n1. לבנות.\n",
    "drinks/long.md": f"kind: drink\nname: {LONG}\nglass: tall glass\nice: cubed\nmethod: built\n"
    "pours: [45 ml blue gin, 30 ml lemon juice]\n",
    "menus/all.md": f"kind: menu\nname: הערב\nsections:\n  - name: {LONG}\n"
    f"    drinks: [שקט לפני הסערה, {LONG}]\n",
}


@pytest.fixture(scope="module")
def house(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The house published, its phrases in letters that run from the right."""
    made = tmp_path_factory.mktemp("catalogue") / TAG / "LC_MESSAGES" / "anthocard.po"
    made.parent.mkdir(parents=True)
    with (languages.CATALOGUES / "anthocard.pot").open("rb") as template:
        catalogue = read_po(template, locale=TAG)
    for message in catalogue:
        if message.id:
            texts = message.id if isinstance(message.id, tuple) else (message.id,)
            told = [_turned(text) for text in texts]
            told += told[-1:] * (catalogue.num_plurals - len(told))
            message.string = tuple(told) if message.pluralizable else told[0]
    with made.open("wb") as file:
        write_po(file, catalogue)
    caches = languages.language, languages._catalogue
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(languages, "CATALOGUES", made.parents[2])
        for cache in caches:
            cache.cache_clear()
        collection = read_house(write_house(tmp_path_factory.mktemp("house"), FILES, HOUSE))
        out = tmp_path_factory.mktemp("out")
        publish(collection, compute(collection)[0], out, papers=False)
    for cache in caches:
        cache.cache_clear()
    return out


@pytest.fixture(scope="module")
def told(walk: Walk, house: Path) -> dict[str, Any]:
    """What each page is like, on a narrow phone in letters twice as large and as it comes."""
    home = house.as_uri()
    pages = sorted(path.relative_to(house).as_posix() for path in house.rglob("*.html"))
    assert {"guest/index.html", "staff/index.html", "staff/plants.html"} <= set(pages)
    found = walk("from_the_right", home, [f"{home}/{page}" for page in pages])
    assert found["heard"] == []
    return {page: found["seen"][f"{home}/{page}"] for page in pages}


def test_every_page_runs_from_the_right(told: dict[str, Any]) -> None:
    """`dir` and `lang` are those of its phrases, and its words stand at the right."""
    assert {page: (one["dir"], one["lang"]) for page, one in told.items()} == dict.fromkeys(
        told, ("rtl", TAG)
    )
    assert {page: one["left"] for page, one in told.items() if one["left"]} == {}


def test_no_page_scrolls_sideways(told: dict[str, Any]) -> None:
    """At 320 px with words of 60 letters in letters twice as large."""
    assert {page: one["wide"] for page, one in told.items() if one["wide"]} == {}


def test_figures_keep_their_own_order(told: dict[str, Any]) -> None:
    """“45 ml”, “14.6 % vol”, “pH 3.1”: the figure stands left of its unit wherever both are read."""
    assert {page: one["turned"] for page, one in told.items() if one["turned"]} == {}
    assert sum(one["figures"] for one in told.values()) > 100


def test_the_strip_runs_as_the_slider_does(told: dict[str, Any]) -> None:
    """A touch at the right end is nothing poured, in the middle half, at the left everything."""
    strip = told["guest/index.html"]["strip"]
    assert strip == {"values": [100, 50, 0], "thumb": [0, 0, 0], "mirrored": -1}


def _turned(text: str) -> str:
    parts = FIGURE.split(text)
    return "".join(
        part if n % 2 else part.lower().translate(LETTERS) for n, part in enumerate(parts)
    )
