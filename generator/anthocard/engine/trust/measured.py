"""What a computed drink is told beside its figures: its window, its doubts, our light, other eyes.

Belongs here: calling those steps in order and warning an author of what they find. Does not belong
here: any of the steps themselves (tolerance.py, uncertainty.py, colour_vision.py).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Final

from anthocard.diagnostics.diagnostic import MistakeLog
from anthocard.engine.findings import READABLE, Eyes, Fit, Uncertainty, Window
from anthocard.engine.mix import chill
from anthocard.engine.mix.appearance import sight_of
from anthocard.engine.mix.assemble import Poured
from anthocard.engine.mix.calibration import readings_of
from anthocard.engine.mix.line import Line
from anthocard.engine.mix.pour import poured_liquid
from anthocard.engine.optics.sight import Sight
from anthocard.engine.results import Computed, State
from anthocard.engine.trust import colour_vision as eyes, turning
from anthocard.engine.trust.model_uncertainty import stated
from anthocard.engine.trust.tolerance import with_mend
from anthocard.engine.trust.uncertainty import uncertainties
from anthocard.facts.chemistry.carbonation import tap_water
from anthocard.facts.chemistry.liquid import Liquid
from anthocard.facts.chemistry.volume import volume_ml
from anthocard.house.collection import Collection
from anthocard.house.model import Drink

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
) -> Computed:
    """The figures of a drink with window, doubts, light and eyes; warnings go to `log`."""
    house, after = collection.house, figures.after
    sight = sight_of(recipe, house)
    uncertainty_before, uncertainty_after = uncertainties(
        poured,
        revealed,
        tap_water(chilled.melt_g, house.water.alkalinity_mg_caco3_per_l),
        (figures.before, after),
        house,
        chilled.spread,
        sight,
        pk_shift,
    )
    figures = replace(
        figures,
        before=stated(figures.before, uncertainty_before),
        after=None if after is None else stated(after, uncertainty_after),
        uncertainty_before=uncertainty_before,
        uncertainty_after=uncertainty_after,
        ours_before=eyes.in_our_light(figures.before, house, sight, pk_shift),
        ours_after=eyes.in_our_light(after, house, sight, pk_shift) if after else None,
    )
    figures = replace(figures, fits=tuple(_metered(figures, collection, log)))
    if not revealed or figures.after is None:
        turning.tell_unrevealed(figures, recipe, collection, log)
        return figures
    last_state = figures.after
    stages = (*figures.stages[:-1], replace(figures.stages[-1], state=last_state))
    figures = replace(figures, stages=stages)
    added = [poured_liquid(*one, house) for one in revealed]
    whole, last = Liquid.mix(added), added[-1]
    if float(volume_ml(whole)) <= 0.0:
        return figures
    poured_c = chill.start_temperature(revealed[-1][0].kind, house)
    turned = _line(figures.before, whole, poured_c, sight, pk_shift)
    if not recipe.steady:
        eyes_found = _eyes(figures, turned, float(volume_ml(whole)))
        figures = replace(figures, eyes=eyes_found)
    if float(volume_ml(last)) > 0.0:
        line = _line(figures.states[-2], last, poured_c, sight, pk_shift)
        figures = replace(figures, window=with_mend(line, float(volume_ml(last))))
    turning.tell(figures, recipe, collection, log)
    _tell(figures, recipe, collection, log)
    return figures


def _line(state: State, added: Liquid, poured_c: float, sight: Sight, pk_shift: float) -> Line:
    """The line from one state along what is added to it."""
    per_ml = added * (1.0 / float(volume_ml(added)))
    return Line(state.liquid, per_ml, state.temperature_c, poured_c, sight, pk_shift)


def _eyes(figures: Computed, line: Line, dose_ml: float) -> Eyes:
    """Who sees the turn; where there is none to see, it is nobody's eyes that fail."""
    seen = eyes.eyes(line, dose_ml)
    return seen if turning.turns(figures) else replace(seen, unseen=(), mends=())


def _metered(figures: Computed, collection: Collection, log: MistakeLog) -> Iterator[Fit]:
    """What a meter read in this drink beside what was worked out; a warning beyond the doubt."""
    for row in readings_of(collection, figures.name):
        one = figures.before if row.when == "before" else figures.after
        uncertainty = (
            figures.uncertainty_before if row.when == "before" else figures.uncertainty_after
        )
        if row.ph is None or one is None or uncertainty is None:
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
                collection.at(
                    collection.house, ("calibrations", collection.house.calibrations.index(row))
                ),
                f"measure {_readable(uncertainty)}",
                "warning",
            )


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
