"""Houses of chance whose papers are hard to set, and an outside eye on where their words lie.

Belongs here: names of sixty letters, long prices, many allergens; and reading finished papers with
Poppler, which knows nothing of how they were set. Run by hand over as many houses as wanted:

    python -m tests.press.fuzzed 300        (with a second number: from that house on)

Each house is set in every theme, its card in every size; 6 s of processor a house and theme.
"""

from __future__ import annotations

import re
import subprocess
import sys
from collections import Counter
from collections.abc import Callable, Coroutine, Iterator
from dataclasses import replace
from functools import partial
from itertools import product
from random import Random
from types import SimpleNamespace
from typing import Any, TypeAlias

import pypdfium2
from anthocard.diagnostics.diagnostic import AuthorError, Place
from anthocard.facts.law.allergens import AllergenState
from anthocard.guard.rubbish import look_seldom
from anthocard.house.collection import fold
from anthocard.house.model import Menu
from anthocard.house.settings import House
from anthocard.press.base import sizes as papers
from anthocard.press.base.languages import Language, language
from anthocard.press.base.sizes import Paper
from anthocard.press.base.theme import Theme, find_theme
from anthocard.press.paper.archive import cut
from anthocard.press.paper.bar_cards import print_card
from anthocard.press.paper.forms import batch_pdf, buying_pdf, logs_pdf, prep_pdf
from anthocard.press.paper.job import HERE
from anthocard.press.paper.label_sheets import is_small, print_label
from anthocard.press.paper.lost_words import TOUCH_MM
from anthocard.press.paper.menus.menu_papers import menu_pdf
from anthocard.press.proof.letters import BREAKS
from anthocard.press.proof.set_ahead import FULL_LETTERS, FULL_LINES, LONG_LETTERS, letters_on
from anthocard.press.words import (
    batch_sheet as batch_words,
    buying as buying_words,
    log_sheets,
    prep_sheet as prep_words,
)
from anthocard.press.words.bottle_label import Label
from anthocard.press.words.card import Card, lines_of, make_card
from anthocard.press.words.spec import Figure

Box: TypeAlias = tuple[float, ...]  # left, one edge, right, the other
THEMES = ("base", "dusk", "plain", "almanac")
SAFE_MM = 3.0
#: Of a word's box in Poppler, a face's ascent to its descent (hhea: Fira Sans 0.935 and 0.265 em,
#: Spectral 1.059 and 0.463), this share holds ink whichever of them it is: from the capitals down
#: to half of the tails.
INK_TOP, INK_LOW = 0.21, 0.86
#: A tail and an accent of lines set close may share so much, as in paper/lost_words.py.
TOUCH_PT = TOUCH_MM / 25.4 * 72
BOX = re.compile(r'<word xMin="(.+?)" yMin="(.+?)" xMax="(.+?)" yMax="(.+?)">(.*?)</word>')
MINCED = (
    "Donaudampfschifffahrtsgesellschaftskapitänsmützenabzeichenblau",
    "Überschwemmungsgebietsverordnungsentwurfsänderungsantragsrosen",
)
WORDS = [
    "long",
    "slow",
    "weather",
    "rises",
    "under",
    "the",
    "pale",
    "northern",
    "glass",
    "and",
    "turns",
    "again",
    "before",
    "rain",
]
ALLERGENS = (
    "cereals with gluten", "crustaceans", "eggs", "fish", "peanuts", "soya", "milk", "nuts",
    "celery", "mustard", "sesame", "sulphites", "lupin", "molluscs",
)  # fmt: skip


def name_of_chance(chance: Random, most: int = 60) -> str:
    """Up to `most` letters: a few words, one word that has no end, or both."""
    if chance.random() < 0.25:
        return chance.choice(MINCED)[:most]
    said = chance.choice(WORDS).capitalize()
    while len(said) < chance.randint(8, most):
        said += " " + chance.choice(WORDS)
    return said[:most].strip()


