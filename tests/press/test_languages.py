"""Languages: what pages and papers say of their own, and how figures are written."""

import re
import subprocess
import sys
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import fields, is_dataclass, replace
from datetime import date
from html.parser import HTMLParser
from io import BytesIO
from pathlib import Path
from typing import Any

import anthocard
import pikepdf
import pytest
from anthocard.diagnostics.diagnostic import MistakeLog
from anthocard.engine.mix.shelf import Shelf
from anthocard.engine.results import Caution, Computed
from anthocard.engine.trade.batching import times
from anthocard.engine.trade.demand import take_off, week_of
from anthocard.house.collection import fold
from anthocard.house.settings import House
from anthocard.press.base import languages
from anthocard.press.base.languages import is_known, known_tags, language
from anthocard.press.base.theme import find_theme
from anthocard.press.build.plan import contents
from anthocard.press.paper import spec_book
from anthocard.press.paper.card_page import card_page
from anthocard.press.paper.house_papers import book_size
from anthocard.press.paper.job import HERE
from anthocard.press.paper.menus.menu_page import menu_html
from anthocard.press.paper.numbering import Begins
from anthocard.press.words.back import make_back
from anthocard.press.words.batch_sheet import make_sheet
from anthocard.press.words.bottle_label import make_label
from anthocard.press.words.buying import make_buying
from anthocard.press.words.card import make_card
from anthocard.press.words.caution_words import spoken
from anthocard.press.words.history import shown, written_on
from anthocard.press.words.log_sheets import batch_log, deviation_log, probe_log
from anthocard.press.words.prep_sheet import make_prep, par_of
from babel.messages.pofile import read_po
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
    """English needs none, German and French have a catalogue, another stays English and says so."""
    assert known_tags() == ("en", "de", "fr")
    assert is_known("en-US")
    assert is_known("de-AT")
    assert not is_known("pl")
    assert [language(tag).lang for tag in ("en-US", "de-AT", "pl")] == ["en-US", "de-AT", "en"]


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
    figures = (("drink_label", "UK unit"), ("drinks", 2.66), ("ethanol_g", 21.0))
    one = Caution("alcohol", "", "2.7 UK units (21 g of alcohol).", "x", figures=figures)
    assert spoken((one,), (), language("en-GB")) == (one,)
    (german,) = spoken((one,), (), language("de"))
    assert german.staff.startswith("2,7 britische Alkoholeinheiten (21 g Alkohol).")
    assert german.guest == ""


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


class _Reader(HTMLParser):
    """Notes what a reader meets of a page, in the language that is declared for it."""

    SPOKEN = ("aria-label", "alt", "title", "content", "data-again", "data-first", "data-all",
              "data-some", "data-one", "data-many", "data-litres")  # fmt: skip

    def __init__(self) -> None:
        super().__init__()
        self.open: list[tuple[str, str]] = []
        self.met: list[tuple[str, str]] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        values = dict(attrs)
        lang = values.get("lang") or (self.open[-1][1] if self.open else "")
        of_words = tag != "meta" or values.get("name") == "description"
        for name in self.SPOKEN:
            if of_words and values.get(name):
                self.met.append((str(values[name]), lang))
        if tag not in VOID:
            self.open.append((tag, lang))

    def handle_endtag(self, tag: str) -> None:
        while self.open and self.open.pop()[0] != tag:
            pass

    def handle_data(self, data: str) -> None:
        if self.open and self.open[-1][0] not in ("style", "script") and data.strip():
            self.met.append((" ".join(data.split()), self.open[-1][1]))


VOID = {"meta", "link", "br", "hr", "input", "img", "rect", "path", "stop", "line", "circle",
        "ellipse", "use"}  # fmt: skip


def _met(html: str) -> list[tuple[str, str]]:
    """Each text of a page and what language it is declared in."""
    reader = _Reader()
    reader.feed(html)
    return reader.met


#: Signs of measure, of files and of months (those are Babel's) that are in no catalogue.
SIGNS = re.compile(
    r"\b(?:ml|cl|g/l|g|oz|pH|vol|kJ|kcal|PDF|JSON|K|h|GBP|US|Jan|Feb|Nov)\b|[Lab]\*|ΔE00|#[0-9a-f]{6}"
)


