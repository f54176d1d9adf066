"""What is told of a shift: without a bottle, from a shelf, for a guest; for people and as JSON.

Belongs here: the lines and the shape of those three answers. Does not belong here: working them out
(engine/trade, engine/safety), options (commands/tonight.py).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from typing import Any, Final

from anthocard.engine.safety.for_guest import ANSWERS, Served
from anthocard.engine.trade.on_the_shelf import Makeable
from anthocard.engine.trade.stand_ins import Dose, Gap, StandIn
from anthocard.facts.colour.apart import seen_apart

MOST: Final = 3  # bottles told for one gap; chosen
_LIKENESS: Final = {"the same": "looks the same", "side by side": "looks much the same"}
_BY: Final = {
    "acidity": "as sour", "pH": "the same pH", "colour": "nearest in colour",
    "sweetness": "as sweet", "strength": "as strong",
}  # fmt: skip
_HEADS: Final = {
    "safe": "Safe",
    "safe without": "Can be made safe",
    "not safe": "Not safe",
    "unknown": "Unknown: do not serve it before you know",
}


@dataclass(frozen=True, slots=True)
class Missed:
    """A drink that needs what is missing: its gaps, the garnishes it loses, what a stand-in brings
    (allergens, by its name), and the lines nobody can measure. `jars` are the lines that the house
    makes of what is missing, each with what it can be made of instead, ml for 100 ml: what stands
    of them still pours.
    """

    name: str
    gaps: tuple[Gap, ...]
    garnish: tuple[str, ...]
    uncounted: tuple[str, ...]
    brings: Mapping[str, tuple[str, ...]]
    jars: Mapping[str, tuple[tuple[str, float], ...]]

    @property
    def saved(self) -> bool:
        """Whether every gap is filled."""
        return not self.uncounted and all(
            any(it.saves for it in gap.stand_ins) or all(self.jars.get(n) for n in gap.names)
            for gap in self.gaps
        )


def without_lines(missing: str, drinks: Sequence[Missed]) -> list[str]:
    """Each drink with what stands in, then those that cannot be saved."""
    if not drinks:
        return [f"No drink needs {missing}."]
    saved = [one for one in drinks if one.saved]
    lost = [one for one in drinks if not one.saved]
    lines = [f"Without {missing}: {len(drinks)} drinks, {len(saved)} of them can be saved."]
    for one in saved:
        lines += ["", one.name, *_gaps(one, saving=True)]
    if lost:
        lines += ["", "Cannot be saved"]
    for one in lost:
        lines += ["", one.name, *_gaps(one, saving=False)]
    return lines


def without_json(missing: Sequence[str], drinks: Sequence[Missed]) -> dict[str, Any]:
    """The same as plain values; `off` is ΔE00."""
    return {"without": list(missing), "drinks": [{**asdict(d), "saved": d.saved} for d in drinks]}


def _gaps(one: Missed, saving: bool) -> list[str]:
    lines = []
    for name, instead in one.jars.items():
        lines.append(f"  {name}: what stands of it still pours")
        if instead:
            others = " or ".join(f"{ml:.0f} ml {other}" for other, ml in instead[:MOST])
            lines.append(f"    to make more, for 100 ml: {others}")
    for gap in one.gaps:
        some = [it for it in gap.stand_ins if it.saves or not saving]
        if not some and all(one.jars.get(name) for name in gap.names):
            continue
        reveal = ", the reveal" if gap.role == "reveal" else ""
        lines.append(f"  for {gap.ml:.3g} ml {' and '.join(gap.names)}{reveal}:")
        if not some:
            lines.append("    nothing in the house is there for the same thing")
        for it in some[:MOST]:
            lines.append(_stand_in(it, gap, one.brings.get(it.name, ())))
    lines += [f"  leave out, or find another: {line}" for line in one.garnish]
    lines += [
        f"  {line}: nobody knows how much it is, so nothing is worked out" for line in one.uncounted
    ]
    return lines


def _stand_in(it: StandIn, gap: Gap, brings: Sequence[str]) -> str:
    """The best dose of a bottle whole, then what else it could be matched by."""
    best, *others = it.doses
    more = [f"{_same(dose)} at {dose.ml:g} ml" for dose in others]
    line_text = f"    {best.ml:g} ml {it.name}: {_reads(best, gap)}"
    line_text += f" ({'; '.join(more)})" if more else ""
    return f"{line_text}; BRINGS {', '.join(brings)}" if brings else line_text


def _same(dose: Dose) -> str:
    return ", ".join(_BY[by] for by in dose.by)


def _reads(dose: Dose, gap: Gap) -> str:
    looks = _LIKENESS.get(seen_apart(dose.off), "another colour")
    sour = f"acidity {dose.acidity_g_per_l:.1f} g/l for {gap.acidity_g_per_l:.1f}"
    parts = (_same(dose), looks, f"pH {dose.ph:.1f} for {gap.ph:.1f}", sour)
    return ", ".join(part for part in parts if part)


def shelf_lines(drinks: Sequence[Makeable]) -> list[str]:
    """What can be made, what lacks one thing, and how many lack more."""
    whole = [one for one in drinks if not one.missing]
    short = [one for one in drinks if len(one.missing) == 1]
    lines = [f"{len(whole)} of {len(drinks)} drinks can be made from what is there."]
    lines += [f"  {one.name}{_bare(one)}" for one in whole]
    if short:
        lines += ["", "One thing short"]
        lines += [f"  {one.name}: {one.missing[0]}{_bare(one)}" for one in short]
    more = len(drinks) - len(whole) - len(short)
    return [*lines, "", f"{more} more lack two things or more."] if more else lines


def _bare(one: Makeable) -> str:
    return f" (without {', '.join(one.garnish)})" if one.garnish else ""


def guest_lines(who: str, drinks: Sequence[Served]) -> list[str]:
    """For one guest, answer by answer, the reasons beside what is not simply safe."""
    lines = [f"For a guest: {who}"]
    for answer in ANSWERS:
        here = [one for one in drinks if one.answer == answer]
        if here:
            lines += ["", _HEADS[answer], *(f"  {_served(one)}" for one in here)]
    return [
        *lines, "",
        "By what is written down in this house. Ask the guest, read the labels, use clean tools. "
        "Where it is a matter of health, the word of a doctor or pharmacist comes first.",
    ]  # fmt: skip


def _served(one: Served) -> str:
    if one.answer == "safe":
        return one.name
    if one.answer == "safe without":
        return f"{one.name}: leave out {', '.join(one.without)}"
    why = dict.fromkeys(
        f"{reason.line}: {reason.what}".removeprefix(": ") for reason in one.because
    )
    return f"{one.name}: {'; '.join([*why][:MOST])}"


def guest_json(needs: Sequence[str], drinks: Sequence[Served]) -> dict[str, Any]:
    """The same as plain values."""
    return {"guest": list(needs), "drinks": [asdict(one) for one in drinks]}
