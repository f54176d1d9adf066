"""The guest pages: the menu, one a drink, to be shared, and the one for a lost address.

Belongs here: what those pages are filled with, and the picture that is shown where a drink's
address is shared. Does not belong here: what guests may know of a drink and a menu (menu.py).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import partial
from typing import TypedDict

from markupsafe import Markup

from anthocard.engine.results import Computed
from anthocard.house.collection import Collection, fold
from anthocard.house.files import slug
from anthocard.house.model import Drink, Recipe
from anthocard.house.settings import House
from anthocard.press.base.languages import Language, language
from anthocard.press.base.theme import Theme
from anthocard.press.data.jsonld import drink_json, menu_json
from anthocard.press.draw.filled_glass import GlassSymbol, rungs_of, shape_of
from anthocard.press.draw.photograph import is_picture, size_of
from anthocard.press.draw.picture import drink_picture
from anthocard.press.draw.wide import widened
from anthocard.press.html.assets import Assets
from anthocard.press.html.choosing import Choice, Facet, choose_by, leave_out
from anthocard.press.html.menu import (
    GuestFront,
    MenuPart,
    Offered,
    address_of,
    drink_file,
    front,
    hash_of,
    languages_of,
    manifest_name,
    menu_file,
    offer,
    offered,
    sections_of,
)
from anthocard.press.html.pictures import Pictures, film_file
from anthocard.press.words import guest

NOT_FOUND = "404.html"


@dataclass(frozen=True, slots=True)
class Photograph:
    """The house's own picture of a drink: its file beside the page, its size, what it shows."""

    file: str
    wide: int
    tall: int
    shows: str
    shows_in: str


class Tongue(TypedDict):
    """A language in which a page stands."""

    tag: str
    name: str  # its name in itself
    file: str  # that page from here
    address: str  # that page, whole; empty where the house has not said where it is hosted
    here: bool


class MenuGiven(TypedDict):
    """What the page of all menus is given."""

    house: GuestFront
    sections: list[MenuPart]
    shapes: tuple[GlassSymbol, ...]  # outlines of glasses, where there are no pictures
    facets: tuple[Facet, ...]  # what drinks can be chosen by
    leave_out: tuple[Choice, ...]
    many: int  # drinks
    plants: str
    notes: tuple[str, ...]
    assets: Assets
    manifest: str
    style: str
    address: str
    picture: str
    data: Markup  # JSON-LD
    data_hash: str
    printed: bool  # whether the menu on paper lies beside it
    others: list[Tongue]


class DrinkGiven(TypedDict):
    """What a drink's own page is given."""

    house: GuestFront
    drink: Offered
    menu: str  # the way back
    told: str  # what it says of itself where it is shared
    assets: Assets
    manifest: str
    style: str
    address: str
    picture: str
    photograph: Photograph | None
    film: str | None  # an address
    data: Markup  # JSON-LD
    data_hash: str
    others: list[Tongue]


class Door(TypedDict):
    """The way back to the menu in one language."""

    lang: str
    direction: str
    title: str
    words: str
    link: str
    address: str


class LostGiven(TypedDict):
    """What the page for a lost address is given."""

    house: GuestFront
    sheet: Markup
    sheet_hash: str
    doors: list[Door]
    style: str


def menu_page(
    collection: Collection,
    computed: Mapping[str, Computed],
    theme: Theme,
    assets: Assets,
    tag: str,
    papers: bool = False,
    pictures: Pictures | None = None,
) -> str:
    """Every menu of the house on one page, in one language. `computed` goes by slug.

    With `papers` it links the printed menu beside it, which is in the house's own language; with
    `pictures` every drink is shown in its own glass.
    """
    house, tongue = collection.house, language(tag)
    drinks = {fold(one.name): one for one in offered(collection, computed)}
    shapes = {name: shape_of(g, slug(name)) for name, g in house.glasses.items()}
    used: dict[str, int] = {}
    sections = [
        part
        for menu in collection.menus.values()
        for part in sections_of(menu, drinks, house, tongue, shapes, used, pictures)
    ]
    listed = offered(collection, computed)
    address = address_of(house, menu_file(house, tag))
    title = sections[0]["menu"] if sections else ""
    data = menu_json(sections, title, house.name, tag, address, partial(address_of, house))
    values: MenuGiven = {
        "house": front(house, tongue),
        "sections": sections,
        "shapes": () if pictures else tuple(shapes.values()),
        "facets": choose_by(listed, tongue),
        "leave_out": leave_out(listed, tongue),
        "many": len({one.slug for one in listed}),
        "plants": ", ".join(guest.plants_in(listed, tongue)),
        "notes": tuple(dict.fromkeys(n for one in listed for n in guest.notes(one, tongue, True))),
        "assets": assets,
        "manifest": assets[manifest_name(tag)],
        "style": assets["guest.css"],
        "address": address,
        "picture": address_of(house, assets["shared.png"]),
        "data": data,
        "data_hash": hash_of(data),
        "printed": papers and tag == house.language,
        "others": [
            _tongue(house, other, menu_file(house, other), tag) for other in languages_of(house)
        ],
    }  # fmt: skip
    return widened(theme.render("menu.html", values, tag), listed)