def _leaks(html: str, own: str) -> list[str]:
    """Words on a page that are in no brackets, none of the house's own, not told as English or Latin.

    A sentence cut short may lack its second bracket, a word set on two lines has one on each.
    """
    left = []
    for text, lang in _met(html):
        bare = "" if lang in ("en", "la") else text  # names of plants are Latin anywhere
        while bare != (bare := re.sub(r"⟦[^⟦⟧]*⟧", "\n", bare)):
            pass
        bare = re.sub(r"⟦.*|.*⟧", "\n", bare)
        for piece in re.split(r"\n|, | · |: ", bare):
            told = (_trimmed(piece), _trimmed(SIGNS.sub(" ", piece)))
            if not any(words.casefold() in own for words in told):
                left.append(text)
    return left


def _trimmed(text: str) -> str:
    text = text.replace("’", "'")  # papers set what a house typed
    return " ".join(re.sub(r"^[^a-zA-ZÀ-ÖØ-öø-ɏ]+|[^a-zA-ZÀ-ÖØ-öø-ɏ]+$", "", text).split())


def _own(collection: Any) -> str:
    """Everything the house wrote, in its own language."""
    things = (
        collection.house,
        *collection.menus.values(),
        *collection.recipes,
        *collection.stock.values(),
    )
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


@pytest.fixture(scope="module")
def demo() -> tuple[Any, Any]:
    """The demo house, read and worked out."""
    collection = anthocard.read(ROOT / "recipes")
    return collection, anthocard.compute(collection)


def _in(collection: Any, tag: str) -> Any:
    return replace(
        collection, house=collection.house.model_copy(update={"language": tag, "languages": ()})
    )


def _pages(collection: Any, computed: Any) -> Iterator[tuple[str, str]]:
    """Every page for a screen; of each paper of cards, labels and menus the page it is set from."""
    house, theme = collection.house, find_theme()
    cards = {slug: make_card(one, house) for slug, one in computed.items()}
    for slug, one in computed.items():
        if one.is_drink:
            for name in ("base", "dusk", "plain", "almanac"):
                yield f"card of {slug}, {name}", card_page(cards[slug], find_theme(name), "even")
            back = {"card": cards[slug], "back": make_back(one, cards[slug]), "fit": "even"}
            yield f"back of {slug}", theme.render_paper("card_back.html", back, house.language)
        elif one.keeping is not None:
            label = make_label(one, cards[slug], house, date(2026, 11, 9))
            values = {"label": label, "fit": "grand"}
            yield f"label of {slug}", theme.render("label.html", values, house.language)
    by_name = {fold(card.name): card for card in cards.values()}
    for menu in collection.menus.values():
        yield menu.name, menu_html(menu, by_name, house, theme, "folded", "cover")
    prep = make_prep(computed, collection, par_of(collection))
    yield "prep", theme.render("prep.html", {"prep": prep, "fit": ""}, house.language)
    week = week_of(collection)
    take = take_off(computed, collection, Shelf(collection, MistakeLog()), week)
    buying = make_buying(take, week, house, date(2026, 11, 9))
    yield "buying", theme.render("buy.html", {"buying": buying, "fit": ""}, house.language)
    tongue = language(house.language)
    logs = [batch_log(one, tongue) for one in computed.values() if not one.is_drink]
    logs += [probe_log(tongue), deviation_log(tongue)]
    yield "logs", theme.render("log.html", {"sheets": logs, "house": house.name}, house.language)
    shelf = Shelf(collection, MistakeLog())
    for slug in ("squall-line", "frost-acid"):
        sheet = make_sheet(computed[slug], times(computed[slug], 9, collection, shelf), house)
        yield (
            f"batch of {slug}",
            theme.render("batch.html", {"sheet": sheet, "fit": ""}, house.language),
        )
    for number, html in enumerate(_book(collection, computed, cards, _ledger(cards, computed))):
        yield f"book, part {number}", html
    for path, make in contents(collection, computed, theme, papers=False).items():
        if path.endswith(".html"):
            yield path, HERE.now(HERE.get(make)).decode()


def _limits(computed: Any) -> Iterator[Any]:
    return (limit for one in computed.values() if one.keeping for limit in one.keeping.limits)


def _ledger(cards: Any, computed: Any) -> dict[str, Any]:
    """As if each recipe had been another before: its first amount and every figure changed."""
    now = {slug: shown(card, computed[slug]) for slug, card in cards.items()}
    was = {
        slug: {**one, "edition": "before", "amounts": {}, "figures": {
            "pH before": [5.05], "strength before": 1.25, "colour before": "blue",
        }}
        for slug, one in now.items()
    }  # fmt: skip
    return written_on(written_on({}, was), now)


