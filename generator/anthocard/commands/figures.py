"""anthocard figures: the figures of one recipe, for people or as JSON."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from anthocard.diagnostics.diagnostic import Mistake, Place, did_you_mean
from anthocard.diagnostics.plain_letters import json_text
from anthocard.facts.colour.pigment_figures import peak_half_nm
from anthocard.terminal.houses import (
    add_house,
    house_to_read,
    known_glass,
    not_sound,
    sound_house,
    tell_elsewhere,
)
from anthocard.terminal.typed import celsius

EXAMPLE = """\
examples:
  anthocard figures recipes/drinks/NAME.md
  anthocard figures recipes/solutions/NAME.md --json
  anthocard figures "Squall Line" --at 10C
"""


def describe(parser: argparse.ArgumentParser) -> None:
    """Options of this command."""
    parser.epilog = EXAMPLE
    parser.add_argument("file", metavar="FILE", type=Path, help="the recipe, by its file or name")
    add_house(parser)
    parser.add_argument("--json", action="store_true", help="print JSON, the same as data/*.json")
    parser.add_argument(
        "--at", metavar="TEMP", type=celsius, help="figures at this temperature, such as 10C or 50F"
    )


def run(options: argparse.Namespace) -> int:
    """Work out one recipe of a house and print it."""
    from anthocard.diagnostics.diagnostic import MistakeLog
    from anthocard.engine.compute import compute_one
    from anthocard.engine.mix.shelf import Shelf
    from anthocard.press.data.recipe_json import as_json

    folder = house_to_read(options, near=options.file)
    collection, elsewhere = sound_house(folder)
    recipe = collection.recipe(options.file)
    if recipe is None:
        missing = Mistake(
            "no-such-recipe",
            f"this is not a recipe of the house in {folder}",
            Place(str(options.file)),
            did_you_mean(str(options.file), [one.name for one in collection.recipes]),
        )
        raise not_sound(missing, elsewhere)
    log = MistakeLog()
    with known_glass(recipe, collection):
        one = compute_one(recipe, collection, Shelf(collection, log), log, options.at)
    log.raise_if_errors()
    data = as_json(one)
    print(json_text(data) if options.json else _summary(data))
    tell_elsewhere(elsewhere)
    return 0


def _summary(data: dict[str, Any]) -> str:
    from anthocard.press.base.number_text import EN
    from anthocard.press.words.confidence import turn_seen

    lines = [f"{data['name']} ({data['kind']}, edition {data['edition']})", ""]
    width = max((len(row["name"]) for row in data["amounts"]), default=0)
    for row in data["amounts"]:
        mark = "  <- reveal" if row.get("reveal") else ""
        lines.append(f"  {row['name']:<{width}}  {row['metric']:>9}  {row['us_oz']}{mark}")
    for key in ("liquid", "before", "after"):
        if data.get(key):
            lines += ["", *_state(key, data[key])]
    if data.get("delta_e00") is not None:
        lines += ["", f"  {turn_seen(data['delta_e00'], EN)} (ΔE00 {data['delta_e00']:.1f})"]
    for warning in data["warnings"]:
        lines.append(f"  warning: {warning}")
    return "\n".join(lines)


def _acidity(state: dict[str, Any]) -> str:
    warm = f"at {state['temperature_c']:.1f} °C"
    if state["ph"] is None:
        return f"pH {warm}: nothing to work it out from, measure it"
    if state["ph_between"]:
        return f"pH between {{:.1f}} and {{:.1f}} {warm}: measure it".format(*state["ph_between"])
    return f"pH {state['ph']:.2f} {warm}"


def _state(title: str, state: dict[str, Any]) -> list[str]:
    colour = state["colour"]
    gamut = "" if colour["in_gamut"] else ", outside screen gamut"
    return [
        f"  {title}: {colour['name']} {colour['hex']}{gamut}",
        f"    {_acidity(state)}",
        f"    {state['volume_ml']:.1f} ml, {state['abv_percent']:.1f} % vol",
        f"    acidity {state['titratable_acidity_g_per_l']:.1f} g/l as citric, "
        f"sugar {state['sugar_g_per_l']:.0f} g/l",
        *_pigments(state["pigments"]),
    ]


def _pigments(of: dict[str, Any] | None) -> Iterator[str]:
    """What a laboratory would ask of the colour: forms of each plant, the peak and its height."""
    if of is None:
        return
    yield (
        f"    most absorbed at {of['lambda_max_nm']:.0f} ± {peak_half_nm():.0f} nm: "
        f"{of['absorbance_per_cm']:.3g} AU in 1 cm"
    )
    for plant, forms in of["shares"].items():
        shares = ", ".join(f"{form} {100 * share:.0f} %" for form, share in forms.items())
        yield f"    {plant.replace('_', ' ')}: {shares}"
