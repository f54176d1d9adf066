"""The wording: a computed recipe becomes words and drawings ready to be set.

Belongs here: which unit, which short phrase, what a bar card must say. Does not belong here: any
calculation of chemistry (the engine), how a number is spelt (number_text.py), the tables of the
spec page (spec.py), any markup but the drawings (the themes).
"""

from __future__ import annotations

from dataclasses import dataclass

from anthocard.engine.results import Computed, State
from anthocard.engine.safety.use_by import outlasts
from anthocard.engine.trust.turning import turns
from anthocard.facts.colour.names import pattern_of
from anthocard.house.model import Drink
from anthocard.house.settings import House
from anthocard.press.base.languages import Language, language
from anthocard.press.base.number_text import millilitres, money, percent_vol, ph_text, tidy, volume
from anthocard.press.draw.glass import draw_chip, draw_glass
from anthocard.press.draw.strip import Stop, Tick, draw_strip, make_stops, make_ticks
from anthocard.press.words import allergen_words, caution_words as care, confidence as sure
from anthocard.press.words.amounts import (
    Lies,
    PourWords,
    Revealed,
    foam_words,
    lies,
    making_words,
    pour_line,
    reveals,
    stirred,
    variation,
    worked_words,
)
from anthocard.press.words.guest import diets, made_of
from anthocard.press.words.spec import (
    Cited,
    Figure,
    allergens,
    costs,
    drinks,
    figures,
    shelf_life_reasons,
    shelf_life_text,
    sources,
)
from anthocard.press.words.step_words import step_lines


@dataclass(frozen=True, slots=True)
class Swatch:
    """A colour in every form it is told: drawing, hex, words, pattern, pH, CIELAB; from above.
    Of one that nobody can tell there are words alone, and all else is empty."""

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
    way: str = ""  # "from the side": how all of the above is looked at
    above: str = ""  # "#rrggbb" looked at the other way, its name, and that way: "from above"
    above_colour: str = ""
    above_way: str = ""


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
    pours: tuple[PourWords, ...]
    steps: tuple[str, ...]  # of a preparation, in order
    reveals: tuple[Revealed, ...]  # what is added before the guest, in order
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
    made_of: str  # what is in a drink, in guests' words
    holds: str  # the line of allergens
    diets: str  # what it is for sure, in guests' words: “Vegan.”
    holds_short: str  # the same, to be read from afar, and when it was looked at
    checked: str
    allergens: tuple[Figure, ...]
    shelf_life: str
    shelf_life_reasons: tuple[str, ...]
    costs: tuple[Figure, ...]
    rail: tuple[str, ...]
    cautions: tuple[str, ...]
    guest_notes: tuple[str, ...]
    house_notes: tuple[str, ...]
    warnings: tuple[str, ...]
    sources: tuple[Cited, ...]
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
    layers: tuple[Lies, ...] = ()  # as it leaves the bar, from the bottom up
    stirred: str = ""  # what a drink in layers is once it is stirred
    foam: str = ""
    in_ounces: bool = True  # what stands beside millilitres
    variation: str = ""  # “As Set Fair, but aged rum for gin”
    room: str = ""  # what a bar card hangs by, “hole” or “clip”: its head is kept free for it

    @property
    def reveal(self) -> PourWords | None:
        """What is added last before the guest."""
        return self.reveals[-1].pour if self.reveals else None


