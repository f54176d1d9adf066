"""The shelf: everything a house pours, as bottles, each after the things it is made of.

Belongs here: which bottle a name means, made when first asked for by doing its steps; the short
ways (infusion, solution, syrup) as steps. Does not belong here: what a step does (engine/steps),
weighing its lots (weighing.py), stock lines (bottle.py), drinks (compute.py), shelf life (safety).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from anthocard.diagnostics.diagnostic import MistakeLog, Place
from anthocard.engine.mix import calibration
from anthocard.engine.mix.bottle import Bottle
from anthocard.engine.mix.weighing import Bench, jar_of, ready_for, record_grams
from anthocard.engine.results import Default, Measure, Source
from anthocard.engine.steps.making import Making, Ready, account, do
from anthocard.engine.steps.pot import Done, Pot, StepError
from anthocard.facts.chemistry.liquid import Liquid
from anthocard.facts.chemistry.volume import abv_percent
from anthocard.facts.colour.pigments import plant
from anthocard.facts.stock import StockItem
from anthocard.facts.units.measures import Amount
from anthocard.facts.units.slipped_point import set_right
from anthocard.facts.units.step_amounts import Share
from anthocard.facts.units.step_fields import StepPart
from anthocard.house.collection import Collection
from anthocard.house.model import Infusion, Made, Mixture, Preparation
from anthocard.house.references import making_order, plant_key
from anthocard.house.steps import Add, Steep, Step, TopUp, strained_fine, word_of

LITRE_ML = 1000.0  # an infusion without a stated batch is told for one litre
_NEAR_ABV = 0.3  # % vol: strengths closer than that are told as one
_NEAR_SHARE = 0.02  # yields closer than that are told as one


class Shelf:
    """Every bottle of a house by name, made when first asked for."""

    def __init__(self, collection: Collection, log: MistakeLog) -> None:
        """An empty shelf: what stands on it is made when first asked for; mistakes go to `log`."""
        self._collection = collection
        self._log = log
        self._bottles: dict[str, Bottle] = {}

    def fill(self) -> None:
        """Make all that the house makes, in making order, so that every mistake in it is told."""
        for made in making_order(self._collection):
            self[made.name]

    def __getitem__(self, name: str) -> Bottle:
        """The bottle a recipe calls `name`, by any of its aliases. Raises KeyError."""
        found = self._collection.find(name)
        if found is None:
            raise KeyError(name)
        if found.name not in self._bottles:
            self._bottles[found.name] = (
                self._bought(found) if isinstance(found, StockItem) else self._own(found)
            )
        return self._bottles[found.name]

    def _own(self, made: Made) -> Bottle:
        bottle = make(made, self._collection, self.__getitem__, self._log)
        rows = calibration.readings_of(self._collection, made.name)
        written = self._collection.house.calibrations
        numbers = [n for n, row in enumerate(written) if rows and row is rows[-1]]
        place = self._collection.at(self._collection.house, ("calibrations", *numbers))
        usual = calibration.written_of(self._collection, made.name)
        return calibration.as_measured(bottle, rows, self._log, place, usual)

    def _bought(self, item: StockItem) -> Bottle:
        try:
            return calibration.bought(item, calibration.readings_of(self._collection, item.name))
        except ValueError as error:
            self._log.add(
                "impossible-stock",
                str(error),
                self._collection.at(item),
                "check its density, strength, sugar and acids against each other",
            )
            return Bottle(item.name, item.kind, Liquid.mix(()), None, item=item)


def steps_of(recipe: Made, collection: Collection) -> tuple[Step, ...]:
    """The steps of what a house makes; an infusion, solution or syrup is a short way of them."""
    if isinstance(recipe, Preparation):
        return recipe.steps
    if isinstance(recipe, Infusion):
        batch_ml = recipe.batch or LITRE_ML
        into = StepPart.made(Amount(batch_ml, "ml", f"{batch_ml:g} ml"), recipe.into)
        grams = recipe.dose.g_per_l * batch_ml / 1000.0
        lot = StepPart.made(Amount(grams, "g", recipe.dose.text), recipe.plant)
        measured = calibration.strained(recipe, collection)
        gives = None if measured is None else Share(measured, "%", f"{measured:g} %")
        return (
            Add.model_construct(add=(into,)),
            Steep.model_construct(steep=(lot,), time=recipe.time, temperature=recipe.temperature),
            strained_fine(gives),
        )
    lots = tuple(StepPart.made(part.amount, part.name) for part in recipe.parts)
    steps: tuple[Step, ...] = (Add.model_construct(add=lots, lets_gas_go=recipe.co2_lost),)
    mark = recipe.made_up_to
    return steps if mark is None else (*steps, TopUp.model_construct(top_up=mark))


def make(
    recipe: Made, collection: Collection, shelf: Callable[[str], Bottle], log: MistakeLog
) -> Bottle:
    """Do every step of a recipe and bottle what comes out; mistakes go to `log`.

    After a mistake the rest of the steps is left undone, and what is there stands in.
    """
    bench = Bench(recipe, collection, shelf, log, [])
    steps = steps_of(recipe, collection)
    ready: list[Ready] = []
    pot, done = Pot(), list[Done]()
    for number, step in enumerate(steps):
        try:
            ready.append(ready_for(step, number, bench))
            pot, account_of = do(ready[-1], pot)
        except StepError as wrong:
            place, mend = bench.place(number, wrong.key), wrong.mend
            meant = _overweighed(bench) if wrong.kind == "over-full" else None
            if meant is not None:
                place, mend = meant[0], f"did you mean “{meant[1]}”? Else {mend}"
            log.add(wrong.kind, wrong.message, place, mend)
            return _bottle(bench, replace(pot, solids=()), done, (0.0, 0.0))
        _record_used(account_of, ready[-1], bench)
        done.append(account_of)
    return _bottle(bench, pot, done, _strengths(ready, pot))


def _overweighed(bench: Bench) -> tuple[Place, str] | None:
    """The heaviest part of what runs over its mark, and what was meant if its unit or its point
    slipped; a gram is taken as a millilitre.
    """
    recipe = bench.recipe
    grams = [measure.g or 0.0 for _, measure in bench.parts]
    if not isinstance(recipe, Mixture) or len(grams) != len(recipe.parts):
        return None
    mark = recipe.made_up_to or 0.0
    at = max(range(len(grams)), key=grams.__getitem__)
    rest = sum(grams) - grams[at]
    place = bench.collection.at(recipe, ("parts", at))
    meant = set_right(place.written, lambda by: by < 1.0 and rest + by * grams[at] <= mark)
    return None if meant is None else (place, meant)


def _strengths(ready: Sequence[Ready], pot: Pot) -> tuple[float, float]:
    """% vol if fresh things gave the least of their water, and the most."""
    usual = float(abv_percent(pot.liquid))
    if not any(one.produce is not None for step in ready for one in step.lots):
        return usual, usual
    found = [usual]
    for end in (0, 2):
        other = Pot(draws=end)
        try:
            for step in ready:
                other, _ = do(step, other)
        except StepError:
            continue
        found.append(float(abv_percent(other.liquid)))
    return min(found), max(found)


def _record_used(done: Done, ready: Ready, bench: Bench) -> None:
    """What a step worked out for itself is bought, paid for and printed like the rest."""
    for name, grams in done.used:
        if grams > 0.0 and word_of(ready.step) != "top_up":
            record_grams(bench, jar_of(name, bench), grams)


def _bottle(bench: Bench, pot: Pot, done: Sequence[Done], strengths: tuple[float, float]) -> Bottle:
    recipe, liquid = bench.recipe, pot.liquid
    mass_g = float(liquid.mass_g)
    parts = tuple(bench.parts)
    making = account(pot, done, strengths) if isinstance(recipe, Preparation) and done else None
    measures = tuple(measure for _, measure in parts)
    if isinstance(recipe, Infusion):
        measures, parts = _infusion_lines(recipe, parts, bench)
    return Bottle(
        recipe.name,
        recipe.kind,
        liquid * (1.0 / mass_g) if mass_g else liquid,
        mass_g / pot.ml if mass_g else None,
        slug=bench.collection.slug(recipe),
        recipe=recipe,
        parts=parts,
        measures=measures,
        batch=liquid,
        fizzy=[one.word for one in done if one.word in ("carbonate", "vent")][-1:] == ["carbonate"],
        sources=_sources(bench),
        defaults=_defaults(bench, pot, making),
        withheld=pot.withheld,
        making=making,
    )


def _infusion_lines(
    recipe: Infusion, parts: tuple[tuple[Bottle, Measure], ...], bench: Bench
) -> tuple[tuple[Measure, ...], tuple[tuple[Bottle, Measure], ...]]:
    """The plant first, by its dose; then what it goes into."""
    if not parts:  # a mistake stands in its way, and is told
        return (), ()
    base, poured = parts[0]
    grams = recipe.dose.g_per_l * (recipe.batch or LITRE_ML) / 1000.0
    plant_line = Measure(recipe.plant, None, grams, grams, "g", recipe.dose.text, "pigment")
    base_line = replace(poured, role="spirit")
    return (plant_line, base_line), ((base, base_line), *parts[1:])


def _sources(bench: Bench) -> frozenset[Source]:
    found: frozenset[Source] = frozenset().union(*(bottle.sources for bottle, _ in bench.parts))
    if isinstance(bench.recipe, Infusion):
        one = plant(plant_key(bench.recipe.plant, bench.collection))
        return found | {Source("pigment", one.label, one.source, one.how)}
    return found


def _defaults(bench: Bench, pot: Pot, making: Making | None) -> frozenset[Default]:
    """What the figures rest on that nobody measured."""
    name = bench.recipe.name
    found: set[Default] = set().union(*(bottle.defaults for bottle, _ in bench.parts))
    if isinstance(bench.recipe, Infusion):
        found.add(Default(name, "strength from dose, time and % vol, not measured"))
    if making is None:
        return frozenset(found)
    (low, high), (weak, strong) = making.yields, making.strengths
    if high - low > _NEAR_SHARE:
        found.add(
            Default(
                name,
                f"{100 * low:.0f} to {100 * high:.0f} % of what goes in comes out, by "
                "practice: weigh yours, and write the yield",
            )
        )
    if strong - weak > _NEAR_ABV:
        found.add(
            Default(
                name,
                f"{weak:.1f} to {strong:.1f} % vol, by how much of its water comes out of what "
                "is fresh",
            )
        )
    found |= {Default(name, f"{one.what} not told: {one.because}") for one in pot.withheld}
    return frozenset(found)
