"""What is said of a lot: its verdict, what to do about it, what it then reads, and the risk.

Belongs here: sentences of the program's own working, in English. Does not belong here: any figure
(engine/trade).
"""

from __future__ import annotations

from typing import Final

from anthocard.engine.trade.lot_correction import Correction, CorrectionStep
from anthocard.engine.trade.lot_verdict import Deviation, Verdict
from anthocard.press.base.number_text import likeness, tidy

CALLS: Final = {
    "pass": "PASS",
    "correct": "CORRECT",
    "discard": "DISCARD",
    "unread": "NOT READ YET",
}
_RISKS: Final = {
    "weak-plant": (
        "nobody wrote down what was weighed, so a short weight is assumed; if the plant was weak, "
        "it will still be too pale"
    ),
    "steeped-again": "a plant steeped again gives more haze and bitterness: taste it",
    "let-down": "there is more of it than was planned, and its date is still that of the first day",
    "older": "it keeps only as long as the older of the two",
    "in-halves": "so small a dose is easily too much: add half, stir, read, then the rest",
    "read-again": "read colour and pH again before anybody pours it",
    "acid-unknown": "pH alone says little of how strong an acid is; read °Bx if you can",
}
#: What is read of a lot, where its key is no word.
_READ: Final = {"ph": "pH", "brix": "sugar"}
_STEPS: Final = {
    "let-down": "stir in {amount} of {name}",
    "blend": "blend in {amount} of lot {name}",
    "dissolve": "dissolve {amount} more of {name}",
    "sour": "add {amount} of {name}, to bring the pH down",
    "soften": "add {amount} of {name}, to bring the pH up",
}


def verdict_lines(said: Verdict) -> list[str]:
    """The verdict in lines: the call, each figure beside what is wanted, then what can be done."""
    lot = said.lot
    state = "poured away" if lot.discarded else "in use" if lot.in_use else "not in use"
    lines = [f"{lot.of}, lot {lot.lot}, made {lot.made}, {state}: {CALLS[said.call]}"]
    lines += [f"  {_reason(reason)}" for reason in said.reasons]
    lines += [f"  done before: {done}" for done in lot.corrections]
    for number, way in enumerate(said.ways, 1):
        lines += way_lines(way, number if len(said.ways) > 1 else 0)
    if said.call == "discard" and not lot.discarded:
        lines.append("  pour it away and make it again: nothing that can be added brings it back")
    return lines


def way_lines(way: Correction, number: int) -> list[str]:
    """One way to put a lot right."""
    head = f"  way {number}: " if number else "  to put it right: "
    pad = " " * 4
    steps = ", then ".join(step_words(step) for step in way.steps)
    return [
        f"{head}{steps}",
        f"{pad}then it reads pH {way.reads.ph:.2f} ({way.delta_ph:+.2f}) and looks "
        f"{way.reads.colour}, {likeness(way.delta_e00)} the recipe; "
        f"{way.volume_ml:.0f} ml of it",
        *(f"{pad}risk: {_RISKS[risk]}" for risk in way.risks),
    ]


def step_words(step: CorrectionStep) -> str:
    """One thing to do."""
    amount = f"{tidy(step.amount, 2)} {step.unit}"
    if step.how == "steep":
        return (
            f"steep {amount} more of {step.name} in it for {step.minutes:.0f} minutes, and strain"
        )
    return _STEPS[step.how].format(amount=amount, name=step.name)


def _reason(reason: Deviation) -> str:
    mark = "no " if reason.fails else "ok "
    if reason.what == "unread":
        return f"?  read its {' or '.join(_READ.get(w, w) for w in reason.wanted.split(' or '))}"
    if reason.what == "other":
        return f"{mark}{reason.read}"
    if reason.what == "browned":
        return f"{mark}no strength of its plant looks so: it has browned, or it is another plant"
    label = _READ.get(reason.what, reason.what)
    return f"{mark}{label}: {reason.read} (wanted: {reason.wanted})"