def lines_of(card: Card) -> float:
    """About how many lines of amounts a card is worth: small type counts half."""
    pours = sum(1 + len(pour.name) // 22 for pour in card.pours)
    reveal = sum((1.2 + len(one.served) / 45 for one in card.reveals), 1.0 if card.reveals else 0)
    reveal += len(card.layers) * 0.5 + (0.5 if card.foam else 0.0)
    care = " ".join([*card.garnish, card.serve, *card.rail])
    return pours + reveal + len(card.name) // 18 + 0.5 * len(care) / 60


def make_card(computed: Computed, house: House) -> Card:
    """Round and word one computed recipe for one house. Pure; never fails on a computed value."""
    tongue = language(house.language)
    computed = care.in_language(computed, tongue)
    recipe = computed.recipe
    drink = recipe if isinstance(recipe, Drink) else None
    shelf_life = computed.keeping
    last = computed.after or computed.before
    before = _swatch(computed, computed.before, house, "before", tongue)
    after = _swatch(computed, computed.after, house, "after", tongue) if computed.after else None
    turn = computed.turn if after else None
    stays = (Stop(before.above, at) for at in ("0", "100") if before.above)
    stops = make_stops(turn) if turn else tuple(stays)
    ticks = _ticks(computed, tongue)
    turning = _turning(computed, before, after, tongue)
    strip_title = tongue.gettext("Turn strip: %(colours)s", colours=turning)
    worked, served = worked_words(drink, tongue) if drink else (making_words(computed, tongue), "")
    return Card(
        kind=computed.kind,
        name=computed.name,
        slug=computed.slug,
        house=house.name,
        place=house.place,
        voice=house.voice or "",
        language=house.language,
        edition=computed.edition,
        method=worked,
        glass=drink.glass if drink else "",
        ice=served,
        rim=(drink.rim or "") if drink else "",
        garnish=drink.garnish if drink else (),
        vessel=(drink.vessel or "") if drink else "",
        keeps=""
        if outlasts(recipe.keeps, shelf_life.days if shelf_life else None)
        else recipe.keeps or "",
        store="" if shelf_life else recipe.store or "",  # else it is the first line of keeping
        pours=tuple(pour_line(measure, house) for measure in computed.measures),
        steps=step_lines(computed, tongue),
        reveals=reveals(computed, house, tongue),
        serve=(drink.serve or "") if drink else "",
        before=before,
        after=after,
        turning=turning,
        stops=stops,
        ticks=ticks,
        strip=draw_strip(stops, ticks, strip_title, f"{computed.slug}-strip", tongue.runs),
        difference="" if computed.delta_e00 is None else sure.turn_seen(computed.delta_e00, tongue),
        strength=percent_vol(last.abv_percent, tongue),
        drinks=drinks(computed, tongue),
        volume=millilitres(last.volume_ml, tongue),
        price="" if drink is None or drink.price is None else money(drink.price, tongue),
        currency=house.currency,
        figures=sure.with_spread(figures(computed, tongue), computed, tongue),
        made_of=made_of(computed, house, tongue),
        holds=allergen_words.line(computed.allergens, tongue),
        diets=diets(computed, tongue),
        holds_short=allergen_words.line(computed.allergens, tongue, dated=False),
        checked=allergen_words.checked(computed.allergens, tongue),
        allergens=allergens(computed, tongue),
        shelf_life=shelf_life_text(computed.keeping, tongue),
        shelf_life_reasons=shelf_life_reasons(computed.keeping, tongue),
        costs=costs(computed, tongue),
        rail=care.on_card(computed.cautions),
        cautions=care.on_spec(computed.cautions),
        guest_notes=tuple(one.guest for one in care.beside(computed.cautions)),
        house_notes=tuple(one.guest for one in care.at_foot(computed.cautions)),
        warnings=tuple(mistake.message for mistake in computed.warnings),
        sources=sources(computed, tongue),
        defaults=tuple(one.words for one in computed.defaults),
        guest_text=recipe.guest_text,
        staff_text=recipe.staff_text,
        window=sure.window_line(computed, tongue),
        measure_first=sure.measure_first(computed, tongue),
        sureness=sure.sureness(computed, tongue),
        wishes=sure.wishes(computed, tongue),
        calibrations=sure.calibrations(computed, tongue),
        light="" if house.light == "D65" else f"{house.light} K",
        shared_notes=care.marked(computed.cautions),
        layers=lies(computed.glassful.layers, tongue) if computed.glassful else (),
        stirred=stirred(computed, tongue),
        foam=foam_words(computed.glassful, tongue),
        in_ounces=house.ounces != "none" and not house.jiggers,
        room="" if house.card_room == "none" else house.card_room,
        variation=variation(drink, tongue) if drink else "",
    )


def _ticks(computed: Computed, tongue: Language) -> tuple[Tick, ...]:
    turn, reveal, ml = computed.turn, computed.reveal, computed.revealed_ml
    if turn is None or reveal is None or not ml:
        return ()
    return make_ticks(turn, ml, volume(ml, reveal.role, tongue), tongue)


def _swatch(computed: Computed, state: State, house: House, when: str, tongue: Language) -> Swatch:
    colour = state.colour
    name, pattern = tongue.word("colour", colour.name), pattern_of(colour.name)
    key = f"{computed.slug}-{when}"
    served = isinstance(computed.recipe, Drink)
    if isinstance(computed.recipe, Drink):
        glass = house.glasses[computed.recipe.glass]
        values = {"glass": computed.recipe.glass, "colour": name}
        title = (
            tongue.gettext("%(glass)s, before: %(colour)s", **values)
            if when == "before"
            else tongue.gettext("%(glass)s, after: %(colour)s", **values)
        )
        drawing = draw_glass(glass, state.volume_ml, colour.shown, pattern, title, key)
    else:
        drawing = draw_chip(colour.shown, pattern, name, key) if colour.shown else ""
    uncertainty = computed.uncertainty_after if when == "after" else computed.uncertainty_before
    ours = computed.ours_before if when == "before" else computed.ours_after
    return Swatch(
        drawing=drawing,
        hex=colour.shown,
        colour=name,
        pattern=tongue.word("pattern", pattern).replace("-", " ") if colour.shown else "",
        ph=_ph(computed, state, tongue),
        lab="L* {}  a* {}  b* {}".format(*(tidy(v, 0) for v in colour.lab)) if colour.shown else "",
        beyond_screen=""
        if colour.in_gamut
        else tongue.gettext("stronger in the glass than a screen can show"),
        give=sure.plus_minus_ph(state, uncertainty, tongue),
        shades=tuple(shade.hex for shade in uncertainty.strip) if uncertainty else (),
        ours=ours.hex if ours else "",
        ours_colour=tongue.word("colour", ours.name) if ours else "",
        way=tongue.gettext("from the side") if served else tongue.gettext("in the sample tube"),
        above=state.seen.above.shown,
        above_colour=tongue.word("colour", state.seen.above.name),
        above_way=tongue.gettext("from above") if served else tongue.gettext("over white"),
    )


def _ph(computed: Computed, state: State, tongue: Language) -> str:
    """The pH, or that nobody can tell it."""
    if any(one.what == "acidity" for one in computed.withheld):
        return tongue.gettext("pH not known")
    return f"pH {ph_text(state.stated_ph, 1, tongue)}"


def _turning(computed: Computed, before: Swatch, after: Swatch | None, tongue: Language) -> str:
    """The colours from above in words: "deep blue to wine red", or that it stays.

    A pour that nobody sees turn anything is told as none, unless nothing is meant to turn.
    """
    first = before.above_colour if computed.is_drink else before.colour
    if after is None:
        return first
    if turns(computed) and first != after.above_colour:
        return tongue.pgettext(
            "colours", "%(first)s to %(last)s", first=first, last=after.above_colour
        )
    meant = turns(computed) or (isinstance(computed.recipe, Drink) and computed.recipe.steady)
    return tongue.gettext("stays %(colour)s", colour=first) if meant else first
