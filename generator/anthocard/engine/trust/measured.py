"""What a computed drink is told beside its figures: its window, its doubts, our light, other eyes.

Belongs here: calling those steps in order and warning an author of what they find. Does not belong
here: any of the steps themselves (tolerance.py, uncertainty.py, colour_vision.py).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Any, Final

from anthocard.diagnostics.diagnostic import MistakeLog, Place
from anthocard.diagnostics.tables import read_table
from anthocard.engine.findings import READABLE, Fit, FitKind, Uncertainty, Window
from anthocard.engine.mix import chill
from anthocard.engine.mix.appearance import sight_of
from anthocard.engine.mix.assemble import Poured
from anthocard.engine.mix.calibration import readings_of
from anthocard.engine.mix.fitting import read_lab
from anthocard.engine.mix.line import Line
from anthocard.engine.mix.pour import poured_liquid
from anthocard.engine.optics.sight import Sight
from anthocard.engine.results import Computed, State
from anthocard.engine.together import Work, at_once
from anthocard.engine.trust import turning
from anthocard.engine.trust.colour_vision import eyes, in_our_light
from anthocard.engine.trust.model_uncertainty import stated
from anthocard.engine.trust.tolerance import with_mend
from anthocard.engine.trust.uncertainty import uncertainties
from anthocard.facts.chemistry.carbonation import tap_water
from anthocard.facts.chemistry.liquid import Liquid
from anthocard.facts.chemistry.volume import volume_ml
from anthocard.facts.colour.colours import delta_e_2000
from anthocard.house.collection import Collection
from anthocard.house.model import Drink
from anthocard.house.readings import Calibration
from anthocard.house.settings import House

METER_PH = 0.05  # what a well-kept meter may be out by


def found_out(
    figures: Computed,
    recipe: Drink,
    collection: Collection,
    poured: Sequence[Poured],
    revealed: Sequence[Poured],
    chilled: chill.Chilled,
    pk_shift: float,
    log: MistakeLog,
) -> Work[Computed]:
    """The figures of a drink with window, doubts, light and eyes; warnings go to `log`."""
    house, after = collection.house, figures.after
    sight = sight_of(recipe, house)
    melt = tap_water(chilled.melt_g, house.water.alkalinity_mg_caco3_per_l)
    asked: list[Work[Any]] = [
        uncertainties(
            poured, revealed, melt, (figures.before, after), house, chilled.spread, sight, pk_shift
        ),
        *(in_our_light(one, house, sight, pk_shift) for one in (figures.before, after) if one),
        *_along(figures, recipe, house, revealed, sight, pk_shift),
    ]
    doubts, ours, *found = yield from at_once(asked)
    uncertainty_before, uncertainty_after = doubts
    ours_after = found.pop(0) if after else None
    figures = replace(
        figures,
        before=stated(figures.before, uncertainty_before),
        after=None if after is None else stated(after, uncertainty_after),
        uncertainty_before=uncertainty_before,
        uncertainty_after=uncertainty_after,
        ours_before=ours,
        ours_after=ours_after,
    )
    figures = replace(figures, fits=tuple(_metered(figures, collection, log)))
    if not revealed or figures.after is None:
        turning.tell_unrevealed(figures, recipe, collection, log)
        return figures
    last_state = figures.after
    stages = (*figures.stages[:-1], replace(figures.stages[-1], state=last_state))
    figures = replace(figures, stages=stages)
    if not found:
        return figures
    window, seen = found
    if seen is not None and not turning.turns(figures):  # then it is nobody's eyes that fail
        seen = replace(seen, unseen=(), mends=())
    figures = replace(figures, window=window, eyes=seen)
    turning.tell(figures, recipe, collection, log)
    _tell(figures, recipe, collection, log)
    return figures


def _along(
    figures: Computed,
    recipe: Drink,
    house: House,
    revealed: Sequence[Poured],
    sight: Sight,
    pk_shift: float,
) -> tuple[Work[Any], ...]:
    """The window of the last pour and who sees the turn, still to be asked; none where none is."""
    added = [poured_liquid(*one, house) for one in revealed]
    whole_ml = float(volume_ml(Liquid.mix(added)))
    if figures.after is None or whole_ml <= 0.0:
        return ()
    poured_c = chill.start_temperature(revealed[-1][0].kind, house)
    last_ml = float(volume_ml(added[-1]))
    window, seen = _none(), _none()
    if last_ml > 0.0:
        line = _line(figures.states[-2], added[-1], poured_c, sight, pk_shift)
        window = with_mend(line, last_ml)
    if not recipe.steady:
        seen = eyes(_line(figures.before, Liquid.mix(added), poured_c, sight, pk_shift), whole_ml)
    return window, seen


def _none() -> Work[Any]:
    return None
    yield  # asks nothing


def _line(state: State, added: Liquid, poured_c: float, sight: Sight, pk_shift: float) -> Line:
    """The line from one state along what is added to it."""
    per_ml = added * (1.0 / float(volume_ml(added)))
    return Line(state.liquid, per_ml, state.temperature_c, poured_c, sight, pk_shift)


def _metered(figures: Computed, collection: Collection, log: MistakeLog) -> Iterator[Fit]:
    """What was read of this drink beside what was worked out; a warning beyond the doubt."""
    for row in readings_of(collection, figures.name):
        one = figures.before if row.when == "before" else figures.after
        uncertainty = (
            figures.uncertainty_before if row.when == "before" else figures.uncertainty_after
        )
        if one is None or uncertainty is None:
            continue
        if row.sees_colour and not row.absorbances:
            yield _photographed(row, one, collection, log)
        if row.ph is None:
            continue
        yield Fit(
            "ph-after" if row.when == "after" else "ph-before",
            "pH",
            one.ph,
            one.ph,
            row.ph,
            row.measured,
        )
        if abs(row.ph - one.ph) > 1.5 * uncertainty.ph.plus_minus + METER_PH:
            log.add(
                "far-from-measured",
                f"{row.when} the pour a meter read pH {row.ph:.2f}, and {one.ph:.2f} is worked out",
                _row_place(row, collection),
                f"measure {_readable(uncertainty)}",
                "warning",
            )


def _photographed(row: Calibration, one: State, collection: Collection, log: MistakeLog) -> Fit:
    """How far the colour that was read of a drink is from the one it is told to have."""
    away = float(delta_e_2000(one.seen.side.lab, read_lab(row)))
    most = read_table("anthocard.engine.mix", "calibration.yaml")["far"]["colour"]["most"]
    if away > most + (row.within or 0.0):
        log.add(
            "far-from-measured",
            f"{row.when} the pour its colour was read ΔE00 {away:.0f} from what is worked out",
            _row_place(row, collection),
            "look at it beside its card in daylight, and measure its pH and what is in it",
            "warning",
        )
    kind: FitKind = "colour-after" if row.when == "after" else "colour-before"
    return Fit(kind, "ΔE00", away, away, 0.0, row.measured)


def _row_place(row: Calibration, collection: Collection) -> Place:
    number = next(n for n, one in enumerate(collection.house.calibrations) if one is row)
    return collection.at(collection.house, ("calibrations", number))


def _readable(uncertainty: Uncertainty) -> str:
    """What an author can measure of what is behind a doubt."""
    words = (one.words for one in uncertainty.ph_by if one.kind in READABLE)
    return next(words, "the ingredients")


def _tell(figures: Computed, recipe: Drink, collection: Collection, log: MistakeLog) -> None:
    place = collection.at(recipe, recipe.at_reveal(len(recipe.revealing) - 1))
    if figures.window is not None and figures.window.narrow:
        log.add("narrow-window", *_narrow(figures.window), place, _mend(figures.window), "warning")
    unseen = figures.eyes.unseen if figures.eyes is not None else ()
    if figures.eyes is not None and unseen:
        log.add(
            "unseen-turn",
            f"a guest whose eyes are weak in {' or '.join(map(_WEAK.__getitem__, unseen))} would "
            "hardly see this turn",
            place,
            "; ".join(
                f"for {_WEAK[eye]}, {mend.removeprefix(f'{eye}: ')}"
                for eye, mend in zip(unseen, figures.eyes.mends, strict=True)
            ),
            "warning",
        )


#: What an eye lacks, as anybody says it.
_WEAK: Final = {"protan": "red", "deutan": "green", "tritan": "blue"}


def _narrow(window: Window) -> tuple[str]:
    high = "ml up" if window.high_ml is None else f"to {window.high_ml:.1f} ml"
    return (
        f"the colour is right only from {window.low_ml:.1f} {high}, and a pour may be "
        f"±{window.accuracy_ml:.1f} ml out",
    )


def _mend(window: Window) -> str:
    if window.wider_ml is None or window.wider_low_ml is None:
        return "pour with a pipette"
    end = "ml up" if window.wider_high_ml is None else f"to {window.wider_high_ml:.1f} ml"
    return (
        f"cut it with as much water and pour {window.wider_ml:.1f} ml: then the colour is right "
        f"from {window.wider_low_ml:.1f} {end}"
    )
