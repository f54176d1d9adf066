"""From a recipe to its figures: the table of contents of the engine.

Belongs here: the order of the steps, pour, chill, acidity, look. Does not belong here: any step's
own physics (pour.py, chill.py, acidity.py, appearance.py), nor wording (the press).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from datetime import date
from itertools import islice
from types import MappingProxyType
from typing import Any, Final

from anthocard.diagnostics.diagnostic import Mistake, MistakeLog
from anthocard.engine.edition import printed, stamp
from anthocard.engine.mix import acidity, appearance as look, calibration, chill
from anthocard.engine.mix.assemble import on_ice, pk_shift_of
from anthocard.engine.mix.bottle import Bottle
from anthocard.engine.mix.settle import pours_of, reveals_of, settle
from anthocard.engine.mix.shelf import Shelf
from anthocard.engine.optics.sight import Sight
from anthocard.engine.optics.walls import check_glasses
from anthocard.engine.provenance import sources_of
from anthocard.engine.results import Computed, State
from anthocard.engine.safety import (
    cautions as care,
    claim_check as claims,
    hazard_check as hazards,
    ingredients,
    inherited_allergens as allergens,
    law_clock,
    process_check,
    use_by as keeping,
)
from anthocard.engine.safety.for_guest import diets_of
from anthocard.engine.served.apportion import apportioned
from anthocard.engine.served.in_glass import in_its_glass
from anthocard.engine.served.revealing import staged, turning
from anthocard.engine.together import Work, alone, ask, at_once
from anthocard.engine.trade import cost, demand as takeoff, strength
from anthocard.engine.trust.measured import found_out
from anthocard.engine.trust.model_uncertainty import stated
from anthocard.engine.trust.reading_checks import check_readings
from anthocard.engine.trust.turning import NO_TURN
from anthocard.engine.trust.uncertainty import uncertainty_of_bottle
from anthocard.engine.trust.withholding import hides_colour, withheld_by, without_colour
from anthocard.engine.usual import unusual
from anthocard.facts.chemistry.liquid import Floats, Liquid
from anthocard.facts.chemistry.volume import abv_percent, density_g_per_ml, sugar_g_per_l, volume_ml
from anthocard.facts.colour import colours
from anthocard.facts.colour.pigment_figures import pigment_figures
from anthocard.facts.law.places import jurisdiction
from anthocard.house.model import Drink, Recipe
from anthocard.house.reader import Collection

#: Recipes worked out in step with each other: more gain nothing, and each holds a cloud meanwhile.
AT_ONCE: Final = 16


def compute(
    collection: Collection,
    at_c: float | None = None,
    known: Mapping[str, Computed] = MappingProxyType({}),
    today: date | None = None,
) -> tuple[Mapping[str, Computed], tuple[Mistake, ...]]:
    """Work out every recipe of a house.

    Returns the computed recipes by slug, in the order written, and every warning. `at_c` asks for
    all figures at that temperature instead of the serving temperature. `known` are recipes worked
    out before, by slug: those are taken over as they are, and whoever passes them answers for
    nothing behind them having changed. `today` (left out: the real one) only ages
    what the house measured. Raises AuthorError with every mistake at once.
    """
    found, log = compute_all(collection, at_c, known, today)
    log.raise_if_errors()
    return found, tuple(log)


def compute_all(
    collection: Collection,
    at_c: float | None = None,
    known: Mapping[str, Computed] = MappingProxyType({}),
    today: date | None = None,
) -> tuple[Mapping[str, Computed], MistakeLog]:
    """The same with all there is to say; of a recipe with a mistake the figures mean little."""
    log = MistakeLog()
    warnings = {slug: one.warnings for slug, one in known.items()}
    rest = dict(computing(collection, warnings, log, at_c, today))
    slugs = map(collection.slug, collection.recipes)
    found = {slug: known[slug] if slug in known else rest[slug] for slug in slugs}
    borne = {slug: claims.borne_by(one) for slug, one in found.items()}
    claims.check_menus(collection, borne, log)
    return found, log


def computing(
    collection: Collection,
    warnings: Mapping[str, tuple[Mistake, ...]],
    log: MistakeLog,
    at_c: float | None = None,
    today: date | None = None,
) -> Iterator[tuple[str, Computed]]:
    """Work out the recipes of a house one by one, but for those in `warnings`.

    These are known with their warnings. Otherwise as `compute`: each recipe by its slug; every
    mistake of the whole house stands in `log` once all of them are through, and none is raised.
    """
    care.check_house(collection, log)
    check_glasses(collection, log)
    hazards.check_hazards(collection, log)
    takeoff.check_plan(collection, log)
    calibration.check_ages(collection, today or date.today(), log)
    law_clock.check_law_clock(collection, today or date.today(), log)
    shelf = Shelf(collection, log)
    shelf.fill()
    check_readings(collection, shelf, log)
    recipes = iter(collection.recipes)
    while group := list(islice(recipes, AT_ONCE)):
        slugs = [collection.slug(recipe) for recipe in group]
        logs = {slug: MistakeLog() for slug in slugs if slug not in warnings}
        asked = (
            computed_one(recipe, collection, shelf, logs[slug], at_c)
            for recipe, slug in zip(group, slugs, strict=True)
            if slug in logs
        )
        found = iter(alone(at_once(asked)))
        for slug in slugs:
            log.extend(warnings[slug] if slug in warnings else logs[slug])
            if slug in logs:
                yield slug, next(found)


def compute_one(
    recipe: Recipe, collection: Collection, shelf: Shelf, log: MistakeLog, at_c: float | None = None
) -> Computed:
    """Work out one recipe; mistakes and warnings go to `log` and stay on the recipe."""
    return alone(computed_one(recipe, collection, shelf, log, at_c))


def computed_one(
    recipe: Recipe, collection: Collection, shelf: Shelf, log: MistakeLog, at_c: float | None = None
) -> Work[Computed]:
    """The same, asked together with others."""
    seen = len(log.mistakes)
    if isinstance(recipe, Drink):
        figures = yield from _served(recipe, collection, shelf, log, at_c)
    else:
        figures = yield from _bottled(recipe, collection, shelf[recipe.name], log, at_c)
    figures = replace(
        figures, poured=ingredients.poured_in(recipe, collection),
        allergens=allergens.roll_up(figures, collection), diets=diets_of(figures, collection),
        strengths=strength.strengths(figures, jurisdiction(collection.house.place)),
    )  # fmt: skip
    log.extend(unusual(figures, collection, shelf))
    claims.check_claims(figures, collection, log)
    process_check.check_processes(recipe, collection, log)
    figures = replace(
        figures, keeping=keeping.keeping(figures, collection, shelf, log),
        cost=cost.cost_of(figures, collection, shelf),
        cautions=care.cautions(figures, collection, log),
        cautions_at=tuple(care.cautions_at(figures, collection)),
    )  # fmt: skip
    log.mistakes[seen:] = sorted(log.mistakes[seen:], key=lambda one: one.kind != NO_TURN)
    figures = replace(figures, warnings=tuple(log.mistakes[seen:]))
    return replace(figures, edition=stamp(printed(figures)))


def state(liquid: Liquid, temperature_c: float, sight: Sight, pk_shift: float = 0.0) -> Work[State]:
    """Everything that follows from one liquid at a temperature, in what it is looked at."""
    asked: list[Work[Any]] = [
        acidity.reading(liquid, temperature_c), acidity.titratable(liquid),
        ask(_composition, liquid.amounts),
    ]  # fmt: skip
    reading, titratable, composition = yield from at_once(asked)
    volume, abv, sugar, density = map(float, composition)
    ph = float(reading.ph)
    seen = yield from look.seeing(liquid, ph, sight, pk_shift)
    return State(
        liquid=liquid,
        temperature_c=temperature_c,
        volume_ml=volume,
        abv_percent=abv,
        ph=ph,
        titratable_acidity_g_per_l=float(titratable),
        sugar_g_per_l=sugar,
        density_g_per_ml=density,
        ionic_strength_mol_per_kg=float(reading.ionic_strength_mol_per_kg),
        seen=seen,
        beyond=acidity.beyond(liquid, reading, temperature_c),
        pigments=pigment_figures(liquid, ph, pk_shift),
        pk_shift=pk_shift,
    )


def _composition(amounts: Floats) -> tuple[Floats, ...]:
    liquid = Liquid(amounts)
    return tuple(of(liquid) for of in (volume_ml, abv_percent, sugar_g_per_l, density_g_per_ml))


def _bottled(
    recipe: Recipe, collection: Collection, bottle: Bottle, log: MistakeLog, at_c: float | None
) -> Work[Computed]:
    assert bottle.batch is not None
    tube = look.sample()
    temperature_c = collection.house.room_temperature if at_c is None else at_c
    liquid = yield from state(bottle.batch, temperature_c, tube, bottle.pk_shift)
    _warn(liquid, collection, recipe, recipe.name, log)
    uncertainty = yield from uncertainty_of_bottle(bottle, liquid, collection.house, tube)
    figures = Computed(
        recipe=recipe,
        slug=collection.slug(recipe),
        edition="",
        measures=bottle.measures,
        before=stated(liquid, uncertainty),
        sources=tuple(sorted(bottle.sources | sources_of(bottle.batch))),
        defaults=tuple(sorted(bottle.defaults)),
        fits=bottle.fits,
        uncertainty_before=uncertainty,
        withheld=bottle.withheld,
        making=bottle.making,
    )
    return without_colour(figures) if hides_colour(bottle.withheld) else figures


def _served(
    recipe: Drink, collection: Collection, shelf: Shelf, log: MistakeLog, at_c: float | None
) -> Work[Computed]:
    house, sight = collection.house, look.sight_of(recipe, collection.house)
    recipe = apportioned(recipe, collection, shelf, log)
    recipe, dialled = yield from settle(recipe, collection, shelf, log)
    poured = pours_of(recipe, collection, shelf, log)
    pk_shift = pk_shift_of(poured)
    chilled, start_ml = on_ice(poured, recipe, house)
    before_c = chilled.temperature_c if at_c is None else at_c
    before = yield from state(chilled.liquid, before_c, sight, pk_shift)
    _warn(before, collection, recipe, f"{recipe.name} before", log)
    chill.ask_to_weigh(recipe, house, chilled, collection.at(recipe, ("method",)), log)
    revealed = reveals_of(recipe, collection, shelf, log)
    places = [collection.at(recipe, recipe.at_reveal(n)) for n in range(len(revealed))]
    stages = yield from staged(
        before, revealed, recipe, house, sight, pk_shift,
        lambda liquid, warm_c: state(liquid, warm_c, sight, pk_shift), places, log, at_c,
    )  # fmt: skip
    for stage in stages:
        _warn(stage.state, collection, recipe, f"{recipe.name} after", log)
    after = stages[-1].state if stages else None
    bottles = [bottle for bottle, _ in (*poured, *revealed)]
    turn = yield from turning(before, stages, revealed, house, sight, pk_shift)
    figures = Computed(
        recipe=recipe,
        slug=collection.slug(recipe),
        edition="",
        measures=tuple(measure for _, measure in poured),
        before=before,
        after=after,
        turn=turn,
        delta_e00=float(colours.delta_e_2000(before.seen.above.lab, after.seen.above.lab))
        if after
        else None,
        melt_ml=before.volume_ml - start_ml,
        melt_band_ml=chilled.band(before.volume_ml - start_ml),
        dilution_percent=100.0 * (before.volume_ml / start_ml - 1.0) if start_ml else 0.0,
        dialled=dialled,
        stages=stages,
        withheld=withheld_by(bottles),
    )
    figures = (
        without_colour(figures)
        if hides_colour(figures.withheld)
        else (
            yield from found_out(
                figures, recipe, collection, poured, revealed, chilled, pk_shift, log
            )
        )
    )
    figures = in_its_glass(figures, recipe, collection, poured, revealed, chilled, pk_shift, log)
    last = figures.after or figures.before
    rows = sources_of(last.liquid) | {chilled.source}
    return replace(
        figures,
        sources=tuple(sorted(rows.union(*(bottle.sources for bottle in bottles)))),
        defaults=tuple(sorted(frozenset().union(*(bottle.defaults for bottle in bottles)))),
    )


def _warn(one: State, collection: Collection, recipe: Recipe, what: str, log: MistakeLog) -> None:
    place = collection.at(recipe, ())
    for warning in (*acidity.warnings(one, place, what), *look.warnings(one, place, what)):
        log.add(warning.kind, warning.message, warning.place, warning.mend, warning.severity)
