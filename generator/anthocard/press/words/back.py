"""The back of a bar card: why the drink turns, how far the dose may stray, a batch, care.

Belongs here: what the back says and the large turn strip. Does not belong here: what the front says
(card.py), working anything out (the engine).
"""

from __future__ import annotations

from dataclasses import dataclass
from html import escape

import numpy as np

from anthocard.engine.results import Computed
from anthocard.engine.trade.held_back import scaled
from anthocard.engine.trust.turning import turns
from anthocard.press.base.languages import Language, language
from anthocard.press.base.number_text import millilitres, ph_text, tidy
from anthocard.press.draw.strip import Stop, Tick, run_over, seen_from_right
from anthocard.press.words import caution_words as care
from anthocard.press.words.amounts import batch_columns
from anthocard.press.words.card import Card
from anthocard.press.words.caution_words import in_language
from anthocard.press.words.spec import Figure

BATCH = 10  # serves told on the back: a round one is scaled in the head
FIGURES = ("ph", "acidity", "sugar", "strength", "volume", "temperature")


@dataclass(frozen=True, slots=True)
class Back:
    """The back of one card, as words and one drawing."""

    title: str
    why: tuple[str, ...]
    strip: str
    figures: tuple[Figure, ...]
    batch: tuple[Figure, ...]
    batch_title: str
    allergens: str
    care: tuple[str, ...]


def make_back(computed: Computed, card: Card) -> Back:
    """Word the back of a drink's card. Pure; never fails on a computed drink."""
    tongue = language(card.language)
    computed = in_language(computed, tongue)
    names = _names(computed, card.ticks, tongue)
    title = tongue.gettext("Turn strip: %(colours)s", colours=card.turning)
    sides = card.stops, card.ticks
    if tongue.runs == "rtl":
        sides = seen_from_right(*sides)
    return Back(
        title=tongue.gettext("Why it turns")
        if _renamed(computed, card)
        else tongue.gettext("Why it stays"),
        why=tuple(_why(computed, card, tongue)),
        strip=draw_large_strip(*sides, names, title, f"{card.slug}-why"),
        figures=tuple(row for row in card.figures if row.key in FIGURES),
        batch=tuple(_batch(computed, tongue)),
        batch_title=tongue.ngettext("%(n)d serve", "%(n)d serves", BATCH),
        allergens=card.holds,
        care=care.on_back(computed.cautions),
    )


def draw_large_strip(
    stops: tuple[Stop, ...], ticks: tuple[Tick, ...], names: tuple[str, ...], title: str, key: str
) -> str:
    """The turn strip as an SVG 40 mm high: words above, colour below."""
    colours = run_over(stops)
    labels = "".join(map(_label, ticks, names))
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" role="img" class="strip" width="100%"'
        f' height="40mm"><title>{escape(title)}</title>'
        f'<defs><linearGradient id="{key}">{colours}</linearGradient></defs>'
        f'<rect x="-5%" y="16mm" width="110%" height="24.5mm" fill="url(#{key})"/>{labels}</svg>'
    )


def _label(tick: Tick, name: str) -> str:
    weight, end = (700, "40mm") if tick.dose else (500, "20mm")
    at = f'x1="{tick.percent}%" x2="{tick.percent}%"'
    pale = f'<line {at} y1="16mm" y2="{end}" stroke="#ffffff" stroke-width="1.3mm"/>'
    text = f'x="{tick.percent}%" text-anchor="{tick.anchor}" fill="currentColor"'
    first, _, rest = name.partition(" ")
    lines = (first, rest) if rest else ("", first)
    return (
        f"{pale if tick.dose else ''}"
        f'<line {at} y1="14.6mm" y2="16mm" stroke="currentColor" stroke-width="0.45mm"/>'
        f'<line {at} y1="16mm" y2="{end}" stroke="#17131f" stroke-width="0.45mm"/>'
        f'<text {text} y="3.2mm" font-size="8.6pt">{escape(lines[0])}</text>'
        f'<text {text} y="6.4mm" font-size="8.6pt">{escape(lines[1])}</text>'
        f'<text {text} y="10.2mm" font-size="10.5pt" font-weight="{weight}">{tick.ml}</text>'
        f'<text {text} y="13.8mm" font-size="9.2pt">{tick.ph}</text>'
    )


