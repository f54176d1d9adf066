"""The lots of a step: what each name means in a kitchen, and what so much of it weighs.

Belongs here: telling what is poured from what lies in the liquid, and weighing both. Does not
belong here: what a step does with them (engine/steps), the order of the work (shelf.py).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from anthocard.diagnostics.diagnostic import MistakeLog, Place
from anthocard.engine.mix.bottle import Bottle
from anthocard.engine.mix.pour import pour
from anthocard.engine.results import Measure
from anthocard.engine.steps.making import Ready
from anthocard.engine.steps.pot import Given, StepError
from anthocard.facts.chemistry.liquid import Liquid
from anthocard.facts.colour.pigments import plants
from anthocard.facts.pantry import Produce, peel_of, produce
from anthocard.facts.stock import StockItem
from anthocard.facts.units.measures import pieces
from anthocard.facts.units.step_amounts import Share, parse_lot
from anthocard.facts.units.step_fields import StepPart
from anthocard.facts.units.written_numbers import MeasureError
from anthocard.house.collection import Collection
from anthocard.house.model import Infusion, Made, Preparation
from anthocard.house.references import plant_key
from anthocard.house.steps import (
    KITCHEN,
    AcidAdjust,
    Add,
    Clarify,
    Dilute,
    Juice,
    Oleo,
    Salt,
    Steep,
    Step,
    Sweeten,
    TopUp,
    Wash,
    Zest,
    word_of,
)


@dataclass(slots=True)
class Bench:
    """The work on one recipe: what went in so far, and where mistakes are told."""

    recipe: Made
    collection: Collection
    shelf: Callable[[str], Bottle]
    log: MistakeLog
    parts: list[tuple[Bottle, Measure]]

    def place(self, number: int, key: str = "") -> Place:
        """Where a step stands in the author's file; of a short way, the key it comes from."""
        if isinstance(self.recipe, Preparation):
            loc = ("steps", number, key) if key else ("steps", number)
            return self.collection.at(self.recipe, loc)
        if isinstance(self.recipe, Infusion):
            own = ("into", "dose", "dose" if self.recipe.strained is None else "strained")[number]
            return self.collection.at(self.recipe, (own,))
        return self.collection.at(self.recipe, (("parts", "made_up_to")[number],))

    def row(self, number: int, key: str, line: int) -> Place:
        """Where one lot of a step stands."""
        if isinstance(self.recipe, Preparation):
            return self.collection.at(self.recipe, ("steps", number, key, line))
        if isinstance(self.recipe, Infusion):
            return self.place(number)
        return self.collection.at(self.recipe, ("parts", line))


def ready_for(step: Step, number: int, bench: Bench) -> Ready:
    """The step with its lots found and weighed, and with what it reaches for itself."""
    key, lots = _lots(step)
    given = tuple(
        _given(lot, step, bench, bench.row(number, key, line)) for line, lot in enumerate(lots)
    )
    match step:
        case AcidAdjust():
            jars = tuple(jar_of(powder.name, bench) for powder in step.powders)
            of = step.acid_adjust.of
            model = bench.shelf(of) if of else None
            if model is not None and float(model.per_g.mass_g) <= 0.0:
                raise StepError("no-juice", f"{of} is no liquid", "name a juice", "acid_adjust")
            return Ready(step, jars, model=None if model is None else model.per_g)
        case Salt():
            return Ready(step, more=jar_of("salt", bench))
        case Dilute() | TopUp():
            return Ready(step, more=jar_of("still water", bench))
        case Sweeten():
            return Ready(step, more=_sugar(step, bench, bench.place(number, "sweeten")))
        case Oleo():
            sugar = jar_of("sucrose", bench)
            grams = sum(one.g for one in given) if step.sugar is None else _grams(step.sugar, given)
            record_grams(bench, sugar, grams)
            return Ready(step, given, replace(sugar, g=grams))
        case _:
            return Ready(step, given)


def _lots(step: Step) -> tuple[str, tuple[StepPart, ...]]:
    """The key and the lots of a step that names some."""
    match step:
        case Add():
            return "add", step.add
        case Juice():
            return "juice", step.juice
        case Zest():
            return "zest", step.zest
        case Oleo():
            return "oleo", step.oleo
        case Steep():
            return "steep", step.steep
        case Wash():
            return "wash", step.wash
        case Clarify():
            return "with", step.agents or ()
        case _:
            return "", ()