def _tongue(house: House, other: str, file: str, here: str) -> Tongue:
    return {
        "tag": other, "name": language(other).own_name, "here": other == here,
        "file": file.removeprefix("drinks/"),
        "address": address_of(house, file),
    }  # fmt: skip


def picture_file(own: str, taken: bytes | None = None) -> str:
    """Where the picture of a drink stands in the guest folder, by its slug; as `taken` or drawn."""
    return f"drinks/{own}.jpg" if taken else f"drinks/{own}.png"


def taken_of(collection: Collection, recipe: Recipe) -> bytes | None:
    """The picture the house took of a drink, as it lies in its folder; None where there is none."""
    own = recipe.picture if isinstance(recipe, Drink) else None
    content = None if own is None else collection.pictures.get(own.file)
    return content if content is not None and is_picture(content) else None


def _photograph(collection: Collection, recipe: Drink, own: str, tag: str) -> Photograph | None:
    taken = taken_of(collection, recipe)
    if taken is None or recipe.picture is None:
        return None
    other = recipe.translations.get(tag)
    said = other.picture if other else None
    wide, tall = size_of(taken)
    file = picture_file(own, taken).removeprefix("drinks/")
    shows_in = tag if said else collection.house.language
    return Photograph(file, wide, tall, said or recipe.picture.shows, shows_in)


def drink_page(
    collection: Collection,
    computed: Mapping[str, Computed],
    theme: Theme,
    assets: Assets,
    tag: str,
    own: str,
    pictures: Pictures,
) -> str:
    """The page of one drink, by its slug, in one language."""
    house, tongue, one = collection.house, language(tag), computed[own]
    recipe = one.recipe
    assert isinstance(recipe, Drink)
    drink = offer(one, house, tongue, {}, {}, pictures)
    up = tuple(picture.seen_from("../") for picture in drink.seen)
    drink = replace(drink, seen=up, reel=drink.reel and drink.reel.seen_from("../"))
    address = address_of(house, drink_file(house, own, tag))
    picture = address_of(house, picture_file(own, taken_of(collection, recipe)))
    data = drink_json(drink, tag, address, picture)
    loaded = assets.seen_from("../")
    values: DrinkGiven = {
        "house": front(house, tongue),
        "drink": drink,
        "menu": f"../{menu_file(house, tag)}",
        "told": Markup(drink.text).striptags() or drink.name,
        "assets": loaded,
        "manifest": loaded[manifest_name(tag)],
        "style": loaded["guest.css"],
        "address": address,
        "picture": picture,
        "photograph": _photograph(collection, recipe, own, tag),
        "film": film_file(own).removeprefix("drinks/") if drink.reel else None,
        "data": data,
        "data_hash": hash_of(data),
        "others": [
            _tongue(house, other, drink_file(house, own, other), tag)
            for other in languages_of(house)
        ],
    }  # fmt: skip
    return widened(theme.render("drink.html", values, tag), (one,))


def own_picture(collection: Collection, one: Computed) -> bytes:
    """The picture of one drink: its name, before and after."""
    assert isinstance(one.recipe, Drink)
    glass = collection.house.glasses[one.recipe.glass]
    rungs = rungs_of(one, glass)
    return drink_picture(one.name, collection.house.name, glass, rungs[0], rungs[-1])


def _way_back(house: House, tongue: Language) -> Door:
    """The way back to the menu in one language."""
    file = menu_file(house, tongue.tag)
    return {
        "lang": tongue.lang,
        "direction": tongue.direction,
        "title": tongue.gettext("Not on the menu"),
        "words": tongue.gettext(
            "This address leads nowhere. A drink may have gone; the menu is still here."
        ),
        "link": tongue.gettext("To the menu"),
        "address": address_of(house, file) or f"/{file.removesuffix('index.html')}",
    }


def lost_page(collection: Collection, theme: Theme) -> str:
    """What a host shows where it has no page. Nobody knows at which address it will stand: it loads
    nothing, and leads to the menu by its whole address, or to the top of the host.
    """
    house = collection.house
    sheet = Markup(theme.style("lost.css"))  # the theme's own: no “</style>” of an author is in it
    values: LostGiven = {
        "house": front(house, language(house.language)),
        "sheet": sheet,
        "sheet_hash": hash_of(sheet),
        "doors": [_way_back(house, language(tag)) for tag in languages_of(house)],
        "style": "",
    }
    return theme.render("lost.html", values, house.language)
