"""anthocard dial: the dose that grants a wish, and the pour curve as a picture for a terminal."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from anthocard.terminal.houses import (
    add_house,
    house_to_read,
    not_sound,
    sound_house,
    tell_elsewhere,
)

if TYPE_CHECKING:
    from anthocard.diagnostics.diagnostic import AuthorError
    from anthocard.engine.findings import Dialled
    from anthocard.engine.mix.bottle import Bottle
    from anthocard.engine.mix.line import Line
    from anthocard.engine.mix.shelf import Shelf
    from anthocard.house.collection import Collection
    from anthocard.house.model import Drink

WIDTH, HEIGHT = 60, 9
EXAMPLE = """\
examples:
  anthocard dial recipes/drinks/NAME.md --until "pH 3.1"
  anthocard dial recipes/drinks/NAME.md --until "rose with acidity 6-8 g/l"
  anthocard dial recipes/drinks/NAME.md --until "pH 3.1" --hold "citrate buffer until pH 5.5"

--until is for the reveal, --hold for a pour before it; both at once are dialled in together.
Nothing is written: copy the line that is printed into the recipe, or leave the wish there.
"""


def describe(parser: argparse.ArgumentParser) -> None:
    """Options of this command."""
    parser.epilog = EXAMPLE
    parser.add_argument("file", metavar="DRINK", type=Path, help="the drink, by its file or name")
    add_house(parser)
    parser.add_argument("--until", metavar="WISH", help="what the reveal is poured until")
    parser.add_argument("--hold", metavar="POUR", help="a pour and its wish: “NAME until WISH”")
    parser.add_argument("--swap", metavar="ACID", help="the reveal's acids as grams of this one")


def run(options: argparse.Namespace) -> int:
    """Dial one drink in and print doses, figures and the curve."""
    from anthocard.diagnostics.diagnostic import MistakeLog
    from anthocard.engine.compute import compute_one
    from anthocard.engine.mix.settle import settle
    from anthocard.engine.mix.shelf import Shelf
    from anthocard.engine.together import alone
    from anthocard.house.model import Drink

    collection, elsewhere = sound_house(house_to_read(options, near=options.file))
    drink = collection.recipe(options.file)
    if not isinstance(drink, Drink):
        missing = _mistake("no-such-drink", "this is not a drink of the house", str(options.file))
        raise not_sound(missing.mistakes[0], elsewhere if drink is None else ())
    drink = _wished(drink, options, collection)
    log = MistakeLog()
    shelf = Shelf(collection, log)
    settled, dialled = alone(settle(drink, collection, shelf, log))
    log.raise_if_errors()
    if not dialled:
        raise _mistake(
            "no-wish", f"{drink.name} wishes for nothing", str(options.file),
            "give --until or --hold, or write “until: …” in the recipe",
        )  # fmt: skip
    for one in dialled:
        print("\n".join(_description(one, collection)))
    figures = compute_one(settled, collection, shelf, log)
    for line in _taste(figures, settled, collection, shelf):
        print(line)
    if options.swap is not None and settled.reveal is not None:
        for line in _swapped(shelf[settled.reveal.pour], options):
            print(line)
    if settled.reveal is not None and figures.reveal is not None and figures.reveal.ml:
        from anthocard.engine.mix.settle import reveal_line
        from anthocard.press.base.number_text import EN
        from anthocard.press.words.confidence import window_line

        print(f"\n{window_line(figures, EN)}\n")
        print("\n".join(_curve(reveal_line(settled, collection, shelf, log), figures.reveal.ml)))
    for warning in figures.warnings:
        print(f"warning: {warning.message}; {warning.mend}")
    print("\nA starting dose: titrate your own.")
    tell_elsewhere(elsewhere)
    return 0


def _wished(drink: Drink, options: argparse.Namespace, collection: Collection) -> Drink:
    """The drink with the wishes of the command line in the place of its own amounts."""
    from anthocard.facts.units.written_numbers import MeasureError
    from anthocard.house.collection import fold
    from anthocard.house.serving.pours import UNDIALLED, Pour
    from anthocard.house.wish import parse_wish, split_until

    try:
        if options.until is not None:
            if drink.reveal is None:
                raise MeasureError("no-reveal", "this drink has no reveal", "use --hold")
            wish = parse_wish(options.until, "after")
            update = {"until": wish, "amount": None}
            drink = drink.model_copy(update={"reveal": drink.reveal.model_copy(update=update)})
        if options.hold is not None:
            split = split_until(options.hold)
            if split is None or collection.find(split[0]) is None:
                raise MeasureError("bad-wish", "--hold needs “NAME until WISH”", "name a pour")
            held = Pour.model_construct(
                amount=UNDIALLED, name=split[0], until=parse_wish(split[1], "before")
            )
            others = [p for p in drink.pours if fold(p.name) != fold(held.name)]
            drink = drink.model_copy(update={"pours": (*others, held)})
    except MeasureError as error:
        raise _mistake(error.kind, error.message, str(options.file), error.mend) from None
    return drink


def _description(one: Dialled, collection: Collection) -> Iterator[str]:
    from anthocard.facts.colour.names import name_of
    from anthocard.facts.units.rounding import metric
    from anthocard.press.base.number_text import amount_and_how, likeness, measured_out, weight

    small = measured_out(one.ml, "acid", collection.house)
    yield f"{one.name} until {one.wish.text}"
    aside = f" ({small})" if small else ""
    if one.unit == "g":
        yield f"  weigh {weight(one.ml)}; exactly {one.exact_ml:.2f} g"
    else:
        poured = amount_and_how(metric(one.ml, "acid"))
        yield f"  pour {poured}{aside}; exactly {one.exact_ml:.2f} ml"
    yield (
        f"  gives pH {one.ph:.2f}, {name_of(one.lab)}, acidity {one.acidity_g_per_l:.1f} g/l, "
        f"looks {likeness(one.delta_e00)} the exact dose"
    )
    if one.gave_way is not None:
        yield f"  trade-off: {one.gave_way.words}"


def _taste(figures: object, drink: Drink, collection: Collection, shelf: Shelf) -> Iterator[str]:
    """Sour, sweet and strong before and after; what would be as sour as the reveal."""
    from anthocard.engine.mix.taste import replaced, sugar_to_acid
    from anthocard.engine.results import Computed
    from anthocard.press.base.number_text import ph_text

    assert isinstance(figures, Computed)
    yield ""
    for label, state in (("before", figures.before), ("after", figures.after)):
        if state is not None:
            ratio = sugar_to_acid(state)
            yield (
                f"{label:<7} pH {ph_text(state.stated_ph, 2)}  {state.colour.name}  "
                f"acidity {state.titratable_acidity_g_per_l:.1f} g/l  "
                f"sugar {state.sugar_g_per_l:.0f} g/l  "
                f"{'no acid to speak of' if ratio is None else f'{ratio:.1f} : 1'}  "
                f"{state.abv_percent:.1f} % vol"
            )
    if drink.reveal is None or figures.reveal is None or not figures.reveal.ml:
        return
    poured = shelf[drink.reveal.pour]
    for name in collection.solutions:
        other = shelf[name]
        swap = None if other.name == poured.name else replaced(poured, figures.reveal.ml, other)
        if swap is not None and swap.water_ml >= 0.0:
            yield f"as sour: {swap.solution_ml:.1f} ml {swap.name} + {swap.water_ml:.1f} ml water"


def _swapped(bottle: Bottle, options: argparse.Namespace) -> Iterator[str]:
    """Every acid of the reveal's solution as grams of another, by equivalents."""
    from anthocard.engine.mix.taste import swapped

    try:
        rows = swapped(bottle, options.swap)
    except KeyError:
        raise _mistake(
            "unknown-acid", f"no acid is called “{options.swap}” here", str(options.file),
            "write citric, malic, tartaric, lactic …",
        ) from None  # fmt: skip
    for name, grams, others in rows:
        yield f"as sharp: {grams:g} g {name} = {others:.3g} g {options.swap} (not the same pH)"


