"""Every rule on every paper: its words are read back from real PDFs and pages, or it says why not.

For each rule a small house is made that trips it, once with a drink and once with something made
(from the pairs that the engine's own test keeps), and every paper of both is read: of each twelfth
rule as it is set, of the others from what it would be set from (that no word of that is lost when it
is set, the press checks for every paper).
"""

from __future__ import annotations

import re
import subprocess
from collections.abc import Callable, Coroutine, Mapping
from contextlib import suppress
from dataclasses import dataclass, field
from html import unescape
from typing import Any

import pytest
from anthocard.diagnostics.diagnostic import Place
from anthocard.engine.results import Caution
from anthocard.engine.trade.batching import batch, make
from anthocard.facts.law.rules import PAPERS, Rule, papers, rules
from anthocard.house.collection import fold
from anthocard.press.base.sizes import card_paper, label_sheet, sheet_paper
from anthocard.press.base.theme import find_theme
from anthocard.press.build.plan import contents
from anthocard.press.paper.bar_cards import print_card
from anthocard.press.paper.forms import batch_pdf, prep_pdf
from anthocard.press.paper.job import NO_PICTURES, Drawn, Job, Outcome, PaperPress
from anthocard.press.paper.label_sheets import print_label
from anthocard.press.paper.menus.menu_papers import menu_pdf
from anthocard.press.words.batch_sheet import make_sheet
from anthocard.press.words.bottle_label import make_label
from anthocard.press.words.card import make_card
from anthocard.press.words.caution_words import first_sentence
from anthocard.press.words.prep_sheet import make_prep

from tests.engine.opened import Opened, drink, house, opened
from tests.engine.test_care import CASES, STOCK, Case

MADE = "made thing"
A4 = sheet_paper("A4")
MENU = "kind: menu\nname: M\nsections: [{name: S, drinks: [served]}]\n"


@dataclass
class Read:
    """What the papers of one rule say, run together; and the cautions as the engine gave them."""

    text: dict[str, str] = field(default_factory=dict)
    cautions: dict[str, list[Caution]] = field(default_factory=dict)

    def add(self, paper: str, text: str, found: Caution | None) -> None:
        self.text[paper] = self.text.get(paper, "") + squeezed(text)
        if found is not None:
            self.cautions.setdefault(paper, []).append(found)


def squeezed(text: str) -> str:
    """Without blanks, hyphens and entities: a line may break anywhere on a paper. One apostrophe
    for all: a paper sets its own."""
    bare = unescape(re.sub(r"<[^>]+>", " ", text)).replace("’", "'")
    return re.sub(r"[\s\u00ad\u2010-]+", "", bare)


class Setting(PaperPress):
    """Sets every paper; or, once it has `seen` one of a kind, only notes what it would be set from."""

    def __init__(self, seen: dict[object, Outcome] | None = None) -> None:
        super().__init__()
        self._seen, self._pages = seen, ""

    async def paper(
        self, job: Callable[[], Job], decides: bool = False, drawn: Drawn = NO_PICTURES
    ) -> Outcome:
        wanted = job()
        if self._seen is None:
            return await super().paper(lambda: wanted, decides, drawn)
        kind = (wanted.style, wanted.fits, wanted.measures)
        if kind not in self._seen:
            self._seen[kind] = await super().paper(lambda: wanted, decides, drawn)
        if not wanted.measures:
            self._pages += wanted.html.partition("<body")[2]
        return self._seen[kind]

    def words(self, printing: Callable[..., Coroutine[Any, Any, Any]], *given: Any) -> str:
        """What stands on what is printed."""
        self._pages = ""
        made = self.now(printing(*given, press=self))
        pdfs = [made] if isinstance(made, bytes) else [made.front, made.back]
        return self._pages or "".join(map(_read, pdfs))


def _read(pdf: bytes) -> str:
    done = subprocess.run(
        ["pdftotext", "-raw", "-", "-"], input=pdf, capture_output=True, check=True
    )
    return done.stdout.decode()


SEEN: dict[object, Outcome] = {}


