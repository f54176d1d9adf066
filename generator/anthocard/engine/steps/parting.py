"""Steps that take something out: strain, press, clear, wash, thaw; and what stays with it.

Belongs here: yields, and what a curd, a cap of fat or a gel takes along. Does not belong here: what
went in (drawing.py), heat (heating.py).

Where nobody published what a step takes of a colour, the colour is withheld from then on.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from anthocard.engine.steps.drawing import draw, steep
from anthocard.engine.steps.pot import Done, Given, Pot, StepError, came_out, need_liquid, parted
from anthocard.facts.chemistry import yields
from anthocard.facts.chemistry.equilibrium import measure_ph
from anthocard.facts.chemistry.liquid import Liquid
from anthocard.facts.pantry import Range
from anthocard.house.steps import Clarify, Press, Steep, Strain, Thaw, Wash, strained_fine


def strain(step: Strain | Press, pot: Pot) -> tuple[Pot, Done]:
    """Take out what lies in it, with the liquid that stays in it and in the strainer."""
    word = "strain" if isinstance(step, Strain) else "press"
    if not pot.solids and not pot.cloudy:
        raise StepError(
            "nothing-to-strain",
            f"there is nothing in it to {word}",
            "put it after the step that steeps, juices or washes, or take it away",
            word,
        )
    if any(one.fat for one in pot.solids) and pot.frozen_c is None:
        raise StepError(
            "fat-not-set",
            "the fat is still liquid, and would run through",
            "freeze it before: “- freeze: -18 °C”",
            word,
        )
    cloth = step.strain if isinstance(step, Strain) else step.press
    gives = _through(pot, cloth, pressed=isinstance(step, Press))
    share, gives = _share(step, pot, gives)
    if share <= 0.0:
        raise StepError(
            "no-yield",
            "nothing comes through the strainer",
            "use less plant, or write the yield you measured, such as “yield: 90 %”",
            "yield" if step.gives is not None else word,
        )
    clear = cloth == "paper"
    solids_g = sum(one.g for one in pot.solids)
    pot, left_g = parted(replace(pot, solids=(), cloudy=pot.cloudy and not clear), share)
    if clear:
        pot = _cleared(pot)
    done = Done(word, 0.0, pot.ml, pot.g, left_g + solids_g, gives, step.gives is not None)
    return pot, done


def wash(step: Wash, pot: Pot, lots: Sequence[Given]) -> tuple[Pot, Done]:
    """With milk or egg white, whose curd or flakes leave at once; with fat; with leaves of tea."""
    kinds = {_sort(one) for one in lots}
    if len(kinds) > 1:
        raise StepError(
            "two-washes", "two kinds of wash are two steps", "write one below the other", "wash"
        )
    need_liquid(pot, "nothing-to-wash", "wash", "wash")
    put_in = sum(one.g for one in lots)
    sort = kinds.pop()
    if sort == "tea":
        hours = float(yields.row("tea_wash", "hours")["time"]) if step.time is None else step.time
        steeped, _ = steep(
            Steep.model_construct(steep=step.wash, time=hours, temperature=step.temperature),
            pot,
            lots,
        )
        after, taken = strain(strained_fine(step.gives), steeped)
        return after, replace(taken, word="wash", put_in_g=put_in)
    if sort == "fat":
        return _with_fat(step, pot, lots)
    return _with_curd(step, pot, lots, sort)


def clarify(step: Clarify, pot: Pot, lots: Sequence[Given]) -> tuple[Pot, Done]:
    """Take the cloud out, and with it the liquid that the gel, lees or pellet holds.

    Acid, sugar and alcohol stand as they were, but for the water that agents bring. Bentonite, milk
    and egg sweep colour along; agar and enzymes are not known to.
    """
    need_liquid(pot, "nothing-to-clear", "clear", "clarify")
    put_in = sum(one.g for one in lots)
    waters = [one for one in lots if float(one.per_g["water_g"]) > 0.5]
    agents_g = put_in - sum(one.g for one in waters)
    mixed = Liquid.mix((pot.liquid, *(one.per_g * one.g for one in waters)))
    pot = replace(pot, liquid=mixed)
    if any(one.name == "bentonite" for one in lots) and pot.coloured:
        pot = pot.without("colour", "nobody published what bentonite takes of it")
    share, gives = _share(step, pot, yields.given(step.clarify))
    solids_g = sum(one.g for one in pot.solids)
    pot, left_g = parted(replace(pot, solids=()), share)
    pot = replace(_cleared(pot), cloudy=step.clarify == "enzyme", foams=())
    left = left_g + solids_g + agents_g
    return pot, Done("clarify", put_in, pot.ml, pot.g, left, gives, step.gives is not None)


def thaw(step: Thaw, pot: Pot) -> tuple[Pot, Done]:
    """Let it thaw: the whole, or what runs off first, which is stronger than the whole.

    By how much lies between not at all and as much as it is less; the middle is taken.
    """
    if pot.frozen_c is None:
        raise StepError(
            "nothing-frozen",
            "nothing is frozen yet",
            "freeze it before: “- freeze: -18 °C”",
            "thaw",
        )
    share = came_out(step.thaw, pot)
    pot = replace(pot, frozen_c=None)
    if share >= 1.0:
        return pot, Done("thaw", 0.0, pot.ml, pot.g, 0.0)
    before_g, solids_g = float(pot.liquid.mass_g), sum(one.g for one in pot.solids)
    kept = min(1.0, share * (1.0 + 1.0 / share) / 2.0)
    dissolved = pot.liquid * kept
    wanted_ml = pot.ml * share
    water_g = float(pot.liquid["water_g"]) * share
    for _ in range(40):
        pot = replace(pot, liquid=dissolved.having(water_g=max(0.0, water_g)))
        water_g += wanted_ml - pot.ml
    pot = replace(_cleared(pot), solids=(), cloudy=False)
    left = before_g - float(pot.liquid.mass_g) + solids_g
    return pot, Done("thaw", 0.0, pot.ml, pot.g, left, weighed=True)


def _with_fat(step: Wash, pot: Pot, lots: Sequence[Given]) -> tuple[Pot, Done]:
    """Fat lies on the spirit until it is frozen and strained; its water stays in the spirit."""
    put_in = sum(one.g for one in lots)
    water = sum(one.g * one.produce.water for one in lots if one.produce is not None)
    lying = [replace(one, g=one.g * (1.0 - _water(one))) for one in lots]
    from_fat, _ = steep(
        Steep.model_construct(steep=step.wash, time=step.time or 0.0, temperature=step.temperature),
        pot,
        lying,
    )
    pot = replace(from_fat, liquid=from_fat.liquid + Liquid.of(water_g=water))
    return pot, Done("wash", put_in, pot.ml, pot.g, 0.0)


def _with_curd(step: Wash, pot: Pot, lots: Sequence[Given], sort: str) -> tuple[Pot, Done]:
    """Milk curdles in acid and takes its casein and fat along; egg white takes most of itself."""
    put_in = sum(one.g for one in lots)
    if sort == "milk":
        rows = yields.row("milk", "curd")
        per_g = (rows["casein_g_per_kg"] + rows["fat_g_per_kg"]) / 1000.0
    else:
        per_g = yields.row("egg", "white")["solids_left_g_per_kg"] / 1000.0
    washed = Liquid.mix((pot.liquid, *(one.per_g * one.g for one in lots)))
    if sort == "milk":
        _check_curdles(washed)
    solids = sum(float(one.per_g["solutes_g"]) * one.g for one in lots)
    out_g = min(solids, put_in * per_g)
    ml_per_g = float(washed["solutes_ml"]) / max(1e-9, float(washed["solutes_g"]))
    washed = washed.having(
        solutes_g=washed["solutes_g"] - out_g, solutes_ml=washed["solutes_ml"] - out_g * ml_per_g
    )
    pot = draw(replace(pot, liquid=washed), step.time or 0.0, step.temperature or 20.0)
    if pot.coloured or float(washed["yellow_au_ml"]) > 0.0:
        name = " and ".join(one.name for one in lots)
        pot = pot.without("colour", f"nobody published what {name} takes of it")
    share, gives = _share(step, pot, yields.given(sort))
    pot, left_g = parted(replace(_cleared(pot), cloudy=True), share)
    return pot, Done("wash", put_in, pot.ml, pot.g, left_g + out_g, gives, step.gives is not None)


def _check_curdles(washed: Liquid) -> None:
    ph, most = float(measure_ph(washed, 20.0).ph), float(yields.row("milk", "point")["ph"])
    if ph > most:
        raise StepError(
            "no-curd",
            f"milk does not curdle here: the whole stands at pH {ph:.1f}, and it wants {most:g} or "
            "less",
            "sour it first, as with lemon juice or citric acid, or use less milk",
            "wash",
        )


def _sort(one: Given) -> str:
    if one.produce is not None:
        return "fat" if one.produce.fat else "tea"
    if one.kind in ("dairy", "egg"):
        return "milk" if one.kind == "dairy" else "egg"
    raise StepError(
        "no-wash",
        f"nothing is known of a wash with {one.name}",
        "wash with milk, egg white, a fat or tea; anything else is “add” or “steep”",
        "wash",
    )


def _water(one: Given) -> float:
    return 0.0 if one.produce is None else one.produce.water


def _through(pot: Pot, cloth: str, *, pressed: bool) -> Range:
    """Least, usual and most of each ml that comes through: what plants, fat and cloth keep."""
    volume = pot.ml
    if volume <= 0.0:
        return 0.0, 0.0, 0.0
    less = float(yields.row("pressed", "share")["of_held"]) if pressed else 1.0
    kept = yields.held_by_strainer_ml(cloth)
    fat = yields.given("fat") if any(one.fat for one in pot.solids) else (1.0, 1.0, 1.0)

    def through(end: int) -> float:
        held = sum(one.held_ml[end] for one in pot.solids) * less + kept[end]
        return (1.0 - held / volume) * fat[2 - end]

    return max(0.0, through(2)), max(0.0, through(1)), max(0.0, through(0))


def _share(step: Strain | Press | Wash | Clarify, pot: Pot, usual: Range) -> tuple[float, Range]:
    """The share that comes out, as weighed or as usual, and the range told of it."""
    if step.gives is None:
        return usual[1], usual
    part = came_out(step.gives, pot)
    return part, (part, part, part)


def _cleared(pot: Pot) -> Pot:
    left = float(yields.row("cleared", "haze")["left"])
    return replace(pot, liquid=pot.liquid.having(haze_au_ml=pot.liquid["haze_au_ml"] * left))
