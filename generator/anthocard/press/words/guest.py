"""What guests are told of a drink beside its story: where the colour is from, allergens, cautions.

Belongs here: choosing and wording those lines in a language. Does not belong here: working any of
it out (the engine), the phrases themselves (words/), the page (menu.py).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from functools import reduce

import numpy as np

from anthocard.diagnostics.tables import read_table
from anthocard.engine.findings import Leaf, PouredPart
from anthocard.engine.results import Computed
from anthocard.facts.chemistry.liquid import PLANT_COLUMNS, PLANTS
from anthocard.facts.colour.pigments import plants
from anthocard.house.collection import fold
from anthocard.house.files import slug
from anthocard.house.model import Menu
from anthocard.house.settings import House
from anthocard.press.base.languages import Language
from anthocard.press.base.number_text import ph_text
from anthocard.press.words import allergen_words
from anthocard.press.words.caution_words import at_foot, beside, in_language
from anthocard.press.words.spec import drinks


def button(computed: Computed, tongue: Language) -> str:
    """What is written on what turns the drink on a page."""
    if computed.stages and computed.stages[-1].how == "frozen":
        return tongue.gettext("Hold to watch it melt")
    return tongue.gettext("Hold to pour")


def sharpness(ph: float) -> str:
    """What a pH is told as: the first row of sharpness.yaml that reaches it."""
    rows = read_table("anthocard.press.words", "sharpness.yaml")["sharpness"].values()
    return str(next(row["words"] for row in rows if ph <= row["up_to"]))


def why(one: Computed, tongue: Language) -> str:
    """Where the colour comes from, and the pH in plain words, for those who ask."""
    figures = {
        "before": ph_text(one.before.stated_ph, 1, tongue),
        "sharp_before": tongue.word("sharpness", sharpness(one.before.ph)),
    }
    if one.after is not None:
        figures["after"] = ph_text(one.after.stated_ph, 1, tongue)
        figures["sharp_after"] = tongue.word("sharpness", sharpness(one.after.ph))
        stands = tongue.gettext(
            "It reaches you at pH %(before)s, %(sharp_before)s."
            " With everything poured it stands at pH %(after)s, %(sharp_after)s.",
            **figures,
        )
    else:
        stands = tongue.gettext("It stands at pH %(before)s, %(sharp_before)s.", **figures)
    found = ", ".join(plants_in((one,), tongue))
    source = tongue.gettext("Its colour comes from: %(plants)s.", plants=found) if found else ""
    return f"{source} {stands}".strip()


def in_order(one: Computed, tongue: Language) -> str:
    """How a drink lies in layers, and its colours step by step where it has several reveals; empty
    for one liquid with one pour.
    """
    lain = [one.glassful.layers if one.glassful else (), *(stage.layers for stage in one.stages)]
    said = []
    if layers := next(filter(None, lain), ()):
        colours = ", ".join(tongue.word("colour", layer.colour.name) for layer in layers)
        said.append(
            tongue.gettext("It lies in layers, from the bottom: %(colours)s.", colours=colours)
        )
    if len(one.stages) > 1:
        steps = [tongue.word("colour", state.seen.above.name) for state in one.states]
        then = reduce(
            lambda first, next_: tongue.gettext(
                "%(first)s, then %(next)s", first=first, next=next_
            ),
            steps,
        )
        said.append(
            tongue.gettext("In %(many)s steps: %(colours)s.", many=len(one.stages), colours=then)
        )
    return " ".join(said)


def plants_in(drinks: Sequence[Computed], tongue: Language) -> tuple[str, ...]:
    """The plants whose colour is in these drinks, by name; anything under 1 % of one's colour is
    not told.
    """
    found: dict[str, None] = {}
    for one in drinks:
        colour = (one.after or one.before).liquid.amounts[PLANT_COLUMNS]
        for place in np.flatnonzero(colour > 0.01 * colour.sum()):
            found[tongue.word("plant", plants()[PLANTS[place]].label)] = None
    return tuple(found)


def holds(one: Computed, tongue: Language) -> str:
    """The states of every allergen in one line; none is passed over in silence."""
    return allergen_words.line(one.allergens, tongue)


def diets(one: Computed, tongue: Language) -> str:
    """What a drink is for sure: “Vegan.”, “Vegetarian. With honey.”; may be empty."""
    sentences = []
    if "vegan" in one.diets:
        sentences.append(tongue.gettext("Vegan."))
    elif "vegetarian" in one.diets:
        sentences.append(tongue.gettext("Vegetarian."))
    if "honey" in one.diets:
        sentences.append(tongue.gettext("With honey."))
    return " ".join(sentences)


def strength(one: Computed, tongue: Language) -> str:
    """% vol, and how much alcohol a serve is, as the place counts it: units, drinks or grams.

    Nothing of either where the strength is not known, and no count where there is none.
    """
    if any(figure.what == "strength" for figure in one.withheld):
        return ""
    last = one.after or one.before
    percent = tongue.percent_vol(last.abv_percent)
    counted = drinks(one, tongue)
    return f"{percent}, {counted}" if counted else percent


def days_of(menu: Menu, tongue: Language) -> str:
    """From which day and until which a menu is shown; empty where it says neither."""
    first, last = (None if day is None else tongue.day(day) for day in (menu.begins, menu.ends))
    if first and last:
        return tongue.gettext("From %(first)s to %(last)s", first=first, last=last)
    if first:
        return tongue.gettext("From %(first)s", first=first)
    return tongue.gettext("Until %(last)s", last=last) if last else ""


def made_of(one: Computed, house: House, tongue: Language) -> str:
    """What is in a drink, in guests' words, each once: “gin, butterfly pea, lemon juice”.

    The house may call a thing otherwise, call several the same, or leave one out by an empty word;
    what holds a listed allergen is named whatever it says.
    """
    labels = {state.key: tongue.word("allergen", state.label) for state in one.allergens}
    return ", ".join(dict.fromkeys(ingredients(one.poured, labels, house, tongue)))


def ingredients(
    poured: Sequence[PouredPart], labels: Mapping[str, str], house: House, tongue: Language
) -> Iterator[str]:
    """The words of each ingredient in order; `labels` are those of allergens by key."""
    other = house.translations.get(tongue.tag)
    own = {fold(name): word for name, word in house.guest_words.items()}
    own |= {fold(n): word for n, word in other.guest_words.items()} if other else {}
    for pour in poured:
        if fold(pour.name) in own:
            held = dict.fromkeys(key for leaf in pour.leaves for key in leaf.contains)
            yield from _called(own[fold(pour.name)], [labels[k] for k in held if k in labels])
            continue
        for leaf in pour.leaves:
            word = own.get(fold(leaf.name))
            if word is None:
                word = _usual(leaf, tongue)
            yield from _called(word, [labels[k] for k in leaf.contains if k in labels])


def _called(word: str, allergens_in: Sequence[str]) -> Iterator[str]:
    """The word, and in brackets each allergen that it does not say itself."""
    unsaid = [label for label in allergens_in if label.casefold() not in word.casefold()]
    if word and unsaid:
        yield f"{word} ({', '.join(unsaid)})"
    elif word or unsaid:
        yield word or ", ".join(unsaid)


def _usual(leaf: Leaf, tongue: Language) -> str:
    """A plant by its own name, what guests need not hear of left out, the rest as it is bought."""
    if leaf.plant:
        label = tongue.word("plant", plants()[leaf.plant].label)
        return label.lower() if tongue.tag.startswith("en") else label  # elsewhere nouns may not
    rows = read_table("anthocard.press.words", "guest_words.yaml")["words"]
    row = rows.get(leaf.name)
    if row is None:
        return leaf.name
    return tongue.word("ingredient", row["words"]) if row["words"] else ""


def filter_classes(one: Computed) -> Iterator[str]:
    """The classes the allergen filter goes by: has-milk, may-tree-nuts; has- of its kin."""
    short = {"contains": "has", "may contain": "may", "unchecked": "may"}
    yield from (f"{short[a.state]}-{slug(a.key)}" for a in one.allergens if a.state in short)
    yield from (f"has-{slug(c.leave_out)}" for c in one.cautions if c.leave_out)


def filter_choices(drinks: Sequence[Computed], tongue: Language) -> tuple[tuple[str, str], ...]:
    """What the filter offers to leave out: the place's list, then kin that these drinks hold."""
    first = drinks[0].allergens if drinks else ()
    kin = dict.fromkeys(c.leave_out for one in drinks for c in one.cautions if c.leave_out)
    names = [(slug(one.key), one.label) for one in first] + [(slug(one), one) for one in kin]
    return tuple((key, tongue.word("allergen", name)) for key, name in names)


def notes(one: Computed, tongue: Language, everywhere: bool) -> Iterator[str]:
    """Cautions in words: those of this drink, or those that are true of nearly every one."""
    for caution in (at_foot if everywhere else beside)(in_language(one, tongue).cautions):
        yield caution.guest
    if one.reveal is not None and not everywhere:
        yield tongue.gettext("What comes beside it is for the glass, not for the mouth.")