def both(case: Case) -> tuple[dict[str, str], str]:
    """A house with the case as a drink called “served” and as something made; its place."""
    text = case.trips
    files = {"stock.yaml": STOCK, **case.with_files, "menus/m.md": MENU}
    if "kind: drink" in text:
        files["drinks/served.md"] = text.replace("name: d", "name: served")
        pours = re.search(r"pours: \[(.*)\]", text)
        assert pours is not None
        stored = re.search(r"(?:vessel|serve|garnish): (.*)", text)
        made = f"kind: syrup\nname: {MADE}\nparts: [{pours[1]}]\n"
        made += f"store: {stored[1]}\n" if stored else ""
        files["syrups/made-thing.md"] = f"---\n{made}---\n"
    else:
        files["drinks/served.md"] = drink(f"60 ml {MADE}").replace("name: d", "name: served")
        folder = "infusions" if "kind: infusion" in text else "solutions"
        files[f"{folder}/made-thing.md"] = text.replace("name: x", f"name: {MADE}")
    files["drinks/prepared.md"] = drink(f"30 ml {MADE}").replace("name: d", "name: prepared")
    return files, case.place


def read_papers(rule: Rule, there: Opened, into: Read, here: Setting) -> None:
    """Read every paper of the drink and of the thing made."""
    theme, collection, computed = find_theme(), there.collection, there.computed
    cards = {fold(one.name): make_card(one, collection.house) for one in computed.values()}
    pages = contents(collection, computed, theme, papers=False)
    served, made = computed["served"], computed["made-thing"]
    told = here.words(
        print_card, cards["served"], served, theme, card_paper("A6"), lambda loc: Place("served.md")
    )
    found = there.caution("served", rule.key)
    into.add("card", told, found)
    folded = here.words(menu_pdf, collection.menus["M"], cards, collection.house, theme, "folded")
    into.add("menu", pages["guest/index.html"].make(here).decode() + " " + folded, found)
    into.add("spec", pages["staff/served.html"].make(here).decode(), found)
    with suppress(ValueError):  # everything in it is fizzy: there is no batch of it
        bottled = batch(served, 10, collection, there.shelf)
        told = here.words(batch_pdf, make_sheet(served, bottled, collection.house), theme, A4)
        into.add("batch", told, next((c for c in bottled.cautions if c.key == rule.key), None))
    found = there.caution("made-thing", rule.key)
    label = make_label(made, cards[MADE], collection.house)
    told = here.words(print_label, label, label_sheet("A4-2x3").label, theme, Place("m"))
    into.add("label", told, found)
    into.add("spec", pages["staff/made-thing.html"].make(here).decode(), found)
    task = make_prep(computed, collection, {"prepared": 20})
    into.add("prep", here.words(prep_pdf, task, theme, A4), found)
    lot = make(made, 500.0, collection, there.shelf)
    told = here.words(batch_pdf, make_sheet(made, lot, collection.house), theme, A4)
    into.add("batch", told, found)


BY_KEY: Mapping[str, list[Case]] = {
    rule.key: [case for case in CASES if case.key == rule.key] for rule in rules()
}
#: Rules that fire for every recipe, or that only a bottled batch calls for.
BY_KEY["local-code"].append(Case("local-code", drink("50 ml gin"), ""))
BY_KEY["prepacked-gb"].append(Case("prepacked-gb", drink("50 ml gin"), ""))


@pytest.mark.parametrize("rule", rules(), ids=lambda rule: rule.key)
def test_every_rule_stands_where_it_says_and_nowhere_else(rule: Rule) -> None:
    """Shown in its own words on each paper it stands on; on every other absent, with a reason."""
    read, here = Read(), Setting(None if rules().index(rule) % 12 == 0 else SEEN)
    assert BY_KEY[rule.key], "no house trips it"
    for case in BY_KEY[rule.key]:
        files, place = both(case)
        read_papers(rule, opened(files, house(place)), read, here)
        if all(read.cautions.get(paper) for paper in rule.stands_on):
            break
    for paper in PAPERS:
        words = papers()[paper].words
        told = [getattr(one, words) for one in read.cautions.get(paper, []) if getattr(one, words)]
        if paper in rule.stands_on:
            assert told, f"nothing trips it on the {paper}"
            for text in told:
                whole = first_sentence(text) if paper == "card" else text
                for sentence in re.split(r"(?<=\.) ", whole):
                    assert squeezed(sentence.rstrip(".")) in read.text[paper], (paper, sentence)
        else:
            assert rule.absent[paper].strip()
            every = [one for listed in read.cautions.values() for one in listed]
            for text in {getattr(one, words) for one in every} - {""}:
                assert squeezed(text) not in read.text[paper], (paper, text)
