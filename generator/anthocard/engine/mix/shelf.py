"""The shelf: what the house makes, turned into bottles, each after the things it is made of.

Belongs here: infusions, solutions and syrups as liquids. Does not belong here: stock lines
(bottle.py), drinks (compute.py), shelf life (care).
"""

from __future__ import annotations

from dataclasses import replace

from anthocard.diagnostics.diagnostic import MistakeLog
from anthocard.engine.mix import calibration
from anthocard.engine.mix.bottle import Bottle
from anthocard.engine.mix.pour import pour
from anthocard.engine.results import Measure, Source
from anthocard.facts.chemistry import extraction
from anthocard.facts.chemistry.alcohol import water_density_g_per_ml
from anthocard.facts.chemistry.carbonation import open_water
from anthocard.facts.chemistry.liquid import Liquid
from anthocard.facts.chemistry.volume import abv_percent, density_g_per_ml, volume_ml
from anthocard.facts.colour.pigments import coloured, plant
from anthocard.facts.stock import StockItem
from anthocard.house.model import Infusion, Made, Solution, Syrup
from anthocard.house.reader import Collection
from anthocard.house.references import making_order, plant_key

LITRE_ML = 1000.0  # an infusion without a stated batch is told for one litre


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
        bottle = self._infuse(made) if isinstance(made, Infusion) else self._mix(made)
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

    def _infuse(self, recipe: Infusion) -> Bottle:
        base = self._steeping(recipe)
        key = plant_key(recipe.plant, self._collection)
        grams_per_l, batch_ml = recipe.dose.g_per_l, recipe.batch or LITRE_ML
        per_ml = base.per_ml
        taken = extraction.strength(
            key, grams_per_l, recipe.time, float(abv_percent(per_ml)), recipe.temperature
        )
        taken_per_ml = coloured(key, taken.au_per_cm) + Liquid.of(
            **{
                f"{part}_mmol": mmol * grams_per_l / 1000.0
                for part, mmol in extraction.acids_mmol_per_g(key).items()
            }
        )
        held_ml = extraction.held_ml_per_g(key) * grams_per_l * batch_ml / 1000.0
        strained = calibration.strained(recipe, self._collection)
        yield_ml = batch_ml * strained / 100.0 if strained is not None else batch_ml - held_ml
        if yield_ml <= 0.0:
            self._log.add(
                "no-yield",
                f"nothing of {recipe.name} comes through the strainer",
                self._collection.at(
                    recipe, ("dose",) if recipe.strained is None else ("strained",)
                ),
                "use less plant, or write the yield you measured, such as “strained: 90 %”",
            )
            yield_ml = batch_ml  # go on, so that the rest of the house is told of, too
        plant_g = grams_per_l * batch_ml / 1000.0
        steeped = (
            Measure(recipe.plant, None, plant_g, plant_g, "g", recipe.dose.text, "pigment"),
            Measure(
                base.name, batch_ml, batch_ml * float(density_g_per_ml(per_ml)), batch_ml, "ml",
                f"{batch_ml:g} ml", "spirit", base.slug,
            ),
        )  # fmt: skip
        one = plant(key)
        source = Source(f"pigment: {one.label}", one.source, one.how)
        return self._made(
            recipe, (per_ml + taken_per_ml) * yield_ml, ((base, steeped[1]),), steeped,
            frozenset({source}) | base.sources,
            base.defaults | {f"{recipe.name}: strength from dose, time and % vol, not measured"},
        )  # fmt: skip

    def _steeping(self, recipe: Infusion) -> Bottle:
        """What the plant goes into; water in place of a dry thing, so that reading can go on."""
        base = self[recipe.into]
        if base.density_g_per_ml is not None:
            return base
        self._log.add(
            "dry-steep",
            f"{base.name} is dry, and a plant is steeped in a liquid",
            self._collection.at(recipe, ("into",)),
            "name a spirit, a wine or water",
        )
        return replace(
            base, per_g=Liquid.of(water_g=1.0), density_g_per_ml=water_density_g_per_ml()
        )

    def _mix(self, recipe: Solution | Syrup) -> Bottle:
        house = self._collection.house
        parts: list[tuple[Bottle, Measure]] = []
        liquids: list[Liquid] = []
        for number, part in enumerate(recipe.parts):
            bottle = self[part.name]
            place = self._collection.at(recipe, ("parts", number))
            measure = pour(bottle, part.amount, house, self._log, place)
            parts.append((bottle, measure))
            if measure.g is not None:
                liquids.append(bottle.per_g * measure.g)
        mixed = Liquid.mix(liquids)
        if recipe.co2_lost:
            mixed = mixed.having(carbonic_mmol=0.0)
        if recipe.made_up_to is not None:
            mixed = self._filled(mixed, recipe)
        measures = tuple(measure for _, measure in parts)
        return self._made(
            recipe, mixed, tuple(parts), measures,
            frozenset().union(*(bottle.sources for bottle, _ in parts)),
            frozenset().union(*(bottle.defaults for bottle, _ in parts)),
        )  # fmt: skip

    def _filled(self, mixed: Liquid, recipe: Solution | Syrup) -> Liquid:
        """Top up with water that stood in the air: a short search, since mixing contracts."""
        wanted_ml = recipe.made_up_to or 0.0
        short_ml = wanted_ml - float(volume_ml(mixed))
        if short_ml < 0.0:
            self._log.add(
                "over-full",
                f"the parts of {recipe.name} already fill {wanted_ml - short_ml:.0f} ml, "
                f"more than the {wanted_ml:g} ml it is made up to",
                self._collection.at(recipe, ("made_up_to",)),
                "weigh less, or make it up to more",
            )
            return mixed
        for _ in range(8):
            short_ml = wanted_ml - float(volume_ml(mixed))
            mixed = mixed + open_water(short_ml * water_density_g_per_ml())
        return mixed

    def _made(
        self,
        recipe: Infusion | Solution | Syrup,
        batch: Liquid,
        parts: tuple[tuple[Bottle, Measure], ...],
        measures: tuple[Measure, ...],
        sources: frozenset[Source],
        defaults: frozenset[str],
    ) -> Bottle:
        mass_g = float(batch.mass_g)
        return Bottle(
            recipe.name,
            recipe.kind,
            batch * (1.0 / mass_g) if mass_g else batch,
            mass_g / float(volume_ml(batch)) if mass_g else None,
            slug=self._collection.slug(recipe),
            recipe=recipe,
            parts=parts,
            measures=measures,
            batch=batch,
            sources=sources,
            defaults=defaults,
        )
