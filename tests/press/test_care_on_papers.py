"""What guests and staff read of care is the same everywhere, and in the words of the place.

Read back from pages and words that are made for real houses.
"""

from __future__ import annotations

import re
from datetime import date
from html import unescape
from itertools import pairwise

import pytest
from anthocard.facts.law.allergens import AllergenState
from anthocard.press.base.languages import language
from anthocard.press.base.theme import find_theme
from anthocard.press.build.plan import contents
from anthocard.press.paper.job import HERE
from anthocard.press.words import allergen_words
from anthocard.press.words.bottle_label import make_label
from anthocard.press.words.card import make_card

from tests.engine.opened import Opened, drink, house, opened
from tests.engine.test_care import MARKED, MARKS, STOCK

MENU = "kind: menu\nname: M\nsections: [{name: S, drinks: [D]}]\n"
GERMAN = "language: de\n"
MARK_WORDS = {
    "additive-colour-de": "mit Farbstoff",
    "additive-preservative-de": "mit Konservierungsstoff",
    "additive-antioxidant-de": "mit Antioxidationsmittel",
    "additive-flavour-enhancer-de": "mit Geschmacksverstärker",
    "additive-blackened-de": "geschwärzt",
    "additive-waxed-de": "gewachst",
    "additive-sweetener-de": "mit Süßungsmittel",
    "additive-phenylalanine-de": "enthält eine Phenylalaninquelle",
    "additive-polyols-de": "kann bei übermäßigem Verzehr abführend wirken",
    "quinine-mark-de": "chininhaltig",
    "caffeine-mark-de": "koffeinhaltig",
}
KEYS = tuple(MARKS)
#: Twenty drinks: each mark alone, then with its neighbours.
FIXTURES: list[tuple[str, ...]] = [*((key,) for key in KEYS), *pairwise(KEYS[:10])]


def page(there: Opened, name: str) -> str:
    pages = contents(there.collection, there.computed, find_theme(), papers=False)
    text = re.sub(r"<[^>]+>", " ", pages[name].make(HERE).decode())
    return " ".join(unescape(text).split())


@pytest.mark.parametrize("keys", FIXTURES, ids="+".join)
def test_german_menus_carry_every_mark(keys: tuple[str, ...]) -> None:
    """The law's own words, in German, beside the drink; and no mark of what is not in it."""
    pours = ", ".join(["50 ml still water", *(f"5 ml {MARKS[key]}" for key in keys)])
    there = opened({**MARKED, "drinks/d.md": drink(pours), "menus/m.md": MENU}, house("DE", GERMAN))
    text = page(there, "guest/index.html")
    wanted = {MARK_WORDS[key] for key in keys}
    assert {words for words in MARK_WORDS.values() if words in text} == wanted


def test_sulphites_on_a_german_menu_are_an_allergen_and_no_mark() -> None:
    """§5 LMZDV names no »geschwefelt« any more: above 10 mg/l the line of allergens tells it."""
    stock = (
        "wine: {kind: wine, abv_percent: 12, ph: 3.3, sugar_g_per_l: 2, sulphite_mg_per_l: 90}\n"
    )
    files = {"stock.yaml": stock, "drinks/d.md": drink("100 ml wine"), "menus/m.md": MENU}
    text = page(opened(files, house("DE", GERMAN)), "guest/index.html")
    assert "Sulfite" in text
    assert "geschwefelt" not in text


def test_twenty_fixtures_and_more() -> None:
    """As many as are asked for, and every mark among them."""
    assert len(FIXTURES) >= 20
    assert {key for keys in FIXTURES for key in keys} == set(MARK_WORDS)


@pytest.mark.parametrize("tongue", ["en-GB", "de"])
def test_the_line_of_allergens_is_the_same_everywhere(tongue: str) -> None:
    """Card (and its back), label, menu and spec page of one thing: the same words."""
    stock = "test orgeat: {kind: syrup, sugar_g_per_l: 600, allergens: {contains: [almond], may_contain: [milk], checked: 2026-01-01}}\n"
    files = {
        "stock.yaml": STOCK.replace("test orgeat: {kind: syrup, sugar_g_per_l: 600, allergens: {contains: [almond]}}\n", stock),
        "syrups/x.md": "kind: syrup\nname: x\nparts: [100 ml test orgeat]\nkeeps: 3 days\n",
        "drinks/d.md": drink("20 ml x"),
        "menus/m.md": MENU,
    }  # fmt: skip
    there = opened(files, house(more=f"language: {tongue}\n"))
    told = language(tongue)
    for slug in ("x", "d"):
        one = there.computed[slug]
        line = allergen_words.line(one.allergens, told)
        card = make_card(one, there.collection.house)
        assert card.holds == line
        assert line in page(there, f"staff/{slug}.html")
        if one.is_drink:
            assert line in page(there, "guest/index.html")
        else:
            assert make_label(one, card, there.collection.house).allergens == line


