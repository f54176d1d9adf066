"""How a liquid looks: its colour through the glass it stands in.

Belongs here: putting pigments, ways of light and the eye together, and telling an author where a
pigment fails. Does not belong here: any of those by itself (pigments, engine/optics, colours).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from anthocard.diagnostics.diagnostic import Mistake, Place
from anthocard.diagnostics.tables import read_table
from anthocard.engine.mix import chill
from anthocard.engine.optics.sight import VIEWS, Sight, Which, sample_tube
from anthocard.engine.results import Seen, State, Turn
from anthocard.engine.together import Work, alone, ask, at_once, column
from anthocard.facts.chemistry.liquid import PLANTS, Floats, Liquid
from anthocard.facts.chemistry.volume import volume_ml
from anthocard.facts.colour import colours, pigments
from anthocard.facts.colour.colours import Colour
from anthocard.facts.colour.optics import transmittance_through
from anthocard.house.model import Drink
from anthocard.house.settings import House

_EVERY = 4  # wavelength is enough of a cloud: each 20 nm


@dataclass(frozen=True, slots=True, eq=False)
class Turned:
    """Stops along a pour: `share` (n,) of it, 0-1, and what the drink `absorbs` there, (n, 81)."""

    share: Floats
    absorbs: Floats


def transmittance(
    liquid: Liquid, ph: ArrayLike, sight: Sight, which: Which, pk_shift: ArrayLike = 0.0
) -> Floats:
    """Light left of a drink in its vessel, seen one way, shape (…, 81) on 380-780 nm.

    To a millionth of itself, which is a thousandth of what anyone sees of a colour.
    """
    volume = volume_ml(liquid)
    absorbance = pigments.absorbance_per_cm(liquid, volume, ph, pk_shift)
    return transmittance_through(absorbance.astype(np.float32), sight.paths(which, volume))


def xyz_of_cloud(
    cloud: Liquid, ph: ArrayLike, sight: Sight, pk_shift: ArrayLike, longer: ArrayLike
) -> Floats:
    """Tristimulus values (…, 3) from the side, of so many that a thousandth of each is enough.

    `longer` stretches every way: 1.1 where the glass is looked at through a tenth more.
    """
    volume = volume_ml(cloud)
    absorbance = pigments.absorbance_per_cm(cloud, volume, ph, pk_shift, _EVERY)
    absorbance *= np.asarray(longer)[..., np.newaxis]
    ways = sight.paths("side", volume)
    return colours.to_xyz(transmittance_through(absorbance.astype(np.float32), ways), _EVERY)


def seen(liquid: Liquid, ph: float, sight: Sight, pk_shift: float = 0.0) -> Seen:
    """One liquid from the side and from above: its colours and how long light's way is."""
    return alone(seeing(liquid, ph, sight, pk_shift))


def seeing(liquid: Liquid, ph: float, sight: Sight, pk_shift: float = 0.0) -> Work[Seen]:
    """The same, asked together with others."""
    views = (_looking(liquid, ph, sight, which, pk_shift) for which in VIEWS)
    (side, side_mm), (above, above_mm) = yield from at_once(views)
    from_side, from_above = yield from shown(colours.to_xyz(np.stack([side, above])))
    return Seen(from_side, from_above, float(side_mm), float(above_mm))


def light(
    liquid: Liquid, ph: ArrayLike, sight: Sight, which: Which, pk_shift: ArrayLike = 0.0
) -> Work[Floats]:
    """The `transmittance`, asked together with others."""
    found, _ = yield from _looking(liquid, ph, sight, which, pk_shift)
    return found


def _looking(
    liquid: Liquid, ph: ArrayLike, sight: Sight, which: Which, pk_shift: ArrayLike
) -> Work[tuple[Floats, Floats]]:
    """Light left (…, 81) and the mean length of its way, mm (…)."""
    asked = (liquid.amounts, column(ph), column(pk_shift))
    found, mean_mm = yield from ask(_looked, *asked, fixed=(sight, which))
    return found, mean_mm


def _looked(
    amounts: Floats, ph: Floats, pk_shift: Floats, sight: Sight, which: Which
) -> tuple[Floats, Floats]:
    liquid = Liquid(amounts)
    volume = volume_ml(liquid)
    ways = sight.paths(which, volume)
    absorbance = pigments.absorbance_per_cm(liquid, volume, ph[:, 0], pk_shift[:, 0])
    return transmittance_through(absorbance.astype(np.float32), ways), ways.mean_mm


def shown(xyz: Floats) -> Work[list[Colour]]:
    """The colours of tristimulus values (n, 3), asked together with others."""
    (found,) = yield from ask(_shown, xyz)
    return list(found)


def _shown(xyz: Floats) -> tuple[NDArray[np.object_]]:
    return (np.array(colours.colours_of_xyz(xyz), dtype=object),)


def apart(lab_1: Floats, lab_2: Floats) -> Work[Floats]:
    """CIEDE2000 between CIELAB colours (…, 3), asked together with others."""
    (found,) = yield from ask(_apart, lab_1, lab_2)
    differences: Floats = found
    return differences


def _apart(lab_1: Floats, lab_2: Floats) -> tuple[Floats]:
    return (colours.delta_e_2000(lab_1, lab_2),)


def along(before: State, after: State | None, turn: Turn | None, stops: int) -> Turned:
    """What a drink absorbs on its way from before to after, at stops an equal change apart.

    Without a turn there is one stop, the drink as it is.
    """
    if after is None or turn is None or not np.isfinite(turn.lab).all():
        return Turned(np.zeros(1), _absorbs(before.liquid, before.ph, before.pk_shift)[np.newaxis])
    dose = turn.poured_ml <= 1.0001 * float(volume_ml(after.liquid) - volume_ml(before.liquid))
    dose[0] = True
    poured = turn.poured_ml[dose] / max(float(turn.poured_ml[dose][-1]), 1e-9)
    steps = colours.delta_e_2000(turn.lab[dose][1:], turn.lab[dose][:-1])
    come = np.concatenate([[0.0], np.cumsum(steps)]) + 1e-3 * poured
    share = np.interp(np.linspace(0.0, come[-1], stops), come, poured)
    liquids = before.liquid + (after.liquid + before.liquid * -1.0) * share
    ph = np.interp(share, poured, turn.ph[dose])
    ph[0], ph[-1] = before.ph, after.ph
    return Turned(share, _absorbs(liquids, ph, after.pk_shift))


def _absorbs(liquid: Liquid, ph: ArrayLike, pk_shift: float) -> Floats:
    return pigments.absorbance_per_cm(liquid, volume_ml(liquid), ph, pk_shift)


def sight_of(drink: Drink, house: House) -> Sight:
    """What a drink is looked at through, as it is served."""
    views = house.views
    share = chill.ice_share(drink, house)
    return Sight(house.glasses[drink.glass], share, (views.side, views.above))


def sample() -> Sight:
    """The sample tube through which liquids that are not served are looked at."""
    row = read_table("anthocard.engine.mix", "methods.yaml")["samples"]["bottle"]
    return sample_tube(float(row["width_mm"]))


def warnings(one: State, place: Place, what: str) -> Iterator[Mistake]:
    """A warning for every pigment that does not hold at the pH and strength of a liquid."""
    for key in PLANTS:
        if float(one.liquid[f"{key}_au_ml"]) > 0.0:
            for kind, words in pigments.failings(key, one.ph, one.abv_percent):
                yield Mistake(
                    kind,
                    f"{what}: {pigments.plant(key).label.lower()} {words}",
                    place,
                    "make a glass and look, or colour it with another plant",
                    "warning",
                )
