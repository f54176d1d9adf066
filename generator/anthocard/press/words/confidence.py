"""How sure a card is, in words: windows, ±, wishes granted, our light, other eyes, calibrations.

Belongs here: the phrases for what findings.py holds. Does not belong here: any of its working
(the engine), where on a page it stands (the themes).
"""

from __future__ import annotations

from typing import Final

from anthocard.engine.findings import READABLE, Dialled, Fit, GaveWay, Input, Uncertainty
from anthocard.engine.mix.taste import sugar_to_acid
from anthocard.engine.results import Computed, State
from anthocard.facts.colour.apart import seen_apart
from anthocard.press.base.languages import Language
from anthocard.press.base.number_text import fixed, tidy, volume
from anthocard.press.words.spec import Figure

#: What an eye lacks, as anybody says it.
_EYES: Final = {
    "normal": "normal", "protan": "weak in red", "deutan": "weak in green",
    "tritan": "weak in blue",
}  # fmt: skip
FAR = 1.8  # of the dose: beyond it nobody pours by mistake, and the card says “from … on”


def window_line(computed: Computed, tongue: Language) -> str:
    """“5 ml; the colour is right at 4-7 ml”, or empty where nothing is poured by volume."""
    window, reveal = computed.window, computed.reveal
    if window is None or reveal is None or not reveal.ml:
        return ""
    dose = volume(reveal.ml, reveal.role, tongue)
    decimals = 1 if reveal.ml < 10.0 else 0
    low = tidy(window.low_ml, decimals, tongue)
    if window.low_ml < 0.05 * reveal.ml and window.high_ml is None:
        return ""  # nothing anybody pours is wrong
    if window.high_ml is None or window.high_ml > FAR * reveal.ml:
        return tongue.gettext(
            "%(dose)s; the colour is right from %(low)s ml on", dose=dose, low=low
        )
    high = tidy(window.high_ml, decimals, tongue)
    return tongue.gettext(
        "%(dose)s; the colour is right at %(low)s-%(high)s ml", dose=dose, low=low, high=high
    )


def turn_seen(delta_e00: float, tongue: Language) -> str:
    """A turn as guests see it, from CIEDE2000 of before and after."""
    seen = seen_apart(delta_e00)
    if seen == "across a room":
        return tongue.gettext("a turn seen across the room")
    if seen == "by anyone":
        return tongue.gettext("a turn that anyone sees")
    if seen == "side by side":
        return tongue.gettext("a turn seen only side by side")
    return tongue.gettext("no turn that anyone sees")


def plus_minus_ph(state: State | None, uncertainty: Uncertainty | None, tongue: Language) -> str:
    """“±0.15”: half the middle nine tenths of the cloud, never better than a meter.

    Empty where no one figure is told.
    """
    if state is None or uncertainty is None or not isinstance(state.stated_ph, float):
        return ""
    return f"±{fixed(max(uncertainty.ph.plus_minus, 0.05), 2, tongue)}"


def plus_minus_abv(state: State | None, uncertainty: Uncertainty | None, tongue: Language) -> str:
    """“±0.9”."""
    return "" if uncertainty is None or uncertainty.abv_percent.p95 <= 0.0 else (
        f"±{fixed(max(uncertainty.abv_percent.plus_minus, 0.1), 1, tongue)}"
    )  # fmt: skip


def with_spread(
    rows: tuple[Figure, ...], computed: Computed, tongue: Language
) -> tuple[Figure, ...]:
    """The table of figures with ± beside pH and strength, and sugar to acid after the sugar."""
    found: list[Figure] = []
    tells = {"ph": plus_minus_ph, "strength": plus_minus_abv}
    for row in rows:
        tell = tells.get(row.key)
        if tell is not None and computed.uncertainty_before is not None:
            first = tell(computed.before, computed.uncertainty_before, tongue)
            last = tell(computed.after, computed.uncertainty_after, tongue)
            spread = f"{row.before} {first}".strip(), f"{row.after} {last}".strip()
            row = Figure(row.label, *spread, row.key)
        found.append(row)
        if row.key == "sugar" and computed.is_drink:
            balance = (_balance(state, tongue) for state in (computed.before, computed.after))
            found.append(Figure(tongue.gettext("Sugar to acid"), *balance))
    return tuple(found)


def _balance(state: State | None, tongue: Language) -> str:
    ratio = None if state is None else sugar_to_acid(state)
    if state is None:
        return ""
    if ratio is None:
        return tongue.gettext("no acid to speak of")
    return f"{fixed(ratio, 1, tongue)} : 1"


