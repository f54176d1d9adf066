"""Languages: what pages and papers say of their own, and how figures are written."""

import re
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import fields, is_dataclass, replace
from html import unescape
from pathlib import Path
from typing import Any

import pytest
from anthocard.engine.results import Caution, Computed
from anthocard.press.base import languages
from anthocard.press.base.languages import (
    is_known,
    known_tags,
    language,
)
from anthocard.press.base.theme import find_theme
from anthocard.press.build.site import contents
from anthocard.press.words.guest import said
from pydantic import BaseModel

ROOT = Path(__file__).parents[2]


@pytest.mark.parametrize(
    ("tag", "price", "strength", "volume"),
    [  # CLDR by Babel 2.18, read there
        ("en-GB", "£12.50", "19.3\u00a0% vol", "125 ml"),
        ("de", "12,50\u00a0£", "19,3\u00a0% vol", "125 ml"),
        ("en-US", "£12.50", "19.3\u00a0% vol", "4 fl oz"),
        ("xx", "£12.50", "19.3\u00a0% vol", "125 mL"),
    ],
)
def test_figures_are_written_as_a_language_writes_them(
    tag: str, price: str, strength: str, volume: str
) -> None:
    """Number, currency and unit by locale; an unheard-of language is written as English."""
    tongue = language(tag)
    assert tongue.price(12.5, "GBP") == price
    assert tongue.percent_vol(19.34) == strength
    assert tongue.volume(124.0).replace("\u00a0", " ") == volume


def test_a_whole_price_drops_its_pence() -> None:
    """“£12”, as menus print it."""
    assert language("en-GB").price(12.0, "GBP") == "£12"
    assert language("de").price(12.0, "EUR") == "12\u00a0€"


def test_which_languages_have_phrases() -> None:
    """English needs none, German has a catalogue, a third stays English and says so."""
    assert known_tags() == ("en", "de")
    assert is_known("en-US")
    assert is_known("de-AT")
    assert not is_known("fr")
    assert [language(tag).lang for tag in ("en-US", "de-AT", "fr")] == ["en-US", "de-AT", "en"]


def test_languages_call_themselves_by_their_own_name() -> None:
    """A guest looks for “Deutsch”, not for “German”."""
    assert (language("de").own_name, language("en-GB").own_name) == ("Deutsch", "English")


def test_the_words_of_a_table_are_told_apart_by_what_they_are() -> None:
    """“orange” is a colour here; a word of the house's own stays as it is."""
    assert language("de").word("colour", "deep blue") == "tiefblau"
    assert language("de").word("plant", "deep blue") == "deep blue"
    assert language("de").word("colour", "house blue") == "house blue"
    assert language("de").word("colour", "") == ""


def test_figures_in_a_caution_are_written_as_the_language_writes_them() -> None:
    """The same rule, its figures with a comma; English is told as it was worked out."""
    figures = (("drink_label", "UK unit"), ("drinks", 2.66))
    one = Caution("strong", "A large or strong one: 2.7 UK units.", "", "x", figures=figures)
    assert said(one, language("en-GB")) == "A large or strong one: 2.7 UK units."
    german = said(one, language("de"))
    assert "2,7" in german
    assert "Alkoholeinheit" in german


def test_the_catalogues_are_whole() -> None:
    """The template in the tree is what extraction gives; no language lacks a phrase, keeps one
    that is gone, or loses a figure.
    """
    check = [sys.executable, ROOT / ".ci" / "catalogue.py", "--check"]
    told = subprocess.run(check, capture_output=True, text=True, check=False)
    assert (told.stdout, told.stderr) == ("", "")