def _names(computed: Computed, ticks: tuple[Tick, ...], tongue: Language) -> tuple[str, ...]:
    """The colour's name at each tick, from where on the strip it stands."""
    turn = computed.turn
    if turn is None:
        return ()
    first, last = (float(ticks[i].percent) for i in (0, -1)) if ticks else (0.0, 1.0)
    shares = [(float(t.percent) - first) / (last - first or 1.0) for t in ticks]
    ends = [share * float(turn.poured_ml[-1]) for share in shares]
    picks = [int(np.abs(turn.poured_ml - ml).argmin()) for ml in ends]
    return tuple(tongue.word("colour", turn.names[i]) for i in picks)


def _renamed(computed: Computed, card: Card) -> bool:
    """Whether the pour turns it into a colour of another name."""
    return (
        turns(computed)
        and card.after is not None
        and card.after.above_colour != card.before.above_colour
    )


def _why(computed: Computed, card: Card, tongue: Language) -> list[str]:
    after = computed.after
    if after is None:
        values = {"colour": card.before.above_colour, "ph": card.before.ph}
        return [tongue.gettext("Nothing is poured in: it stays %(colour)s, %(ph)s.", **values)]
    first, last = (ph_text(state.stated_ph, 1, tongue) for state in (computed.before, after))
    names = dict.fromkeys(measure.name for measure in computed.revealed)
    poured = ", ".join(names) or tongue.gettext("pour")
    values = {"poured": poured, "first": first, "last": last}
    moved = (
        tongue.gettext("The %(poured)s drops the pH from %(first)s to %(last)s", **values)
        if after.ph < computed.before.ph
        else tongue.gettext("The %(poured)s lifts the pH from %(first)s to %(last)s", **values)
    )
    way = {"moved": moved, "colours": card.turning, "colour": card.before.above_colour}
    seen = (
        tongue.gettext("%(moved)s, and the colour goes from %(colours)s", **way)
        if _renamed(computed, card)
        else tongue.gettext("%(moved)s, and the colour stays %(colour)s", **way)
    )
    words = [f"{seen} ({card.difference})." if card.difference else f"{seen}."]
    dosed = computed.turn is not None and computed.revealed_ml
    if dosed and _renamed(computed, card):
        words.append(_steepest(computed, tongue))
    if card.window:
        words.append(f"{card.window[0].upper()}{card.window[1:]}.")
    return words


def _steepest(computed: Computed, tongue: Language) -> str:
    """Where along the pour half of the colour's way is done."""
    turn, dose_ml = computed.turn, computed.revealed_ml
    assert turn is not None
    steps = np.linalg.norm(np.diff(turn.lab, axis=0), axis=1)
    way = np.concatenate([[0.0], np.cumsum(steps)])
    until = float(np.interp(dose_ml, turn.poured_ml, way))
    half = float(np.interp(until / 2, way, turn.poured_ml))
    return tongue.gettext(
        "Half of the change is done after %(half)s ml of %(dose)s ml.",
        half=tidy(half, 1, tongue),
        dose=tidy(dose_ml, 1, tongue),
    )


def _batch(computed: Computed, tongue: Language) -> list[Figure]:
    lines = (scaled(one, float(BATCH)) for one in computed.measures)
    rows = [Figure(line.name, *batch_columns(line, tongue)) for line in lines]
    if computed.melt_ml > 0:
        water = millilitres(BATCH * computed.melt_ml, tongue)
        rows.append(Figure(tongue.gettext("water, if bottled ready"), water))
    return rows