def _book(collection: Any, computed: Any, cards: Any, ledger: Any) -> list[str]:
    """Every page of the spec book as it is set, without setting it."""
    seen: list[str] = []

    async def record(page: Any, *_: Any, **_more: Any) -> bytes:
        seen.append(page())
        return b""

    async def each_part(cover: Any, inside: Any, body: Any, back: Any, put: Any, *_: Any) -> bytes:
        for part in (cover, inside, *body, back):
            await put(part, Begins(1), defaultdict(lambda: 1))
        return b""

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(spec_book, "paper_pdf", record)
        patch.setattr(spec_book, "number_and_bind", each_part)
        paper = book_size(collection.house)
        HERE.now(spec_book.print_book(collection, computed, cards, find_theme(), ledger, paper))
    return seen


def test_a_new_language_is_a_catalogue_alone(demo: tuple[Any, Any], bracketed: str) -> None:
    """With nothing but a catalogue every phrase of ours is in the new language: guest page, menus,
    cards and their backs, labels, spec pages. What is not is declared as English where it stands.
    """
    collection, computed = _in(demo[0], bracketed), demo[1]
    told = [one.edition for one in computed.values()]  # and citations, which stay as they are
    told += [one.source.partition(":")[0] for one in _limits(computed)]
    told += ["contains it", "may contain it"]  # of a phrase that has bold words in it
    lots = (lot for one in collection.recipes for lot in collection.lots_of(one.name))
    told += [language(bracketed).day(lot.made) for lot in lots]  # as the locale writes days
    own, seen = _own(collection) + " ".join(told).casefold(), 0
    for name, html in _pages(collection, computed):
        assert f'<html lang="{bracketed}"' in html, name
        assert _leaks(html, own) == [], name
        seen += html.count("⟦")
    assert seen > 5000


def test_a_german_house_says_nothing_in_english(demo: tuple[Any, Any]) -> None:
    """No phrase of the catalogue stands on a page or paper as it is in English, and no figure with
    an English point; what is English is declared so. What a house calls its own bottles is its word
    on the bar's papers, though a guest page may know the same word as a phrase.
    """
    collection, computed = _in(demo[0], "de"), demo[1]
    english = _phrases() - {item.name for item in collection.stock.values()}
    for name, html in _pages(collection, computed):
        assert '<html lang="de"' in html, name
        for text, lang in _met(html):
            if lang == "de" and text != "Method":  # a heading of the house's own, in the book
                assert not english & {text, text.rstrip(".:")}, f"{name}: {text}"
        facts = re.findall(r'<p class="(?:ph|facts|strength)">(.*?)</p>', html)
        assert not [told for told in facts if re.search(r"\d\.\d", told)], name


def _phrases() -> set[str]:
    """Every phrase whose German is another."""
    with (languages.CATALOGUES / "de" / "LC_MESSAGES" / "anthocard.po").open("rb") as file:
        known = read_po(file, locale="de")
    return {one.id for one in known if isinstance(one.id, str) and one.id and one.id != one.string}


@pytest.mark.parametrize(
    ("tag", "declared"), [("de", "de"), ("en-GB", "en-GB"), ("fr", "fr"), ("pl", "en")]
)
def test_a_paper_declares_the_language_of_its_words(
    frost: Computed, house: House, tag: str, declared: str
) -> None:
    """/Lang of the PDF's catalogue is that of the phrases; a house's own words in another language
    say which.
    """
    card = make_card(frost, house.model_copy(update={"language": tag}))
    with pikepdf.open(BytesIO(anthocard.print(card))) as pdf:
        assert str(pdf.Root.Lang) == declared
    own = re.findall(r'<h1 dir="auto"([^>]*)>', anthocard.render(card))
    assert own == [' lang="pl"' if tag == "pl" else ""]


def test_a_guest_page_declares_what_is_not_translated(
    collection: Any, computed: dict[str, Computed]
) -> None:
    """On the German page the names a house left in its own language are declared in it."""
    house = collection.house.model_copy(update={"languages": ("de",)})
    made = contents(replace(collection, house=house), computed, find_theme(), papers=False)
    html = HERE.now(HERE.get(made["guest/de.html"])).decode()
    named = dict(_met(html))
    assert named["First Frost"] == house.language
    assert named["Zu den Drinks"] == "de"