def sureness(computed: Computed, tongue: Language) -> tuple[Figure, ...]:
    """Rows of the spec page: spread of the colour, what is behind it, the window, eyes."""
    first, last = computed.uncertainty_before, computed.uncertainty_after
    if first is None:
        return ()

    def apart(delta_e00: float) -> str:
        return f"ΔE00 {fixed(delta_e00, 0, tongue)}"

    rows = [
        Figure(
            tongue.gettext("Colour, 19 of 20 within"),
            apart(first.delta_e00),
            apart(last.delta_e00) if last else "",
        ),
        Figure(
            tongue.gettext("The colour hangs most on"),
            _behind(first.colour_by, tongue),
            _behind(last.colour_by, tongue) if last else "",
        ),
        Figure(
            tongue.gettext("The pH hangs most on"),
            _behind(first.ph_by, tongue),
            _behind(last.ph_by, tongue) if last else "",
        ),
    ]
    if computed.delta_e00 is not None:
        rows.append(Figure(tongue.gettext("Between before and after"), apart(computed.delta_e00)))
    window = computed.window
    if window is not None:
        low, high = (fixed(ph, 2, tongue) for ph in (window.low_ph, window.high_ph))
        steps = window.delta_e00_per_ml, window.delta_e00_per_tenth_ph
        per_ml, per_tenth = (fixed(step, 1, tongue) for step in steps)
        rows.append(
            Figure(
                tongue.gettext("How far the pour may stray"),
                tongue.gettext("pH %(low)s to %(high)s", low=low, high=high),
                tongue.gettext(
                    "ΔE00 %(per_ml)s a ml, %(per_tenth)s a tenth of pH",
                    per_ml=per_ml, per_tenth=per_tenth,
                ),
            )
        )  # fmt: skip
    if computed.eyes is not None:
        seen = ", ".join(
            f"{tongue.word('eye', _EYES[who])} {fixed(value, 0, tongue)}"
            for who, value in computed.eyes.seen
        )
        rows.append(Figure(tongue.gettext("The turn to each eye"), f"ΔE00 {seen}"))
    return tuple(rows)


def measure_first(computed: Computed, tongue: Language) -> str:
    """“Measure the acid in lemon juice”: the input most worth a reading; may be empty."""
    uncertainty = computed.uncertainty_after or computed.uncertainty_before
    named = [*uncertainty.ph_by, *uncertainty.colour_by] if uncertainty is not None else []
    readable = (one for one in named if one.kind in READABLE)
    best = max(readable, key=lambda one: one.share, default=None)
    if best is None:
        return ""
    return tongue.gettext("To be surer, measure %(what)s.", what=_input(best, tongue))


def wishes(computed: Computed, tongue: Language) -> tuple[Figure, ...]:
    """What was wished for, the exact dose, and what the rounded one gives."""
    return tuple(_granted(one, tongue) for one in computed.dialled)


def _granted(one: Dialled, tongue: Language) -> Figure:
    unit = tongue.word("unit", one.unit)
    gives = tongue.gettext(
        "gives pH %(ph)s, acidity %(acidity)s g/l, ΔE00 %(apart)s from the exact dose",
        ph=fixed(one.ph, 2, tongue), acidity=fixed(one.acidity_g_per_l, 1, tongue),
        apart=fixed(one.delta_e00, 1, tongue),
    )  # fmt: skip
    gave_way = "" if one.gave_way is None else f"; {_gave_way(one.gave_way, unit, tongue)}"
    return Figure(
        tongue.gettext("%(name)s until %(wish)s", name=one.name, wish=one.wish.text),
        tongue.gettext(
            "%(exact)s %(unit)s, poured as %(poured)s %(unit)s",
            exact=fixed(one.exact_ml, 2, tongue), poured=tidy(one.ml, 2, tongue), unit=unit,
        ),
        gives + gave_way,
    )  # fmt: skip


def _gave_way(one: GaveWay, unit: str, tongue: Language) -> str:
    colour = tongue.word("colour", one.colour)
    values = {**one.figures, "colour": colour, "unit": unit, "bounds": ", ".join(one.bounds)}
    return tongue.filled("gave way", one.phrase, values)


def calibrations(computed: Computed, tongue: Language) -> tuple[Figure, ...]:
    """Readings of the house: from the tables, after the fit, and as measured."""
    return tuple(
        Figure(f"{_read(one, tongue)}, {tongue.day(one.on)}", *_fitted(one, tongue))
        for one in computed.fits
    )


def _read(one: Fit, tongue: Language) -> str:
    """“absorbances at pH 3”, in a language."""
    return tongue.filled("fit", one.phrase, {"of": one.of, "ph": one.at_ph})


def _fitted(one: Fit, tongue: Language) -> tuple[str, str]:
    if one.unit == "times":
        return (
            f"× {fixed(one.fitted, 2, tongue)}",
            tongue.gettext("of what dose and time would give"),
        )
    if one.unit == "shift":
        sign = "+" if one.fitted >= 0.0 else ""
        moved = tongue.gettext("moved by readings at two or more pH")
        return f"{sign}{fixed(one.fitted, 2, tongue)}", moved
    if one.unit == "pH":
        measured, table = fixed(one.measured, 2, tongue), fixed(one.table, 2, tongue)
        return (
            tongue.gettext("measured %(value)s", value=measured),
            tongue.gettext("%(value)s without it", value=table),
        )
    decimals = 3 if one.unit == "AU" else 1
    now, was = (fixed(value, decimals, tongue) for value in (one.fitted, one.table))
    if one.kind in ("colour-before", "colour-after"):
        off = tongue.gettext("%(unit)s %(value)s off", unit=one.unit, value=now)
        return off, tongue.gettext("from what is worked out")
    return (
        tongue.gettext("%(unit)s %(value)s off", unit=one.unit, value=now),
        tongue.gettext("%(value)s before the fit", value=was),
    )


def _behind(inputs: tuple[Input, ...], tongue: Language) -> str:
    shares = (f"{_input(one, tongue)} {fixed(one.share * 100, 0, tongue)} %" for one in inputs[:2])
    return ", ".join(shares) or tongue.gettext("nothing much")


def _input(one: Input, tongue: Language) -> str:
    """“the acid in lemon juice”, in a language."""
    values = {"of": tongue.word("plant", one.of), "unit": tongue.word("unit", one.unit)}
    return tongue.filled("input", one.phrase, values)