def _given(lot: StepPart, step: Step, bench: Bench, place: Place) -> Given:
    """One lot as what it is: poured, or lying in the liquid."""
    word = word_of(step)
    find = bench.collection.kitchen if word in KITCHEN else bench.collection.find
    found = find(lot.name)
    if isinstance(bench.recipe, Infusion) and word == "steep":
        return _plant_of(bench.recipe, lot, bench)
    bottle = bench.shelf(lot.name if found is None else found.name)
    if isinstance(bench.recipe, Infusion) and bottle.density_g_per_ml is None:
        raise StepError(
            "dry-steep",
            f"{bottle.name} is dry, and a plant is steeped in a liquid",
            "name a spirit, a wine or water",
        )
    measure = pour(bottle, lot.amount, bench.collection.house, bench.log, place)
    item = found if isinstance(found, StockItem) else None
    thing, key = _kitchen_of(item)
    if isinstance(step, Zest):
        return _zested(lot, bottle, measure, thing, bench)
    if measure.g is None and (thing is not None or key is not None):
        raise StepError(
            "unweighed",
            f"nobody knows what “{lot.amount.text}” of {bottle.name} weighs",
            "write it in grams",
            word,
        )
    bench.parts.append((bottle, measure))
    juice = None
    if isinstance(step, Juice) and thing is not None and bench.collection.find(thing.juice):
        juice = bench.shelf(thing.juice).per_g
    grams, withheld = measure.g or 0.0, bottle.withheld
    return Given(bottle.name, bottle.kind, bottle.per_g, grams, thing, key, juice, withheld)


def _kitchen_of(item: StockItem | None) -> tuple[Produce | None, str | None]:
    """What lies in a liquid rather than being it: a plant of known colour, or anything else."""
    if item is None or item.kind not in ("plant", "fat", "garnish"):
        return None, None
    if item.plant is not None and item.plant in plants():
        return None, item.plant
    known = produce(item.name)
    unknown = Produce(item.name, (), item.source, item.how, unknown=("colour", "acidity"))
    return known or unknown, None


def _plant_of(recipe: Infusion, lot: StepPart, bench: Bench) -> Given:
    key = plant_key(recipe.plant, bench.collection)
    grams = lot.amount.value
    found = bench.collection.find(recipe.plant)
    text = recipe.dose.text
    measure = Measure(recipe.plant, None, grams, grams, "g", text, "pigment")
    if found is not None:
        bench.parts.append((bench.shelf(found.name), measure))
    return Given(recipe.plant, "plant", Liquid.mix(()), grams, plant=key)


def _zested(
    lot: StepPart, bottle: Bottle, measure: Measure, fruit: Produce | None, bench: Bench
) -> Given:
    """The peel of so many fruits; the fruit itself is what is bought."""
    peel = None if fruit is None else peel_of(fruit)
    if fruit is None or peel is None:
        raise StepError(
            "no-peel", f"nothing is known of the peel of {bottle.name}",
            "name the peel and its weight: “- add: 20 g lemon peel”", "zest",
        )  # fmt: skip
    count = pieces(lot.amount)
    if count is None:
        count = (measure.g or 0.0) / (fruit.piece_g or 1.0)
    bench.parts.append((bottle, measure))
    grams = (measure.g or 0.0) if peel is fruit else count * (fruit.peel_g or 0.0)
    return Given(peel.name, "plant", Liquid.mix(()), grams, produce=peel)


def jar_of(name: str, bench: Bench) -> Given:
    """What a step reaches for itself, weighed by the step."""
    bottle = bench.shelf(name)
    return Given(bottle.name, bottle.kind, bottle.per_g, 0.0, withheld=bottle.withheld)


def _sugar(step: Sweeten, bench: Bench, place: Place) -> Given:
    try:
        lot = StepPart.made(*parse_lot(step.sweeten))
    except MeasureError:
        return jar_of(step.sweeten, bench)
    bottle = bench.shelf(lot.name)
    measure = pour(bottle, lot.amount, bench.collection.house, bench.log, place)
    bench.parts.append((bottle, measure))
    given = jar_of(lot.name, bench)
    return replace(given, g=measure.g or 0.0)


def _grams(share: Share, given: Sequence[Given]) -> float:
    if share.unit == "g":
        return share.value
    if share.unit == "%":
        return share.value / 100.0 * sum(one.g for one in given)
    raise StepError("dry-by-volume", "sugar is weighed here", "write grams", "sugar")


def record_grams(bench: Bench, jar: Given, grams: float) -> None:
    """Write down so many grams that a step worked out for itself: bought, paid for, printed."""
    bottle = bench.shelf(jar.name)
    density = bottle.density_g_per_ml
    ml = None if density is None else grams / density
    measure = Measure(bottle.name, ml, grams, grams, "g", f"{grams:.3g} g", slug=bottle.slug)
    bench.parts.append((bottle, measure))