def test_every_line_of_allergens_says_something() -> None:
    """Whatever is known of a thing, the line is a sentence."""
    for state in ("contains", "may contain", "unchecked", "none known"):
        one = AllergenState("milk", "milk", state, "x")  # type: ignore[arg-type]
        assert allergen_words.line([one]).endswith(".")


def test_a_cold_bottle_is_told_once_to_keep_cold() -> None:
    """Garlic in oil: the rule's days and one sentence on the cold."""
    files = {
        "stock.yaml": STOCK + "olive oil: {kind: other, solids_g_per_l: 5}\n",
        "infusions/x.md": "kind: infusion\nname: x\nplant: red cabbage\ninto: olive oil\ndose: 8 g per litre\ntime: 2 h\n"
        "latin: Brassica oleracea\nfood_grade: true\n",
    }
    there = opened(files)
    one = there.computed["x"]
    label = make_label(one, make_card(one, there.collection.house), there.collection.house)
    said = f"{label.statement} {label.hazard}"
    assert said.count("KEEP") == 1
    assert "USE WITHIN 2 DAYS" in said
    assert label.within == "by day 2, day of making is day 1"


@pytest.mark.parametrize(
    ("place", "days", "words"),
    [("US-TN", 10, "240 hours"), ("US-IL", 35, "day ageing ends"), ("US-OK", 35, "day ageing ends"),
     ("US-AL", 22, "type and amount of spirit"), ("US-IA", 3, "72 hours"), ("US-NY", None, "")],
)  # fmt: skip
def test_a_label_never_has_a_day_beyond_the_law_of_its_state(
    place: str, days: int | None, words: str
) -> None:
    """An infusion of 40 % vol has no date of its own; the state's stands, with what it asks for."""
    rose = "kind: infusion\nname: x\nplant: rose\ninto: gin\ndose: 8 g per litre\ntime: 2 h\nkeeps: 90 days\n"
    there = opened({"infusions/x.md": rose}, house(place))
    one = there.computed["x"]
    assert one.keeping is not None
    label = make_label(
        one, make_card(one, there.collection.house), there.collection.house, date(2026, 3, 1)
    )
    assert words in f"{label.statement} {label.hazard}"
    if days is not None:
        assert one.keeping.days == days
        assert str(date(2026, 3, 1 + days - 1).day if days < 31 else 4) in label.discard


def test_a_permission_is_dated_and_stays_in_the_book() -> None:
    """A house with leave for butterfly pea: no warning, and staff read whose leave and when."""
    pea = "kind: infusion\nname: x\nplant: butterfly pea\ninto: still water\ndose: 2 g per litre\ntime: 2 h\n"
    leave = (
        "rules: {butterfly-pea-eu: {state: permitted, date: 2026-02-01, "
        'reason: "as a colour, in water: letter of the district office"}}\n'
    )
    without = opened({"infusions/x.md": pea}, house("DE"))
    assert "care-butterfly-pea-eu" in {one.kind for one in without.warnings}
    there = opened({"infusions/x.md": pea}, house("DE", leave))
    assert "care-butterfly-pea-eu" not in {one.kind for one in there.warnings}
    caution = there.caution("x", "butterfly-pea-eu")
    assert caution is not None
    assert "2026-02-01: permitted. as a colour, in water" in caution.staff


PEA = "kind: infusion\nname: x\nplant: butterfly pea\ninto: still water\ndose: 2 g per litre\ntime: 2 h\n"