@pytest.fixture
def bracketed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[str]:
    """A language made of the template alone, each of its phrases in ⟦ ⟧."""
    made = tmp_path / "qps" / "LC_MESSAGES" / "anthocard.po"
    made.parent.mkdir(parents=True)
    text = (languages.CATALOGUES / "anthocard.pot").read_text(encoding="utf-8")
    head = 'msgid ""\nmsgstr ""\n"Content-Type: text/plain; charset=utf-8\\n"\n'
    plural = '"Plural-Forms: nplurals=2; plural=(n != 1);\\n"\n\n'
    made.write_text(head + plural + _bracketed(text), encoding="utf-8")
    monkeypatch.setattr(languages, "CATALOGUES", tmp_path)
    for known in (languages.language, languages._catalogue):
        known.cache_clear()
    yield "qps"
    for known in (languages.language, languages._catalogue):
        known.cache_clear()


def _bracketed(template: str) -> str:
    """Every entry answered by its own phrase in brackets."""

    def answered(entry: str) -> str:
        parts = re.split(r"^(?=msg)", entry, flags=re.MULTILINE)
        own = {part.split(" ")[0]: part.partition(" ")[2].strip() for part in parts[1:]}
        wrapped = {key: f'"⟦"\n{text}\n"⟧"' for key, text in own.items()}
        kept = [part for part in parts if not part.startswith("msgstr")]
        if "msgid_plural" in own:
            ends = [f"msgstr[0] {wrapped['msgid']}\n", f"msgstr[1] {wrapped['msgid_plural']}\n"]
        else:
            ends = [f"msgstr {wrapped['msgid']}\n"]
        return "".join([*kept, *ends])

    return "\n\n".join(answered(entry.strip() + "\n") for entry in template.strip().split("\n\n"))


def _texts(html: str) -> Iterator[str]:
    """What a reader meets of a page: its text and what is read out, without markup or scripts."""
    html = re.sub(r"<(style|script)\b.*?</\1>|<!--.*?-->", "", html, flags=re.DOTALL)
    for text in re.findall(r'(?:aria-label|alt|data-again|data-first)="([^"]*)"', html):
        yield unescape(text)
    for text in re.split(r"<[^>]*>", html):
        if text.strip():
            yield " ".join(unescape(text).split())


#: Signs of measure, of files and of places that are the same in every language here.
SIGNS = re.compile(
    r"\b(?:mls?|cl|g|oz|tsp|pH|vol|kJ|kcal|PDF|JSON|ISO|EU|GB|K)\b|\b[Lab]\*|ΔE00|#\w{6}"
)


def _leaks(html: str, own: str) -> list[str]:
    """Words on a page that are in no brackets and are none of the house's own."""
    left = []
    for text in _texts(html):
        bare = text
        while bare != (bare := re.sub(r"⟦[^⟦⟧]*⟧", "\n", bare)):
            pass
        pieces = (SIGNS.sub(" ", piece) for piece in re.split(r"\n|, | · ", bare))
        words = (re.sub(r"^[\W\d_]+|[\W\d_]+$", "", piece) for piece in pieces)
        if any(piece and " ".join(piece.split()).casefold() not in own for piece in words):
            left.append(text)
    return left


def _own(book: Any) -> str:
    """Everything the house wrote, in its own language."""
    things = (book.house, *book.menus.values(), *book.recipes)
    texts = "\n".join(text for thing in things for text in _strings(thing))
    names = "Deutsch\nEnglish\nQps"
    return " ".join(f"{texts}\n{names}".split()).casefold()


def _strings(value: Any) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for one in value.items():
            yield from _strings(one)
    elif isinstance(value, list | tuple):
        for one in value:
            yield from _strings(one)
    elif isinstance(value, BaseModel):
        yield from _strings(dict(value))
    elif is_dataclass(value):
        yield from _strings([getattr(value, field.name) for field in fields(value)])


def test_a_new_language_is_a_catalogue_alone(
    book: Any, computed: dict[str, Computed], bracketed: str
) -> None:
    """With nothing but a catalogue every phrase of ours on the guest page is in the new language."""
    house = book.house.model_copy(update={"languages": (bracketed,)})
    made = contents(replace(book, house=house), computed, find_theme(), papers=False)
    html = made[f"guest/{bracketed}.html"]().decode()
    assert f'<html lang="{bracketed}">' in html
    assert _leaks(html, _own(book)) == []
