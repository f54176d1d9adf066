"""The papers that a publish joins or leaves out, each by itself: papers.py OUT.

Card backs and labels are published on sheets, which carry no tags; and a publish has one theme.
Here every back and label of the demo house stands alone, and each theme sets its book, menus, prep
sheet, a card and a label.
"""

from __future__ import annotations

import sys
from functools import partial
from pathlib import Path

from generator.bench.batch import batch
from generator.bench.drink import compute
from generator.bench.records import batch_sheet, deviation_sheet, probe_sheet
from generator.bench.shelf import Shelf
from generator.bench.takeoff import take_off, week_of
from generator.cellar.errors import MistakeLog
from generator.press.archive import cut
from generator.press.bar_card import print_card
from generator.press.batch_paper import batch_pdf, make_sheet
from generator.press.book import print_book
from generator.press.buying import buying_pdf, make_buying
from generator.press.card import make_card
from generator.press.labels import make_label, print_label
from generator.press.logs import logs_pdf
from generator.press.menu_paper import menu_pdf
from generator.press.prep import make_prep, par_of, prep_pdf
from generator.press.printing import book_size, card_size, label_size, sheet_size
from generator.press.theme import find_theme
from generator.recipe.book import fold
from generator.recipe.reader import read_house

out = Path(sys.argv[1])
out.mkdir(parents=True, exist_ok=True)
book = read_house(Path(__file__).parents[2] / "recipes")
house, computed = book.house, compute(book)[0]
shelf = Shelf(book, MistakeLog())
cards = {slug: make_card(one, house) for slug, one in computed.items()}
drinks = {fold(card.name): card for card in cards.values() if card.kind == "drink"}
for name in ("base", "dusk", "plain"):
    theme = find_theme(name)
    asked = list(computed) if name == "base" else ["squall-line", "set-fair", "fruit-acid"]
    for slug in asked:
        one, card, at = computed[slug], cards[slug], partial(book.at, computed[slug].recipe)
        if one.is_drink:
            both = print_card(card, one, theme, card_size(house), at)
            (out / f"{name}-front-{slug}.pdf").write_bytes(cut(both.front))
            (out / f"{name}-back-{slug}.pdf").write_bytes(cut(both.back))
        else:
            label = make_label(one, card, house)
            paper = label_size(house).label
            (out / f"{name}-label-{slug}.pdf").write_bytes(print_label(label, paper, theme, at(())))
    for menu in book.menus.values():
        for form in ("folded", "long"):
            pdf = menu_pdf(menu, drinks, house, theme, form)
            (out / f"{name}-menu-{form}.pdf").write_bytes(pdf)
    prep = make_prep(computed, book, par_of(book))
    (out / f"{name}-prep.pdf").write_bytes(prep_pdf(prep, theme, sheet_size(house)))
    line = computed["squall-line"]
    batched = make_sheet(line, batch(line, 20, book, shelf), house)
    week, sheet = week_of(book), sheet_size(house)
    buying = make_buying(take_off(computed, book, shelf, week), week, house)
    logs = [batch_sheet(computed["fruit-acid"]), probe_sheet(), deviation_sheet()]
    (out / f"{name}-batch.pdf").write_bytes(batch_pdf(batched, theme, sheet))
    (out / f"{name}-buy.pdf").write_bytes(buying_pdf(buying, theme, sheet))
    (out / f"{name}-logs.pdf").write_bytes(logs_pdf(logs, house, theme, sheet))
    bound = print_book(book, computed, cards, theme, {}, book_size(house))
    (out / f"{name}-book.pdf").write_bytes(bound)
