"""How sure a card is, in words: windows, ±, wishes granted, our light, other eyes, calibrations.

Belongs here: the phrases for what findings.py holds. Does not belong here: any of its working
(the engine), where on a page it stands (the themes).
"""

from __future__ import annotations

from anthocard.engine.findings import READABLE, Doubt, Fit, Input
from anthocard.engine.mix.taste import sugar_to_acid
from anthocard.engine.results import Computed, State
from anthocard.press.base.languages import Language
from anthocard.press.base.number_text import EN, fixed, tidy, volume
from anthocard.press.words.spec import Figure

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


def plus_minus_ph(state: State | None, doubt: Doubt | None, tongue: Language) -> str:
    """“±0.15”: half the middle nine tenths of the cloud, never better than a meter.

    Empty where no one figure is told.
    """
    if state is None or doubt is None or not isinstance(state.ph_told, float):
        return ""
    return f"±{fixed(max(doubt.ph.plus_minus, 0.05), 2, tongue)}"


def plus_minus_abv(state: State | None, doubt: Doubt | None, tongue: Language) -> str:
    """“±0.9”."""
    return "" if doubt is None or doubt.abv_percent.p95 <= 0.0 else (
        f"±{fixed(max(doubt.abv_percent.plus_minus, 0.1), 1, tongue)}"
    )  # fmt: skip


def with_spread(
    rows: tuple[Figure, ...], computed: Computed, tongue: Language
) -> tuple[Figure, ...]:
    """The table of figures with ± beside pH and strength, and sugar to acid after the sugar."""
    told: list[Figure] = []
    tells = {"ph": plus_minus_ph, "strength": plus_minus_abv}
    for row in rows:
        tell = tells.get(row.key)
        if tell is not None and computed.doubt_before is not None:
            first = tell(computed.before, computed.doubt_before, tongue)
            last = tell(computed.after, computed.doubt_after, tongue)
            spread = f"{row.before} {first}".strip(), f"{row.after} {last}".strip()
            row = Figure(row.label, *spread, row.key)
        told.append(row)
        if row.key == "sugar" and computed.is_drink:
            balance = (_balance(state, tongue) for state in (computed.before, computed.after))
            told.append(Figure(tongue.gettext("Sugar to acid"), *balance))
    return tuple(told)


def _balance(state: State | None, tongue: Language) -> str:
    ratio = None if state is None else sugar_to_acid(state)
    if state is None:
        return ""
    if ratio is None:
        return tongue.gettext("no acid to speak of")
    return f"{fixed(ratio, 1, tongue)} : 1"


def sureness(computed: Computed) -> tuple[Figure, ...]:
    """Rows of the spec page: spread of the colour, what is behind it, the window, eyes."""
    first, last = computed.doubt_before, computed.doubt_after
    if first is None:
        return ()
    rows = [
        Figure(
            "Colour, 19 of 20 within",
            f"ΔE00 {first.delta_e00:.0f}",
            f"ΔE00 {last.delta_e00:.0f}" if last else "",
        ),
        Figure("The colour hangs most on", _behind(first.colour_by), _behind_of(last, "colour_by")),
        Figure("The pH hangs most on", _behind(first.ph_by), _behind_of(last, "ph_by")),
    ]
    window = computed.window
    if window is not None:
        rows.append(
            Figure(
                "Window of the pour",
                f"pH {window.low_ph:.2f} to {window.high_ph:.2f}",
                f"ΔE00 {window.delta_e00_per_ml:.1f} a ml, "
                f"{window.delta_e00_per_tenth_ph:.1f} a tenth of pH",
            )
        )
    if computed.eyes is not None:
        seen = ", ".join(f"{who} {value:.0f}" for who, value in computed.eyes.seen)
        rows.append(Figure("The turn to each eye", f"ΔE00 {seen}"))
    return tuple(rows)


def measure_first(computed: Computed) -> str:
    """“Measure the acid in lemon juice”: the input most worth a reading; may be empty."""
    doubt = computed.doubt_after or computed.doubt_before
    named = [*doubt.ph_by, *doubt.colour_by] if doubt is not None else []
    readable = (one for one in named if one.kind in READABLE)
    best = max(readable, key=lambda one: one.share, default=None)
    return "" if best is None else f"To be surer, measure {best.words}."


def wishes(computed: Computed) -> tuple[Figure, ...]:
    """What was wished for, the exact dose, and what the rounded one gives."""
    return tuple(
        Figure(
            f"{one.name} until {one.wish.text}",
            f"{one.exact_ml:.2f} {one.unit}, poured as {tidy(one.ml, 2)} {one.unit}",
            f"gives pH {one.ph:.2f}, acidity {one.acidity_g_per_l:.1f} g/l, "
            f"ΔE00 {one.delta_e00:.1f} from the exact dose"
            + (f"; {one.trade_off}" if one.trade_off else ""),
        )
        for one in computed.dialled
    )


def calibrations(computed: Computed) -> tuple[Figure, ...]:
    """Readings of the house: from the tables, after the fit, and as measured."""
    return tuple(Figure(f"{one.what}, {EN.day(one.on)}", *_fitted(one)) for one in computed.fits)


def _fitted(one: Fit) -> tuple[str, str]:
    if one.unit == "times":
        return f"× {one.fitted:.2f}", "of what dose and time would give"
    if one.unit == "shift":
        return f"{one.fitted:+.2f}".replace("-", "−"), "moved by readings at two or more pH"
    if one.unit == "pH":
        return f"measured {one.measured:.2f}", f"{one.table:.2f} without it"
    decimals = 3 if one.unit == "AU" else 1
    was, now = f"{one.table:.{decimals}f}", f"{one.fitted:.{decimals}f}"
    return f"{one.unit} {now} off", f"{was} before the fit"


def _behind(inputs: tuple[Input, ...]) -> str:
    told = (f"{one.words} {one.share * 100:.0f} %" for one in inputs[:2])
    return ", ".join(told) or "nothing much"


def _behind_of(doubt: Doubt | None, which: str) -> str:
    return "" if doubt is None else _behind(getattr(doubt, which))
