"""The wording: a computed recipe becomes words and drawings ready to be set.

Belongs here: which unit, which short phrase, what a bar card must say. Does not belong here: any
calculation of chemistry (the engine), how a number is spelt (number_text.py), the tables of the
spec page (spec.py), any markup but the drawings (the themes).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from anthocard.engine.results import (
    Computed,
    Source,
    State,
)
from anthocard.facts.colour.names import pattern_of
from anthocard.house.model import (
    Drink,
    Infusion,
    Mixture,
)
from anthocard.house.settings import House
from anthocard.press.base.languages import Language, language
from anthocard.press.base.number_text import (
    dose,
    fixed,
    millilitres,
    money,
    percent_vol,
    tidy,
    volume,
)
from anthocard.press.draw.glass import draw_chip, draw_glass
from anthocard.press.draw.strip import (
    Stop,
    Tick,
    draw_strip,
    make_stops,
    make_ticks,
)
from anthocard.press.words import confidence as sure
from anthocard.press.words.amounts import Pour, pour_line
from anthocard.press.words.spec import (
    Figure,
    allergens,
    costs,
    drinks,
    figures,
    kept_because,
    kept_for,
)
from anthocard.press.words.spoken import in_language

#: Rules (facts.rules) whose first sentence is on the bar card: what hurts somebody when it is
#: forgotten with the shaker in hand. Chosen; the spec page prints every caution whole.
RAIL = frozenset(
    {
        "plants-unrecorded",
        "not-for-drinks",
        "allergens",
        "legume",
        "raw-egg",
        "quinine",
        "caffeine",
        "grapefruit",
        "liquorice",
        "charcoal",
        "hibiscus",
        "copper",
        "dry-ice",
        "liquid-nitrogen",
        "fire",
    }
)
#: Rules that say the same of every drink: a menu prints them once. Chosen.
EVERYWHERE = frozenset({"alcohol", "allergens-unsure"})
#: Rules that ask the guest something and name no allergen of any list: a paper menu may print
#: their words once and a mark at each drink. What a drink contains always stands at it. Chosen.
SHARED = frozenset({"flowers", "legume"})


@dataclass(frozen=True, slots=True)
class Swatch:
    """A colour in every form it is told: drawing, hex, words, pattern, pH, CIELAB."""

    drawing: str
    hex: str
    colour: str
    pattern: str
    ph: str
    lab: str
    beyond_screen: str
    give: str = ""  # ± of the pH
    shades: tuple[str, ...] = ()  # low, middle and high: how the glass may really come out
    ours: str = ""  # "#rrggbb" in the house's own light, and its name
    ours_colour: str = ""


@dataclass(frozen=True, slots=True)
class Card:
    """Everything a card, a spec page or a menu says of one recipe, as strings."""

    kind: str
    name: str
    slug: str
    house: str
    place: str
    voice: str
    language: str
    edition: str
    method: str
    glass: str
    ice: str
    rim: str
    garnish: tuple[str, ...]
    vessel: str
    keeps: str
    store: str
    pours: tuple[Pour, ...]
    reveal: Pour | None
    served: str
    serve: str
    before: Swatch
    after: Swatch | None
    turning: str
    stops: tuple[Stop, ...]
    ticks: tuple[Tick, ...]
    strip: str
    difference: str
    strength: str
    drinks: str
    volume: str
    price: str
    currency: str
    figures: tuple[Figure, ...]
    allergens: tuple[Figure, ...]
    kept: str
    kept_because: tuple[str, ...]  # English
    costs: tuple[Figure, ...]
    rail: tuple[str, ...]
    cautions: tuple[str, ...]
    guest_notes: tuple[str, ...]
    house_notes: tuple[str, ...]
    warnings: tuple[str, ...]
    sources: tuple[Source, ...]
    defaults: tuple[str, ...]
    guest_text: str
    staff_text: str
    window: str = ""
    measure_first: str = ""
    sureness: tuple[Figure, ...] = ()
    wishes: tuple[Figure, ...] = ()
    calibrations: tuple[Figure, ...] = ()
    light: str = ""
    shared_notes: tuple[str, ...] = ()  # those of guest_notes that a menu may print once


def make_card(computed: Computed, house: House) -> Card:
    """Round and word one computed recipe for one house. Pure; never fails on a computed value."""
    tongue = language(house.language)
    computed = in_language(computed, tongue)
    recipe = computed.recipe
    drink = recipe if isinstance(recipe, Drink) else None
    last = computed.after or computed.before
    before = _swatch(computed, computed.before, house, "before", tongue)
    after = _swatch(computed, computed.after, house, "after", tongue) if computed.after else None
    turn = computed.turn if after else None
    stops = make_stops(turn) if turn else (Stop(before.hex, "0"), Stop(before.hex, "100"))
    ticks = _ticks(computed, tongue)
    turning = _turning(before, after, tongue)
    return Card(
        kind=computed.kind,
        name=computed.name,
        slug=computed.slug,
        house=house.name,
        place=house.place,
        voice=house.voice or "",
        language=house.language,
        edition=computed.edition,
        method=tongue.word("method", drink.method) if drink else _making(computed, tongue),
        glass=drink.glass if drink else "",
        ice=_ice(drink, tongue),
        rim=(drink.rim or "") if drink else "",
        garnish=drink.garnish if drink else (),
        vessel=(drink.vessel or "") if drink else "",
        keeps=recipe.keeps or "",
        store=recipe.store or "",
        pours=tuple(pour_line(measure, house) for measure in computed.measures),
        reveal=pour_line(computed.reveal, house) if computed.reveal else None,
        served=(drink.reveal.served or "") if drink and drink.reveal else "",
        serve=(drink.serve or "") if drink else "",
        before=before,
        after=after,
        turning=turning,
        stops=stops,
        ticks=ticks,
        strip=draw_strip(
            stops,
            ticks,
            tongue.gettext("Turn strip: %(colours)s", colours=turning),
            f"{computed.slug}-strip",
        ),
        difference="" if computed.delta_e00 is None else f"ΔE00 {computed.delta_e00:.0f}",
        strength=percent_vol(last.abv_percent, tongue),
        drinks=drinks(computed, tongue),
        volume=millilitres(last.volume_ml, tongue),
        price="" if drink is None or drink.price is None else money(drink.price, tongue),
        currency=house.currency,
        figures=sure.with_spread(figures(computed, tongue), computed, tongue),
        allergens=allergens(computed, tongue),
        kept=kept_for(computed.keeping, tongue),
        kept_because=kept_because(computed.keeping),
        costs=costs(computed, tongue),
        rail=tuple(first_sentence(c.staff) for c in computed.cautions if c.key in RAIL),
        cautions=tuple(c.staff for c in computed.cautions if c.staff),
        guest_notes=tuple(_guest_notes(computed, everywhere=False)),
        house_notes=tuple(_guest_notes(computed, everywhere=True)),
        warnings=tuple(mistake.message for mistake in computed.warnings),
        sources=computed.sources,
        defaults=computed.defaults,
        guest_text=recipe.guest_text,
        staff_text=recipe.staff_text,
        window=sure.window_line(computed, tongue),
        measure_first=sure.measure_first(computed),
        sureness=sure.sureness(computed),
        wishes=sure.wishes(computed),
        calibrations=sure.calibrations(computed),
        light="" if house.light == "D65" else f"{house.light} K",
        shared_notes=tuple(c.guest for c in computed.cautions if c.guest and c.key in SHARED),
    )


def _ticks(computed: Computed, tongue: Language) -> tuple[Tick, ...]:
    turn, reveal = computed.turn, computed.reveal
    if turn is None or reveal is None or not reveal.ml:
        return ()
    return make_ticks(turn, reveal.ml, volume(reveal.ml, reveal.role, tongue), tongue)


def _swatch(computed: Computed, state: State, house: House, when: str, tongue: Language) -> Swatch:
    colour = state.colour
    name, pattern = tongue.word("colour", colour.name), pattern_of(colour.name)
    key = f"{computed.slug}-{when}"
    if isinstance(computed.recipe, Drink):
        glass = house.glasses[computed.recipe.glass]
        told = {"glass": computed.recipe.glass, "colour": name}
        title = (
            tongue.gettext("%(glass)s, before: %(colour)s", **told)
            if when == "before"
            else tongue.gettext("%(glass)s, after: %(colour)s", **told)
        )
        drawing = draw_glass(glass, state.volume_ml, colour.hex, pattern, title, key)
    else:
        drawing = draw_chip(colour.hex, pattern, name, key)
    lightness, a, b = colour.lab
    doubt = computed.doubt_after if when == "after" else computed.doubt_before
    ours = computed.ours_before if when == "before" else computed.ours_after
    return Swatch(
        drawing=drawing,
        hex=colour.hex,
        colour=name,
        pattern=tongue.word("pattern", pattern).replace("-", " "),
        ph=f"pH {fixed(state.ph, 1, tongue)}",
        lab=f"L* {tidy(lightness, 0)}  a* {tidy(a, 0)}  b* {tidy(b, 0)}",
        beyond_screen=""
        if colour.in_gamut
        else tongue.gettext("stronger in the glass than a screen can show"),
        give=sure.plus_minus_ph(doubt, tongue),
        shades=tuple(shade.hex for shade in doubt.strip) if doubt else (),
        ours=ours.hex if ours else "",
        ours_colour=tongue.word("colour", ours.name) if ours else "",
    )


def _turning(before: Swatch, after: Swatch | None, tongue: Language) -> str:
    """The colours in words: "deep blue to wine red", or that it stays."""
    if after is None:
        return before.colour
    if before.colour == after.colour:
        return tongue.gettext("stays %(colour)s", colour=before.colour)
    return tongue.pgettext(
        "colours", "%(first)s to %(last)s", first=before.colour, last=after.colour
    )


def _making(computed: Computed, tongue: Language) -> str:
    recipe = computed.recipe
    if isinstance(recipe, Infusion):
        return tongue.gettext(
            "%(dose)s, %(hours)s h at %(degrees)s °C",
            dose=dose(recipe.dose.g_per_l, tongue=tongue),
            hours=tidy(recipe.time, 1, tongue),
            degrees=tidy(recipe.temperature, 0, tongue),
        )
    if isinstance(recipe, Mixture) and recipe.made_up_to is not None:
        return tongue.gettext(
            "made up to %(volume)s", volume=millilitres(recipe.made_up_to, tongue)
        )
    return tongue.gettext("weighed together")


def _ice(drink: Drink | None, tongue: Language) -> str:
    if drink is None:
        return ""
    if drink.ice == "none":
        return tongue.gettext("no ice")
    ice = tongue.word("ice", drink.ice)
    return ice if drink.ice.endswith("spear") else tongue.gettext("%(kind)s ice", kind=ice)


def first_sentence(text: str) -> str:
    """As much of a caution as a card has room for; the spec page has all of it."""
    sentence, stop, _ = text.partition(". ")
    return sentence + (stop.strip() or "")


def _guest_notes(computed: Computed, everywhere: bool) -> Iterator[str]:
    """What guests are told of this drink, or of every such drink and so once a menu."""
    for caution in computed.cautions:
        if caution.guest and (caution.key in EVERYWHERE) is everywhere:
            yield caution.guest