def drink_of_chance(by_hand: SimpleNamespace, house: House, seed: int) -> tuple[Card, Any]:
    """A drink that nobody would serve, as a card and computed."""
    chance = Random(seed)
    pours = tuple(
        by_hand.measure(
            name_of_chance(chance, chance.choice((14, 22, 30))), 2.5 * chance.randint(1, 30)
        )
        for _ in range(chance.randint(1, 9))
    )
    held = chance.sample(ALLERGENS, chance.randint(0, 9))
    told = tuple(AllergenState(one, one, "contains", "chance") for one in held)
    drink = by_hand.drink(
        name=name_of_chance(chance), garnish=(name_of_chance(chance, 30),),
        price=round(chance.choice((8, 12.5, 1234.5, 123456.75)), 2),
    )  # fmt: skip
    one = by_hand.compute(drink, measures=pours, allergens=told, slug=f"drink-{seed}")
    return make_card(one, house), one


def papers_of_chance(
    by_hand: SimpleNamespace,
    house: House,
    seed: int,
    sizes: tuple[str, ...] | None = None,
    look: str = "",
) -> Iterator[tuple[str, bytes, bool]]:
    """Papers of one house of chance in one theme: what each is, the PDF as cut, whether trimmed.

    What is refused must be among what proofread sets ahead; each is then told by its name.
    """
    chance, theme = Random(seed), find_theme(look or THEMES[seed % len(THEMES)])
    drinks = [drink_of_chance(by_hand, house, 1000 * seed + n) for n in range(chance.randint(1, 9))]
    for size in sizes or papers.names("cards"):
        card, one = drinks[0]
        try:
            made = HERE.now(print_card(card, one, theme, papers.card_paper(size), _at))
        except AuthorError as refused:
            usual = size in ("A6", "4x6")  # those a publish prints
            _require_a_reason(refused, card.name, not usual or _card_set_ahead(card))
            yield f"{theme.name} {size} refused", b"", True
            continue
        yield f"{theme.name} {size} front", cut(made.front), True
        yield f"{theme.name} {size} back", cut(made.back), True
    cards = {fold(f"n{n}"): card for n, (card, _) in enumerate(drinks)}
    half = -(-len(drinks) // 2)
    parts = [range(half), range(half, len(drinks))]
    sections = [
        {"name": name_of_chance(chance), "drinks": [f"n{n}" for n in part]}
        for part in parts
        if part
    ]
    menu = Menu.model_validate(
        {"name": name_of_chance(chance), "sections": tuple(sections)}, strict=False
    )
    for format_ in papers.names("menus"):
        pdf = HERE.now(menu_pdf(menu, cards, house, theme, format_))
        yield f"{theme.name} menu {format_}", cut(pdf), True
    sheet = chance.choice(papers.names("labels"))
    label = Label(
        name=name_of_chance(chance), house=house.name, edition="4F2A", language="en",
        statement="ACID: do not drink neat", warning=True, strength="55 g/l citric acid",
        made="", discard="", within="by day 14, day of making is day 1", lot="",
        store="5 °C or colder, dark", allergens=f"Contains {', '.join(ALLERGENS[:5])}.",
        free=False, hazard="pH 1.8: splashes hurt eyes.", chip="", qr="",
    )  # fmt: skip
    size = papers.label_sheet(sheet).label
    try:
        pdf = HERE.now(print_label(label, size, theme, Place("recipes/x.md")))
    except AuthorError as refused:
        full = is_small(size) or letters_on(label) > FULL_LETTERS
        seen = full or _longest(label.name) > LONG_LETTERS
        _require_a_reason(refused, label.name, seen)
    else:
        yield f"{theme.name} label {sheet}", pdf, False
    paper = papers.sheet_paper(chance.choice(("A4", "Letter")))
    sheets = list(_sheets_of_chance(chance, house, theme, paper))
    what, make = sheets[seed % len(sheets)]
    yield f"{theme.name} {what} {paper.name}", HERE.now(make()), True


def _sheets_of_chance(
    chance: Random, house: House, theme: Theme, paper: Paper
) -> Iterator[tuple[str, Callable[[], Coroutine[Any, Any, bytes]]]]:
    """Every sheet of the back room, on words of chance."""

    def name() -> str:
        return name_of_chance(chance, chance.choice((14, 30, 60)))

    def some(most: int) -> tuple[str, ...]:
        return tuple(name() for _ in range(chance.randint(0, most)))

    serves = tuple((one, str(chance.randint(1, 900))) for one in some(9))
    tasks = [
        prep_words.Task(
            name=name(), kind="preparation", edition="4F2A9C", need="12345 ml",
            weights=tuple(prep_words.Weight(one, "12345 g", "12.35 litres") for one in some(12)),
            steps=some(9), written=name(), warnings=some(4),
            points=tuple(prep_words.Point(one, name()) for one in some(7)),
            put_away=tuple(prep_words.Point(one, name()) for one in some(5)),
        )
        for _ in range(chance.randint(1, 9))
    ]  # fmt: skip
    prep = prep_words.Prep(
        house.name, "en", serves, (prep_words.Day(name(), tuple(tasks)),),
        tuple((one, "12345 ml") for one in some(40)),
    )  # fmt: skip
    yield "prep", partial(prep_pdf, prep, theme, paper)
    items = tuple(
        buying_words.Item(one, "1234.5 ml", "123.4 packs", "123 × 700 ml", name(), "1234.56")
        for one in some(40)
    )
    orders = tuple(buying_words.Order(name(), items[n : n + 6]) for n in range(0, len(items), 6))
    buying = buying_words.Buying(
        house.name, "en", name(), serves, orders, items[:3], items[:2],
        tuple((one, "12345 ml") for one in some(20)), name(), name(),
    )  # fmt: skip
    yield "buy", partial(buying_pdf, buying, theme, paper)
    lines = tuple(batch_words.SheetLine(one, "12345 g", "12.35 litres") for one in some(12))
    sheet = batch_words.Sheet(
        title=name(), house=house.name, language="en", edition="4F2A9C", wanted=name(),
        made="31 Dec 2026", lot="261231-A", discard="", lines=lines, makes=name(), notes=some(2),
        points=tuple(Figure(one, name()) for one in some(7)), bottling=some(3), service=some(3),
        keeping=some(5), cautions=some(9), brought_down=lines[:2], brought_to=name(),
        steps=some(9), written=name(),
    )  # fmt: skip
    yield "batch", partial(batch_pdf, sheet, theme, paper)
    targets = tuple((one, name()) for one in some(6))
    log = replace(log_sheets.deviation_log(language("en")), of=name(), targets=targets)
    yield (
        "logs",
        partial(logs_pdf, [log, log_sheets.probe_log(language("en"))], house, theme, paper),
    )


def _at(loc: tuple[str | int, ...]) -> Place:
    return Place("recipes/drinks/chance.md", text=".".join(map(str, loc)))


def _card_set_ahead(card: Card) -> bool:
    """Whether proofread would set the card, and so tell what is refused here."""
    written = (card.name, *card.garnish, *(pour.name for pour in card.pours))
    full = lines_of(card) + len(card.holds) / 120 > FULL_LINES
    return full or max(map(_longest, written)) > LONG_LETTERS


def _longest(text: str) -> int:
    return max(map(len, BREAKS.split(text)))


def _require_a_reason(refused: AuthorError, name: str, told: bool) -> None:
    """A refusal of one paper alone, which tells its name and is `told` while proofreading."""
    assert told, f"proofread would not have set “{name}”"
    for mistake in refused.mistakes:
        assert mistake.kind in ("card-too-full", "lost-words"), mistake
        assert name in mistake.message, mistake


def faults(pdf: bytes, safe_mm: float = SAFE_MM) -> list[str]:
    """Words nearer to the trim than they may be, and words over words, by Poppler's boxes."""
    done = subprocess.run(
        ["pdftotext", "-cropbox", "-bbox", "-", "-"], input=pdf, capture_output=True, check=True
    )
    found = []
    for number, page in enumerate(re.split(r"<page ", done.stdout.decode())[1:]):
        size = re.match(r'width="(.+?)" height="(.+?)"', page)
        assert size
        wide, tall, safe = float(size[1]), float(size[2]), safe_mm / 25.4 * 72
        words = [(tuple(map(float, box[:4])), box[4]) for box in BOX.findall(page)]
        inks, over = [], False
        for (left, top, right, low), word in words:
            high = low - top
            ink = left, top + INK_TOP * high, right, top + INK_LOW * high
            off = max(safe - ink[0], ink[2] - wide + safe, safe - ink[1], ink[3] - tall + safe)
            if off > 0.2:
                found.append(f"“{word}” {off / 72 * 25.4:.2f} mm beyond the safe area")
            inks.append(ink)
        for n, one in enumerate(inks):
            over = over or any(_share(one, other, 1.0, 1.2) for other in inks[n + 1 :])
        if over:  # a turned word's box is no measure of its ink: letters are
            found += _letters_over(pdf, number)
    return found


def _share(a: Box, b: Box, across: float, down: float) -> bool:
    return min(a[2], b[2]) - max(a[0], b[0]) > across and min(a[3], b[3]) - max(a[1], b[1]) > down


def _letters_over(pdf: bytes, number: int) -> list[str]:
    """Letters of one word over those of another, by the ink that pdfium reads of each."""
    document = pypdfium2.PdfDocument(pdf)
    text = document[number].get_textpage()
    words: list[tuple[str, list[Box]]] = [("", [])]
    for index, letter in enumerate(text.get_text_range()):
        if letter.isspace():
            words.append(("", []))
        elif letter not in ",.":  # one tucks under the letter before, of another word as some read
            said, boxes = words[-1]
            words[-1] = said + letter, [*boxes, text.get_charbox(index)]
    document.close()
    words = [word for word in words if word[1]]
    found, ends = [], [_around(boxes) for _, boxes in words]
    for n, (one, boxes) in enumerate(words):
        for m, (other, theirs) in enumerate(words[n + 1 :], start=n + 1):
            near = _share(ends[n], ends[m], 0.5, 0.5)
            if near and any(_share(a, b, 0.5, TOUCH_PT) for a in boxes for b in theirs):
                found.append(f"“{one}” over “{other}”")
    return found


def _around(boxes: list[Box]) -> Box:
    left, low, right, top = zip(*boxes, strict=True)
    return min(left), min(low), max(right), max(top)


def main(houses: int, first: int = 0) -> int:
    """Set so many houses in every theme and tell what is found; 1 if anything is."""
    from tests.press import conftest

    by_hand = SimpleNamespace(
        drink=conftest.make_drink, compute=conftest.compute, measure=conftest.measure
    )
    house = conftest.house.__wrapped__()  # type: ignore[attr-defined]
    count, wrong = Counter[str](), 0
    for seed, look in product(range(first, first + houses), THEMES):
        way = "rtl" if seed % 3 == 2 else "ltr"  # each third house is read from the right
        Language.runs = property(lambda _, way=way: way)
        try:
            for what, pdf, trimmed in papers_of_chance(by_hand, house, seed, look=look):
                count[what.split(" ", 1)[1]] += 1
                for fault in faults(pdf, SAFE_MM if trimmed else 0.5) if pdf else ():
                    wrong += 1
                    print(seed, what, fault, flush=True)
        except (AuthorError, AssertionError) as error:
            wrong += 1
            print(seed, look, "refused where nothing may be:", error, flush=True)
    print(f"{houses} houses, {sum(count.values())} papers, {wrong} faults; {dict(count)}")
    return int(wrong > 0)


if __name__ == "__main__":
    look_seldom()
    sys.exit(main(*map(int, sys.argv[1:3])))