@pytest.mark.parametrize(
    ("tongue", "kin", "pour", "pregnant"),
    [
        ("en-GB", "kin of beans and peas", "for the glass, not for the mouth", "not in pregnancy"),
        ("de", "Verwandte von Bohnen und Erbsen", "ins Glas, nicht in den Mund", "nicht in Schwangerschaft"),
    ],
)  # fmt: skip
def test_guests_can_leave_out_kin_of_beans_and_read_what_the_pour_is_for(
    tongue: str, kin: str, pour: str, pregnant: str
) -> None:
    """Where butterfly pea is: a box in the filter, the line for the pregnant; beside any pour, its use."""
    files = {
        "infusions/x.md": PEA,
        "drinks/d.md": drink("60 ml x", "reveal: {pour: lemon juice, amount: 10 ml}\n"),
        "menus/m.md": MENU,
    }
    there = opened(files, house(more=f"language: {tongue}\n"))
    text = page(there, "guest/index.html")
    assert kin in text
    assert pour in text
    assert pregnant in text
    plain = opened(
        {"drinks/d.md": drink("60 ml gin"), "menus/m.md": MENU}, house(more=f"language: {tongue}\n")
    )
    bare = page(plain, "guest/index.html")
    assert not [words for words in (kin, pour, pregnant) if words in bare]


def test_none_of_the_listed_says_how_many_and_since_when() -> None:
    """The list of the place and the oldest record that says so."""
    stock = "".join(
        f"{name}: {{kind: syrup, sugar_g_per_l: 600, allergens: {{checked: {day}}}}}\n"
        for name, day in (("one syrup", "2026-03-02"), ("two syrup", "2026-01-09"))
    )
    files = {"stock.yaml": stock, "drinks/d.md": drink("20 ml one syrup, 20 ml two syrup")}
    for place, count in (("GB", 14), ("US", 10)):
        states = opened(files, house(place)).computed["d"].allergens
        line = allergen_words.line(states)
        assert line == f"None of the {len(states)} listed allergens known, checked 9 Jan 2026."
        assert len(states) >= min(count, 9)


READ = "allergens: {checked: 2026-01-01}"


@pytest.mark.parametrize(
    ("pours", "told"),
    [
        ("50 ml read spirit", "Vegan."),
        ("50 ml read spirit, 15 ml read honey", "Vegetarian. With honey."),
        ("50 ml read spirit, 15 ml read egg", "Vegetarian."),
        ("50 ml read spirit, 10 ml read vermouth", ""),  # only its maker knows how it was fined
        ("50 ml read spirit, 10 ml unread syrup", ""),  # nobody has read its label
        ("50 ml read spirit, 10 ml cleared", ""),  # cleared with gelatin: made with an animal
    ],
)
def test_diets_are_derived_and_never_guessed(pours: str, told: str) -> None:
    """A mark stands on page and paper where everything in a drink is known, and nowhere else."""
    files = {
        "stock.yaml": "unread syrup: {kind: syrup, sugar_g_per_l: 600}\n"
        f"read spirit: {{kind: spirit, abv_percent: 40, {READ}}}\n"
        f"read honey: {{kind: syrup, sugar_g_per_l: 900, {READ}}}\n"
        f"read vermouth: {{kind: wine, abv_percent: 16, {READ}}}\n"
        "read egg: {kind: egg, solids_g_per_l: 110, allergens: {contains: [egg], checked: 2026-01-01}}\n",
        "preparations/cleared.md": "kind: preparation\nname: cleared\nsteps:\n"
        "  - add: 500 ml read spirit\n  - clarify: gelatin\n    yield: 400 ml\n",
        "drinks/d.md": drink(pours),
        "menus/m.md": MENU,
    }
    there = opened(files)
    text = page(there, "guest/index.html")
    assert make_card(there.computed["d"], there.collection.house).diets == told
    marks = [one for one in ("Vegan.", "Vegetarian.", "With honey.") if one in text]
    assert " ".join(marks) == told


@pytest.mark.parametrize(
    ("place", "tongue", "told"),
    [
        ("GB", "en-GB", "2 UK units"),
        ("US", "en-US", "1.1 US standard drinks"),
        ("DE", "de", "16 g Alkohol"),
        ("JP", "en-GB", "16 g of alcohol"),
    ],
)
def test_alcohol_is_told_as_the_place_counts_it(place: str, tongue: str, told: str) -> None:
    """Beside each drink, and no foreign count where a place has none; nothing where there is none."""
    files = {"drinks/d.md": drink("50 ml gin"), "menus/m.md": MENU}
    more = f"language: {tongue}\n"
    text = page(opened(files, house(place, more)), "guest/index.html")
    assert told in text
    assert "WHO" not in text
    dry = {"drinks/d.md": drink("50 ml still water"), "menus/m.md": MENU}
    text = page(opened(dry, house(place, more)), "guest/index.html")
    assert not re.search(r"unit|standard drink|g of alcohol|g Alkohol|Contains alcohol", text)
    assert "Enthält Alkohol" not in text
