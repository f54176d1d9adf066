"""The papers that a publish joins or leaves out, each by itself: papers.py OUT THEME.

Card backs and labels are published on sheets, which carry no tags; and a publish has one theme,
base, whose cards, book and menus, with their pictures, are read from the build. Here every back
and label of the demo house stands alone in base; another theme sets its menus, and of its book,
cards and labels a few. All set forms.
"""

from __future__ import annotations

import sys
from functools import partial
from pathlib import Path

from anthocard.diagnostics.diagnostic import MistakeLog
from anthocard.engine.compute import compute
from anthocard.engine.mix.shelf import Shelf
from anthocard.engine.trade.batching import batch
from anthocard.engine.trade.demand import take_off, week_of
from anthocard.house.collection import fold
from anthocard.house.reader import read_house
from anthocard.press.base.languages import language
from anthocard.press.base.theme import find_theme
from anthocard.press.paper.archive import cut
from anthocard.press.paper.bar_cards import print_card
from anthocard.press.paper.forms import batch_pdf, buying_pdf, logs_pdf, prep_pdf
from anthocard.press.paper.house_papers import book_size, card_size, label_size, sheet_size
from anthocard.press.paper.job import HERE
from anthocard.press.paper.label_sheets import print_label
from anthocard.press.paper.menus.menu_papers import FORMATS, menu_pdf
from anthocard.press.paper.spec_book import print_book
from anthocard.press.plates.condition import read_condition
from anthocard.press.plates.conversion import press_ready
from anthocard.press.plates.inks import Inks
from anthocard.press.words.batch_sheet import make_sheet
from anthocard.press.words.bottle_label import make_label
from anthocard.press.words.buying import make_buying
from anthocard.press.words.card import make_card
from anthocard.press.words.log_sheets import batch_log, deviation_log, probe_log
from anthocard.press.words.prep_sheet import make_prep, par_of

out, name = Path(sys.argv[1]), sys.argv[2]
out.mkdir(parents=True, exist_ok=True)
collection = read_house(Path(__file__).parents[2] / "recipes")
house, computed = collection.house, compute(collection)[0]
shelf, tongue = Shelf(collection, MistakeLog()), language(house.language)
cards = {slug: make_card(one, house) for slug, one in computed.items()}
drinks = {fold(card.name): card for card in cards.values() if card.kind == "drink"}
# A general profile that comes with Ghostscript: papers for a press keep both standards.
profile = Path("/usr/share/color/icc/ghostscript/default_cmyk.icc")
inks = Inks(read_condition(profile.read_bytes(), "CGATS TR 001")) if profile.is_file() else None
theme = find_theme(name)
of_the_build = name == "base"
asked = list(computed) if of_the_build else ["squall-line", "set-fair", "fruit-acid"]
for slug in asked:
    one, card, at = computed[slug], cards[slug], partial(collection.at, computed[slug].recipe)
    if one.is_drink:
        both = HERE.now(print_card(card, one, theme, card_size(house), at))
        if not of_the_build:
            (out / f"{name}-front-{slug}.pdf").write_bytes(cut(both.front))
        (out / f"{name}-back-{slug}.pdf").write_bytes(cut(both.back))
        if inks is not None:
            (out / f"{name}-press-{slug}.pdf").write_bytes(press_ready(both.front, inks))
    else:
        label = make_label(one, card, house)
        paper = label_size(house).label
        (out / f"{name}-label-{slug}.pdf").write_bytes(
            HERE.now(print_label(label, paper, theme, at(())))
        )
prep = make_prep(computed, collection, par_of(collection))
(out / f"{name}-prep.pdf").write_bytes(HERE.now(prep_pdf(prep, theme, sheet_size(house))))
line = computed["squall-line"]
batched = make_sheet(line, batch(line, 20, collection, shelf), house)
week, sheet = week_of(collection), sheet_size(house)
buying = make_buying(take_off(computed, collection, shelf, week), week, house)
logs = [batch_log(computed["fruit-acid"], tongue), probe_log(tongue), deviation_log(tongue)]
(out / f"{name}-batch.pdf").write_bytes(HERE.now(batch_pdf(batched, theme, sheet)))
(out / f"{name}-buy.pdf").write_bytes(HERE.now(buying_pdf(buying, theme, sheet)))
(out / f"{name}-logs.pdf").write_bytes(HERE.now(logs_pdf(logs, house, theme, sheet)))
if not of_the_build:
    menu = next(iter(collection.menus.values()))
    for form in FORMATS:
        pdf = HERE.now(menu_pdf(menu, drinks, house, theme, form))
        (out / f"{name}-menu-{form}.pdf").write_bytes(pdf)
    some = {slug: computed[slug] for slug in asked}
    leaves = {slug: cards[slug] for slug in asked}
    bound = HERE.now(print_book(collection, some, leaves, theme, {}, book_size(house)))
    (out / f"{name}-book.pdf").write_bytes(bound)
