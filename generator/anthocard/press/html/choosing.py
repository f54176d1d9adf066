"""What guests may choose by: colour, strength, sweet to sour, diet and allergens, each counted.

Belongs here: which choices a menu has, which of them a drink fits, and the sheet that makes them
work without a script. Does not belong here: how they look (the themes), counting again as guests
choose (themes/base/choose.js).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from anthocard.diagnostics.tables import read_table
from anthocard.engine.results import Computed
from anthocard.facts.colour.names import families, family_of
from anthocard.house.collection import fold
from anthocard.press.base.languages import Language
from anthocard.press.words.guest import filter_choices, filter_classes

ANIMAL = "animal"


@dataclass(frozen=True, slots=True)
class Choice:
    """One thing to choose: its key (a drink that fits has it as a class), its words, how many
    drinks one sees with nothing else chosen, and for a colour how it looks.
    """

    key: str
    words: str
    many: int
    hex: str = ""


@dataclass(frozen=True, slots=True)
class Facet:
    """Choices of which a guest takes one or none."""

    key: str
    words: str
    choices: tuple[Choice, ...]


def choose_by(drinks: Sequence[Computed], tongue: Language) -> tuple[Facet, ...]:
    """What these drinks can be told apart by; a facet that all of them fit is none."""
    legends = {
        "colour": tongue.gettext("Colour, before or after"),
        "strength": tongue.gettext("Strength"),
        "balance": tongue.gettext("Sweet to sharp"),
    }
    fits = [tuple(_fits(one)) for one in drinks]
    # Of all that bear a name the most colourful is shown.
    looks = dict(sorted((pair for one in drinks for pair in _colours_of(one)), key=_vivid))
    facets = []
    for key, legend in legends.items():
        choices = []
        for one, words in _all(key, tongue):
            many = sum(f"{key}-{one}" in fit for fit in fits)
            if many:
                choices.append(Choice(f"{key}-{one}", words, many, looks.get(one, "")))
        if len(choices) > 1:
            facets.append(Facet(key, legend, tuple(choices)))
    return tuple(facets)


def leave_out(drinks: Sequence[Computed], tongue: Language) -> tuple[Choice, ...]:
    """What guests may leave out: things from animals, the place's allergens, and their kin; counted
    are the drinks that stay.
    """
    if not drinks:
        return ()
    animal = tongue.word("diet", str(_rows("diet")[ANIMAL]["words"]))
    held = [tuple(_leaves(one)) for one in drinks]
    offered = ((ANIMAL, animal), *filter_choices(drinks, tongue))
    return tuple(
        Choice(key, words, sum(f"has-{key}" not in classes for classes in held))
        for key, words in offered
    )


def classes_of(one: Computed) -> str:
    """Every class that a choice goes by, for the element of a drink."""
    return " ".join((*_fits(one), *_leaves(one)))


def choosing_rules(drinks: Sequence[Computed], tongue: Language) -> str:
    """The sheet of the choices: a chosen one hides what does not fit it, a ticked one leaves out
    what contains and marks what may.
    """
    chosen = [choice.key for facet in choose_by(drinks, tongue) for choice in facet.choices]
    ticked = [choice.key for choice in leave_out(drinks, tongue)]
    gone = [f".menu:has(#{key}:checked) .drink:not(.{key})" for key in chosen]
    gone += [f".menu:has(#no-{key}:checked) .has-{key}" for key in ticked]
    asked = [f".menu:has(#no-{key}:checked) .may-{key} .unsure" for key in ticked]
    rules = ((gone, "none"), (asked, "block"))
    return "\n".join(f"{', '.join(of)} {{ display: {how}; }}" for of, how in rules if of)


def _all(key: str, tongue: Language) -> Iterator[tuple[str, str]]:
    """Every choice of a facet and its words, in order."""
    if key == "colour":
        for family in sorted(families(), key=lambda name: name == "neutral"):
            clear = family == "neutral"
            word = (
                tongue.gettext("clear or grey") if clear else tongue.word("colour family", family)
            )
            yield family, word
        return
    rows = list(_rows(key).items())  # the last row is what is left over: the sweet end
    for name, row in reversed(rows) if key == "balance" else rows:
        yield name, tongue.word("choice", str(row["words"]))


def _fits(one: Computed) -> Iterator[str]:
    """The choices a drink fits; what is not known of it fits none."""
    unknown = {withheld.what for withheld in one.withheld}
    last = one.after or one.before
    if "colour" not in unknown:
        yield from dict.fromkeys(f"colour-{family}" for family, _ in _colours_of(one))
    if "strength" not in unknown:
        yield f"strength-{_strength(last.abv_percent)}"
    if "acidity" not in unknown and not last.beyond:
        yield f"balance-{_balance(last.sugar_g_per_l, last.titratable_acidity_g_per_l)}"


def _colours_of(one: Computed) -> Iterator[tuple[str, str]]:
    """The family of its first and of its last colour, as a guest looks in, and how it looks."""
    for state in (one.before, one.after):
        if state is not None:
            above = state.seen.above
            yield family_of(above.name), above.hex


def _vivid(pair: tuple[str, str]) -> int:
    rgb = bytes.fromhex(pair[1].removeprefix("#"))
    return max(rgb) - min(rgb)


def _strength(abv_percent: float) -> str:
    return next(key for key, row in _rows("strength").items() if abv_percent < row["below"])


def _balance(sugar_g_per_l: float, acid_g_per_l: float) -> str:
    ratio = sugar_g_per_l / max(acid_g_per_l, 0.01)
    return next(
        key
        for key, row in _rows("balance").items()
        if sugar_g_per_l < row["sugar_below"]
        and acid_g_per_l < row["acid_below"]
        and ratio <= row["ratio_below"]
    )


def _leaves(one: Computed) -> Iterator[str]:
    """has-… and may-… of allergens, their kin, and of what comes from animals."""
    yield from filter_classes(one)
    row = _rows("diet")[ANIMAL]
    states = {a.state for a in one.allergens if a.key in row["allergens"]}
    names = {
        fold(word) for part in one.poured for leaf in part.leaves for word in leaf.name.split()
    }
    if "contains" in states or names & set(row["names"]):
        yield f"has-{ANIMAL}"
    elif states & {"may contain", "unchecked"} or not one.allergens:
        yield f"may-{ANIMAL}"


def _rows(part: str) -> Mapping[str, Mapping[str, Any]]:
    rows: Mapping[str, Mapping[str, Any]] = read_table("anthocard.press.html", "choosing.yaml")[
        part
    ]
    return rows
