"""Everything the pages of a house load: sheets, scripts, faces, icons, the picture that is shared.

Belongs here: which files those are and what they are made from. Does not belong here: drawing the
pictures (picture.py), naming the files (assets.py).
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial

from anthocard.engine.results import Computed
from anthocard.house.collection import Collection
from anthocard.house.model import Drink
from anthocard.house.settings import Glass
from anthocard.press.base.languages import language
from anthocard.press.base.theme import Theme
from anthocard.press.draw.filled_glass import Rung, rungs_of
from anthocard.press.draw.picture import ICONS, icons, manifest, social_picture
from anthocard.press.html.assets import FOLDER, Assets, make_assets
from anthocard.press.html.choosing import choosing_rules
from anthocard.press.html.menu import languages_of, manifest_name, menu_file, offered
from anthocard.press.html.palette_page import STYLE, palette_rules
from anthocard.press.store.key import Memo, make_it

SHOWN = 6  # glasses side by side in the shared picture


def guest_assets(
    collection: Collection,
    computed: Mapping[str, Computed],
    theme: Theme,
    words: str,
    memo: Memo = make_it,
) -> Assets:
    """The files beside the guest pages; the same house, the same names. `words` as of `letters`."""
    house, drinks = collection.house, offered(collection, computed)
    rules = choosing_rules(drinks, language(house.language))
    assets = make_assets(theme, {"guest.css": rules}, ("pour.js", "choose.js"), words, memo)
    turns = [_turn(one, collection) for one in drinks] or [_empty(collection)]
    row = tuple(
        (glass, rungs[-1 if n % 2 else 0]) for n, (glass, rungs) in enumerate(turns[:SHOWN])
    )
    pictures = {
        **_icons(turns[0], memo),
        "shared.png": memo(
            "picture",
            (house.name, house.voice, row),
            lambda: social_picture(house.name, house.voice or "", row),
        ),
    }
    assets = assets.with_files(pictures)
    beside = _beside(assets)
    manifests = {
        manifest_name(tag): manifest(house.name, house.name, tag, beside, menu_file(house, tag))
        for tag in languages_of(house)
    }
    return assets.with_files(manifests)


def staff_assets(
    collection: Collection,
    computed: Mapping[str, Computed],
    theme: Theme,
    words: str,
    memo: Memo = make_it,
) -> Assets:
    """The files beside the pages of the spec book."""
    assets = make_assets(
        theme,
        {"pages.css": "", STYLE: palette_rules()},
        ("book.js", "find.js", "for-guest.js"),
        words,
        memo,
    )
    turns = [_turn(one, collection) for one in offered(collection, computed)] or [
        _empty(collection)
    ]
    assets = assets.with_files(_icons(turns[0], memo))
    house, tongue = collection.house, language(collection.house.language)
    name = f"{tongue.gettext('Spec book')}, {house.name}"
    manifest_ = manifest(name, tongue.gettext("Specs"), house.language, _beside(assets))
    return assets.with_files({"book.webmanifest": manifest_})


def _beside(assets: Assets) -> dict[str, str]:
    """Addresses as they are from a file in the same folder."""
    return {name: path.removeprefix(f"{FOLDER}/") for name, path in assets.addresses.items()}


def _icons(turn: tuple[Glass, tuple[Rung, ...]], memo: Memo) -> dict[str, bytes]:
    return {name: memo("icon", (name, turn), partial(_icon, turn, name)) for name in ICONS}


def _icon(turn: tuple[Glass, tuple[Rung, ...]], name: str) -> bytes:
    return icons(*turn)[name]


def letters(collection: Collection) -> str:
    """Every word of the house that a page may show, and every sign of our phrases in its languages,
    for the faces to hold their letters.
    """
    own = (collection.house, *collection.menus.values(), *collection.recipes)
    ours = frozenset().union(*(language(tag).letters for tag in languages_of(collection.house)))
    return "".join((*map(repr, own), *sorted(ours)))


def _turn(one: Computed, collection: Collection) -> tuple[Glass, tuple[Rung, ...]]:
    recipe = one.recipe
    assert isinstance(recipe, Drink)
    glass = collection.house.glasses[recipe.glass]
    return glass, rungs_of(one, glass)


def _empty(collection: Collection) -> tuple[Glass, tuple[Rung, ...]]:
    """The first glass of a house that has no drink yet."""
    plain = Glass.model_validate({"width": "70 mm", "holds": "200 ml"})
    glass = next(iter(collection.house.glasses.values()), plain)
    return glass, (Rung(0.0, "#8a84a0", "", 7.0, 0.0, 0.0),)
