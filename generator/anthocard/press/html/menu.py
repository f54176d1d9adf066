"""The guest menu: what guests may know of each drink, in their language.

Belongs here: choosing what reaches guests (a list of what may, never of what may not) and wording
it. Does not belong here: pages (guest_pages.py), drawings (filled_glass.py), a language's words
(languages.py), looks (the themes).
"""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TypedDict

from markupsafe import Markup

from anthocard.digest import sha256
from anthocard.engine.results import Computed
from anthocard.engine.trust.turning import turns
from anthocard.house.collection import Collection, drink_slugs, fold
from anthocard.house.files import slug
from anthocard.house.model import Drink, Menu
from anthocard.house.settings import House
from anthocard.press.base.languages import Language
from anthocard.press.base.markdown import guest_html
from anthocard.press.draw.filled_glass import (
    GlassSymbol,
    Rung,
    draw_filled,
    draw_turn,
    for_script,
    rungs_of,
    seconds_of,
)
from anthocard.press.html.choosing import classes_of
from anthocard.press.html.pictures import Picture, Pictures
from anthocard.press.words import guest

FEW = 3  # names of colours a drink: nobody reads more of them


@dataclass(frozen=True, slots=True)
class Offered:
    """One drink as guests read it; nothing else of it reaches their pages.

    `name_in` and `text_in` are the languages of name and text: the house's own where it has not
    translated them.
    """

    slug: str  # its anchor on the page
    own: str  # its slug, whichever menu it stands on
    page: str  # the address of its own page, from here
    name: str
    name_in: str
    text: Markup
    text_in: str
    price: str
    amount: str  # the price for machines: "12.5"
    currency: str
    strength: str
    volume: str
    glass: str
    strip: str
    steps: tuple[str, ...]  # the names of its colours in order, FEW at most
    stays: bool
    order: str  # its layers, and its steps where they are several
    why: str
    made_of: str  # what is in it, in guests' words
    taste: str
    taste_in: str
    holds: str  # allergens in words, and what it is for sure: vegan
    classes: str  # what may be chosen by, see choosing.py
    notes: tuple[str, ...]
    script: str  # empty where there is nothing to pour
    button: str
    seen: tuple[Picture, ...]  # from above, before anything is poured
    reel: Picture | None  # the pictures on the way, where it turns


class GuestFront(TypedDict):
    """What anyone may know of a house."""

    name: str
    name_in: str  # the language of its name
    voice: str
    voice_in: str
    language: str  # of the page, a BCP 47 tag
    currency: str  # what prices are in, in words


class MenuPart(TypedDict):
    """A section of a menu; the first of a menu has its name and days, the last its text."""

    menu: str
    menu_in: str
    days: str
    text: Markup
    text_in: str
    key: str  # its anchor on the page
    name: str
    name_in: str
    note: str
    note_in: str
    drinks: list[Offered]


def languages_of(house: House) -> tuple[str, ...]:
    """The house's own language, then the others its menu is published in; each once."""
    return tuple(dict.fromkeys((house.language, *house.languages)))


def menu_file(house: House, language: str) -> str:
    """The page of a language: index.html for the house's own, else “de.html”."""
    return "index.html" if language == house.language else f"{language.lower()}.html"


def drink_file(house: House, slug: str, language: str) -> str:
    """A drink's own page, of which there is one a language: “drinks/NAME.html”, “NAME.de.html”."""
    ending = "html" if language == house.language else f"{language.lower()}.html"
    return f"drinks/{slug}.{ending}"


def manifest_name(tag: str) -> str:
    """The manifest of the menu in a language, by its plain name."""
    return f"menu.{tag.lower()}.webmanifest"


def offered(collection: Collection, computed: Mapping[str, Computed]) -> tuple[Computed, ...]:
    """The drinks on any menu of the house, in the order they are read, each once."""
    return tuple(computed[slug] for slug in offered_slugs(collection, computed))


def offered_slugs(collection: Collection, computed: Mapping[str, Computed]) -> tuple[str, ...]:
    """Their slugs."""
    drinks = drink_slugs(collection, computed)
    names = (fold(n) for menu in collection.menus.values() for s in menu.sections for n in s.drinks)
    return tuple(drinks[name] for name in dict.fromkeys(names))


def sections_of(
    menu: Menu,
    drinks: Mapping[str, Computed],
    house: House,
    tongue: Language,
    shapes: Mapping[str, GlassSymbol],
    used: dict[str, int],
    pictures: Pictures | None,
) -> Iterator[MenuPart]:
    """The sections of a menu in words; `shapes` and `used` as for `offer`."""
    other = menu.translations.get(tongue.tag)
    name, name_in = _said(other.name if other else None, menu.name, house, tongue)
    text, text_in = _said(menu.guest_texts.get(tongue.tag), menu.guest_text, house, tongue)
    for number, section in enumerate(menu.sections):
        heading = other.sections.get(section.name) if other else None
        title, title_in = _said(heading.name if heading else None, section.name, house, tongue)
        note, note_in = _said(heading.note if heading else None, section.note or "", house, tongue)
        yield {
            "menu": "" if number else name,
            "menu_in": name_in,
            "days": "" if number else guest.days_of(menu, tongue),
            "text": Markup() if number < len(menu.sections) - 1 else guest_html(text),
            "text_in": text_in,
            "key": slug(f"{menu.name} {section.name}") or f"part-{number}",
            "name": title,
            "name_in": title_in,
            "note": note,
            "note_in": note_in,
            "drinks": [
                offer(drinks[fold(n)], house, tongue, shapes, used, pictures)
                for n in section.drinks
            ],
        }


