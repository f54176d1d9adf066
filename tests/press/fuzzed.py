"""Houses of chance whose papers are hard to set, and an outside eye on where their words lie.

Belongs here: names of sixty letters, long prices, many allergens; and reading finished papers with
Poppler, which knows nothing of how they were set. Run by hand over as many houses as wanted:

    python -m tests.press.fuzzed 300
"""

from __future__ import annotations

import re
import subprocess
import sys
from collections import Counter
from collections.abc import Iterator
from random import Random
from types import SimpleNamespace
from typing import Any

from anthocard.diagnostics.diagnostic import AuthorError, Place
from anthocard.facts.law.allergens import AllergenState
from anthocard.house.collection import fold
from anthocard.house.model import Menu
from anthocard.house.settings import House
from anthocard.press.base import sizes as papers
from anthocard.press.base.theme import find_theme
from anthocard.press.paper.archive import cut
from anthocard.press.paper.bar_cards import print_card
from anthocard.press.paper.job import HERE
from anthocard.press.paper.label_sheets import print_label
from anthocard.press.paper.menu_papers import menu_pdf
from anthocard.press.words.bottle_label import Label
from anthocard.press.words.card import Card, make_card

THEMES = ("base", "dusk", "plain", "almanac")
SAFE_MM = 3.0
#: Of a word's box in Poppler, a face's ascent to its descent (hhea: Fira Sans 0.935 and 0.265 em,
#: Spectral 1.059 and 0.463), this share holds ink whichever of them it is: from the capitals down
#: to half of the tails.
INK_TOP, INK_LOW = 0.21, 0.86
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
    by_hand: SimpleNamespace, house: House, seed: int, sizes: tuple[str, ...] | None = None
) -> Iterator[tuple[str, bytes, bool]]:
    """Papers of one house of chance in one theme: what each is, the PDF as cut, whether trimmed."""
    chance, theme = Random(seed), find_theme(THEMES[seed % len(THEMES)])
    drinks = [drink_of_chance(by_hand, house, 1000 * seed + n) for n in range(chance.randint(1, 9))]
    for size in sizes or papers.names("cards"):
        card, one = drinks[0]
        try:
            made = HERE.now(print_card(card, one, theme, papers.card_paper(size), _at))
        except AuthorError as refused:
            _require_a_reason(refused, card.name)
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
        hazard="pH 1.8: splashes hurt eyes.", chip="", qr="",
    )  # fmt: skip
    try:
        pdf = HERE.now(
            print_label(label, papers.label_sheet(sheet).label, theme, Place("recipes/x.md"))
        )
    except AuthorError as refused:
        _require_a_reason(refused, label.name)
    else:
        yield f"{theme.name} label {sheet}", pdf, False


def _at(loc: tuple[str | int, ...]) -> Place:
    return Place("recipes/drinks/chance.md", text=".".join(map(str, loc)))


def _require_a_reason(refused: AuthorError, name: str) -> None:
    """A refusal of one paper alone, which tells its name."""
    for mistake in refused.mistakes:
        assert mistake.kind in ("card-too-full", "lost-words"), mistake
        assert name in mistake.message, mistake


def faults(pdf: bytes, safe_mm: float = SAFE_MM) -> list[str]:
    """Words nearer to the trim than they may be, and words over words, by Poppler's boxes."""
    done = subprocess.run(
        ["pdftotext", "-cropbox", "-bbox", "-", "-"], input=pdf, capture_output=True, check=True
    )
    found = []
    for page in re.split(r"<page ", done.stdout.decode())[1:]:
        size = re.match(r'width="(.+?)" height="(.+?)"', page)
        assert size
        wide, tall, safe = float(size[1]), float(size[2]), safe_mm / 25.4 * 72
        words = [(tuple(map(float, box[:4])), box[4]) for box in BOX.findall(page)]
        inks = []
        for (left, top, right, low), word in words:
            high = low - top
            ink = left, top + INK_TOP * high, right, top + INK_LOW * high
            off = max(safe - ink[0], ink[2] - wide + safe, safe - ink[1], ink[3] - tall + safe)
            if off > 0.2:
                found.append(f"“{word}” {off / 72 * 25.4:.2f} mm beyond the safe area")
            inks.append((ink, word))
        for n, (a, one) in enumerate(inks):
            for b, other in inks[n + 1 :]:
                across = min(a[2], b[2]) - max(a[0], b[0])
                down = min(a[3], b[3]) - max(a[1], b[1])
                if across > 1.0 and down > 1.2:
                    found.append(f"“{one}” over “{other}”")
    return found


def main(houses: int) -> int:
    """Set so many houses and tell what Poppler finds; 1 if anything is."""
    from tests.press import conftest

    by_hand = SimpleNamespace(
        drink=conftest.make_drink, compute=conftest.compute, measure=conftest.measure
    )
    house = conftest.house.__wrapped__()  # type: ignore[attr-defined]
    count, wrong = Counter[str](), 0
    for seed in range(houses):
        for what, pdf, trimmed in papers_of_chance(by_hand, house, seed):
            count[what.split(" ", 1)[1].split()[-1]] += 1
            for fault in faults(pdf, SAFE_MM if trimmed else 0.5) if pdf else ():
                wrong += 1
                print(seed, what, fault, flush=True)
    print(f"{houses} houses, {sum(count.values())} papers, {wrong} faults; {dict(count)}")
    return int(wrong > 0)


if __name__ == "__main__":
    sys.exit(main(int(sys.argv[1])))
