"""anthocard explain: where a figure comes from, for a word or for a recipe of the house."""

from __future__ import annotations

import argparse
import shutil
import textwrap
from collections.abc import Iterable, Iterator
from datetime import date
from math import exp
from pathlib import Path
from typing import TYPE_CHECKING, Any

from anthocard.diagnostics.diagnostic import AuthorError, Mistake, Place, did_you_mean
from anthocard.diagnostics.tables import read_table
from anthocard.facts.law import places
from anthocard.house.json_schema import TITLES
from anthocard.terminal.houses import (
    add_house,
    house_folder,
    not_sound,
    sound_house,
    tell_elsewhere,
)
from anthocard.terminal.keys import FILES, called, key_lines, keys_of, lines
from anthocard.terminal.lists import LISTS, among, law, names

if TYPE_CHECKING:
    from anthocard.engine.findings import Uncertainty
    from anthocard.engine.results import Computed, State
    from anthocard.house.reader import Collection

EXAMPLE = """\
WORD is a figure (ph, strength, colour, ...), an acid, a plant, a bottle, or a recipe of the house
by its name or file; a kind of file (drink, stock, house, ...), for all that can be written in it;
one of its keys (price, until, ...); units, plants, methods, ices, glasses, wishes, for what there
is; or law, for that of the house's place, or of another by its code. Without a word, the figures
that can be explained are listed.

examples:
  anthocard explain
  anthocard explain drink
  anthocard explain price
  anthocard explain units
  anthocard explain law
  anthocard explain US-TN
  anthocard explain ph
  anthocard explain "citric acid"
  anthocard explain drinks/NAME.md
"""
#: Figures of a recipe: what it is called, the field of a state, its unit and decimals.
FIGURES = (
    ("ph", "ph", "", 2),
    ("acidity", "titratable_acidity_g_per_l", " g/l as citric", 1),
    ("sugar", "sugar_g_per_l", " g/l", 0),
    ("strength", "abv_percent", " % vol", 1),
)


def describe(parser: argparse.ArgumentParser) -> None:
    """Options of this command."""
    parser.epilog = EXAMPLE
    parser.add_argument("word", metavar="WORD", nargs="?", help="a figure, a thing or a recipe")
    add_house(parser)


def run(options: argparse.Namespace) -> int:
    """Print what stands behind a word."""
    if options.word is None:
        print("Figures that can be explained:")
        for key, row in _words().items():
            print(f"  {key:<12}{row['title']}")
        print("\nAlso any acid, plant, bottle or recipe by its name;")
        print(f"what can be written: {', '.join(TITLES)}, or any key of these;")
        print(f"what there is: {', '.join(LISTS)};")
        print("and law, that of the house's place, or of another by its code (DE, US-TN).")
        return 0
    text, elsewhere = _explained(options.word, options.house)
    print("\n".join(_folded(text)))
    tell_elsewhere(elsewhere)
    return 0


def _words() -> dict[str, Any]:
    return read_table("anthocard.commands", "explain.yaml")["words"]  # type: ignore[no-any-return]


def _explained(word: str, house: Path | None) -> tuple[Iterable[str], tuple[Mistake, ...]]:
    """The lines, and what is to be mended in the house they are from."""
    from anthocard.house.collection import fold

    said = fold(word)
    if said in TITLES or said.removesuffix("s") in TITLES:
        return lines(said if said in TITLES else said.removesuffix("s")), ()
    many = {"wish": "wishes", "glass": "glasses"}.get(said, f"{said}s")
    if said in LISTS or (many in LISTS and not [*called(word)]):
        return LISTS[said if said in LISTS else many](), ()
    for key, row in _words().items():
        if said in {fold(key), fold(row["title"]), *map(fold, row["also"])}:
            return (*_figure(row), *_as_key(word)), ()
    row = _table_row(fold(word))
    if row is not None:
        return row, ()
    if word != said and places.exists(word):  # in capitals: “us” is no place
        return law(word, date.today()), ()
    collection, elsewhere = _collection(house, word)
    if said == "law" and collection is not None:
        return law(collection.house.place, date.today()), elsewhere
    if collection is not None:
        recipe = _recipe(collection, word)
        if recipe is not None:
            return recipe, elsewhere
    keys = [*_as_key(word)]
    listed = among(word)
    if keys or listed:
        return [*listed, *(keys if listed else keys[1:])], ()
    every = (key.path.rpartition(".")[2] for kind in TITLES for key in keys_of(kind))
    known = [*_words(), *TITLES, *LISTS, "law", *every, *names(), *_things(collection)]
    message = f"there is nothing called “{word}” to explain"
    missing = Mistake("no-such-word", message, Place(word), did_you_mean(word, known))
    raise not_sound(missing, elsewhere)