def _said(other: str | None, own: str, house: House, tongue: Language) -> tuple[str, str]:
    """Words in the language of the page where the house has them, else its own; and which it is."""
    return (other, tongue.tag) if other else (own, house.language)


def offer(
    one: Computed,
    house: House,
    tongue: Language,
    shapes: Mapping[str, GlassSymbol],
    used: dict[str, int],
    pictures: Pictures | None,
) -> Offered:
    """One drink in words; `shapes` are outlines by glass, `used` how often each stands already."""
    recipe = one.recipe
    assert isinstance(recipe, Drink)
    used[one.slug] = used.get(one.slug, 0) + 1
    key = one.slug if used[one.slug] == 1 else f"{one.slug}-{used[one.slug]}"
    other = recipe.translations.get(tongue.tag)
    name, name_in = _said(other.name if other else None, recipe.name, house, tongue)
    text, text_in = _said(recipe.guest_texts.get(tongue.tag), recipe.guest_text, house, tongue)
    taste, taste_in = _said(other.taste if other else None, recipe.taste or "", house, tongue)
    rungs = rungs_of(one, house.glasses[recipe.glass])
    if not (turns(one) or recipe.steady):
        rungs = rungs[:1]  # nothing is seen to happen: there is nothing to pour
    names = [tongue.word("colour", rung.name) for rung in rungs]
    last = one.after or one.before
    price = recipe.price
    seen = pictures.above(one.slug, tongue) if pictures else ()
    return Offered(
        slug=key,
        own=one.slug,
        page=drink_file(house, one.slug, tongue.tag),
        name=name,
        name_in=name_in,
        text=guest_html(text),
        text_in=text_in,
        price="" if price is None else tongue.price(price, house.currency),
        amount="" if price is None else f"{price:.2f}",
        currency=house.currency,
        strength=guest.strength(one, tongue),
        volume=tongue.gettext("about %(volume)s", volume=tongue.volume(last.volume_ml)),
        glass=""
        if seen
        else draw_filled(
            shapes[recipe.glass], rungs[0], tongue.gettext("glass, %(colour)s", colour=names[0])
        ),
        strip=draw_turn(rungs, f"turn-{key}") if len(rungs) > 1 else "",
        steps=_steps(names),
        stays=len(rungs) > 1 and len(set(names)) == 1,
        order=guest.in_order(one, tongue),
        why=guest.why(one, tongue),
        made_of=guest.made_of(one, house, tongue),
        taste=taste,
        taste_in=taste_in,
        holds=f"{guest.holds(one, tongue)} {guest.diets(one, tongue)}".strip(),
        classes=classes_of(one),
        notes=tuple(guest.notes(one, tongue, everywhere=False)),
        script=_script(rungs, names, tongue, seconds_of(one), flat=not seen),
        button=guest.button(one, tongue),
        seen=seen[:1],
        reel=pictures.reel(one.slug) if pictures and len(seen) > 1 < len(rungs) else None,
    )


def _steps(names: Sequence[str]) -> tuple[str, ...]:
    """The names of a turn in order: where it begins, one on the way, where it ends."""
    steps = tuple(dict.fromkeys(names))
    return steps if len(steps) <= FEW else (steps[0], steps[len(steps) // 2], steps[-1])


def _script(
    rungs: Sequence[Rung], names: Sequence[str], tongue: Language, seconds: float, flat: bool
) -> str:
    if len(rungs) < 2:
        return ""
    sharp = [tongue.word("sharpness", guest.sharpness(rung.ph)) for rung in rungs]
    return for_script(rungs, names, sharp, seconds, flat)


def hash_of(script: str) -> str:
    """How a content security policy names one inline script or sheet: each is let in by name."""
    return f"sha256-{b64encode(sha256(script.encode())).decode()}"


def address_of(house: House, path: str) -> str:
    """A whole address, or nothing where the house has not said where it is hosted."""
    return f"{house.web.rstrip('/')}/{path.removesuffix('index.html')}" if house.web else ""


def front(house: House, tongue: Language) -> GuestFront:
    """What anyone may know of a house."""
    other = house.translations.get(tongue.tag)
    voice, voice_in = _said(other.voice if other else None, house.voice or "", house, tongue)
    return {
        "name": house.name,
        "name_in": house.language,
        "voice": voice,
        "voice_in": voice_in,
        "language": tongue.tag,
        "currency": tongue.currency(house.currency),
    }