def _curve(line: Line, dose_ml: float) -> Iterator[str]:
    """pH against ml, the dose marked, and the colour's names beneath."""
    import numpy as np

    from anthocard.facts.colour.names import name_of

    doses = np.linspace(0.0, 2.0 * dose_ml, WIDTH)
    along = line.at(doses)
    high, low = float(along.ph.max()), float(along.ph.min())
    rows = np.rint((high - along.ph) / max(high - low, 1e-6) * (HEIGHT - 1)).astype(int)
    at = int(np.argmin(np.abs(doses - dose_ml)))
    for row in range(HEIGHT):
        marks = "".join(
            "●"
            if rows[n] == row and n == at
            else "·"
            if rows[n] == row
            else "│"
            if n == at
            else " "
            for n in range(WIDTH)
        )
        yield f"pH {high - (high - low) * row / (HEIGHT - 1):4.1f} ┤{marks}"
    yield f"{'':8}└{'─' * WIDTH}"
    end = f"{2.0 * dose_ml:.1f} ml"
    yield f"{'':9}0{f'{dose_ml:g} ml':^{WIDTH - 1 - len(end)}}{end}"
    names = [name_of(row) for row in along.lab]
    changes = [0, *(n for n in range(1, WIDTH) if names[n] != names[n - 1])]
    steps = [f"{names[n]} from {doses[n]:.1f} ml" if n else names[0] for n in changes]
    yield f"{'':9}{' > '.join(steps)}"


def _mistake(kind: str, message: str, path: str, mend: str = "") -> AuthorError:
    from anthocard.diagnostics.diagnostic import AuthorError, Mistake, Place

    return AuthorError([Mistake(kind, message, Place(path), mend)])