def _as_key(word: str) -> Iterator[str]:
    """Where a word is a key, in each kind of file; a blank line first."""
    for key in called(word):
        yield ""
        yield f"In {FILES[key.kind]}:"
        yield from key_lines(key)


def _figure(row: dict[str, Any]) -> Iterator[str]:
    yield row["title"]
    yield ""
    yield "From:"
    yield from (f"  - {one}" for one in row["inputs"])
    yield ""
    yield f"How: {row['formula']}"
    yield f"     ({row['source']})"
    yield ""
    yield f"How sure: {row['sure']}"
    if row["rests_on"]:
        yield ""
        yield "Constants:"
    for way in row["rests_on"]:
        package, file, section, key = way.split(" ", 3)
        yield from _row(key, read_table(f"anthocard.{package}", file)[section][key])


def _row(name: str, row: dict[str, Any]) -> Iterator[str]:
    """One row of a table: its values, its doubt, its source and how it was got."""
    hidden = {"source", "how", "label", "spellings", "aliases", "coefficients"}
    values = [f"{key}: {_shown(value)}" for key, value in row.items() if key not in hidden]
    short = [one for one in values if len(one) < 100]
    yield f"  - {row.get('label', name)}"
    yield from (f"      {one}" for one in short)
    if len(short) < len(values):
        yield "      and what is too long to print, in the table"
    yield f"      from: {row['source']} ({row['how']})"


def _shown(value: Any) -> str:
    if isinstance(value, dict):
        return ", ".join(f"{key} {_shown(inner)}" for key, inner in value.items())
    if isinstance(value, list | tuple):
        return ", ".join(map(_shown, value))
    return str(value)


def _table_row(word: str) -> Iterable[str] | None:
    """An acid, a plant or a bottle of the generic table."""
    from anthocard.facts.chemistry.acids import acid, acid_keys
    from anthocard.facts.colour.pigments import plants
    from anthocard.facts.stock import generic_stock
    from anthocard.house.collection import fold

    for key in acid_keys():
        if word in (fold(key), fold(acid(key).label), fold(f"{key} acid")):
            return [
                "An acid",
                "",
                *_row(key, read_table("anthocard.facts.chemistry", "acids.yaml")["acids"][key]),
            ]
    for key, plant in plants().items():
        if word in (fold(key.replace("_", " ")), fold(plant.label)):
            return [
                f"{plant.label}: a plant that colours", "",
                "Its forms, their pK and bands: see the table of pigments.",
                f"  {plant.source} ({plant.how})", "", *_drawn(key), "",
                "Then: anthocard explain colour",
            ]  # fmt: skip
    for item in generic_stock().values():
        if word in (fold(item.name), *map(fold, item.aliases)):
            row = item.model_dump(exclude_defaults=True, exclude={"name"}, warnings=False)
            row = {"source": item.source, "how": item.how} | row
            return [f"A bottle of the generic table: {item.kind}", "", *_row(item.name, row)]
    return None


def _drawn(plant: str) -> Iterator[str]:
    """What a gram of a plant gives, and each paper that says so."""
    row = read_table("anthocard.facts.chemistry", "extraction.yaml")["plants"][plant]
    spread = f"times or over {exp(row['log_sd']):.1f}"
    yield f"1 g of it, dried, in 1 litre reads {row['au_l_per_g']:g} AU per cm, {spread}: by"
    for one in row["content"]:
        held = one["mg_per_g"]
        content = "-".join(f"{end:g}" for end in (held if isinstance(held, list) else [held]))
        yield f"  - {content} mg/g × {one['share']:g}: {one['source']} ({one['how']})"


def _collection(house: Path | None, word: str) -> tuple[Collection | None, tuple[Mistake, ...]]:
    """The sound part of the house, if there is one; without --house it may be missing."""
    near = Path(word) if word.endswith(".md") else None
    try:
        folder = house_folder(house, near)
    except AuthorError:
        if house is not None:
            raise
        return None, ()
    return sound_house(folder)


def _things(collection: Collection | None) -> list[str]:
    from anthocard.facts.stock import generic_stock

    made = [recipe.name for recipe in collection.recipes] if collection else []
    return [*made, *generic_stock()]


def _recipe(collection: Collection, word: str) -> Iterable[str] | None:
    from anthocard.diagnostics.diagnostic import MistakeLog
    from anthocard.engine.compute import compute_one
    from anthocard.engine.mix.shelf import Shelf
    from anthocard.house.collection import fold

    named = {fold(recipe.name): recipe for recipe in collection.recipes}
    named |= {fold(collection.slug(recipe)): recipe for recipe in collection.recipes}
    recipe = named.get(fold(word)) or (collection.recipe(word) if word.endswith(".md") else None)
    if recipe is None:
        return None
    log = MistakeLog()
    computed = compute_one(recipe, collection, Shelf(collection, log), log)
    log.raise_if_errors()
    return _figures(computed)


def _figures(one: Computed) -> Iterator[str]:
    yield f"{one.name}: where its figures come from"
    yield ""
    yield "From:"
    for measure in (*one.measures, *one.revealed):
        ml = "" if measure.ml is None or measure.unit == "ml" else f", {measure.ml:.1f} ml"
        yield f"  - {measure.count:g} {measure.unit} {measure.name}{ml}"
    first = "As it leaves the bar" if one.is_drink else "As it is made"
    for when, state, spread in (
        (first, one.before, one.uncertainty_before),
        ("Once the reveal is in", one.after, one.uncertainty_after),
    ):
        if state is not None:
            yield ""
            yield f"{when}:"
            yield from _state(state, spread)
    if one.defaults:
        yield ""
        yield "Defaults, so measure these first:"
        yield from (f"  - {default.words}" for default in one.defaults)
    yield ""
    yield "It rests on:"
    for source in one.sources:
        yield f"  - {source.what}"
        yield f"      {source.source} ({source.how})"


def _state(state: State, spread: Uncertainty | None) -> Iterator[str]:
    """Each figure with its ±, and the word that explains it; the ± computed where it was."""
    from anthocard.press.base.number_text import ph_text

    both = (("ph", spread.ph), ("strength", spread.abv_percent)) if spread else ()
    found = {word: one.plus_minus for word, one in both}
    for word, field, unit, decimals in FIGURES:
        if word == "ph" and not isinstance(state.stated_ph, float):
            yield f"  - ph: {ph_text(state.stated_ph)}, so measure it; see: anthocard explain ph"
            continue
        shown = f"{getattr(state, field) + 0.0:.{decimals}f}{unit}"
        yield f"  - {word}: {shown}, {_uncertainty(word, found.get(word), decimals)}"
    colour_sure = f"± {spread.delta_e00:.0f} ΔE00" if spread else _words()["colour"]["sure"]
    shown = f", {state.colour.shown}, {colour_sure}" if state.colour.shown else ""
    yield f"  - colour: {state.colour.name}{shown}"
    by = (("pH", spread.ph_by[:1]), ("colour", spread.colour_by[:1])) if spread else ()
    for what, first in by:
        for one in first:
            share = f"{one.words} ({100 * one.share:.0f} %)"
            yield f"  - most of the doubt in {what} comes from: {share}"


def _uncertainty(word: str, plus_minus: float | None, decimals: int) -> str:
    if plus_minus is None:
        return str(_words()[word]["sure"])
    return f"± {plus_minus:.{max(decimals, 1)}f} (nine in ten); see: anthocard explain {word}"


def _folded(lines: Iterable[str]) -> Iterator[str]:
    """Lines hung under their own start, no wider than the terminal."""
    width = max(24, min(shutil.get_terminal_size().columns, 90))
    for line in lines:
        margin = " " * (len(line) - len(line.lstrip(" -")))
        yield textwrap.fill(
            line, width, subsequent_indent=margin, break_long_words=False, break_on_hyphens=False
        )
