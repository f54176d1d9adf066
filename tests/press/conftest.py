"""Computed drinks made by hand, so that the press is tested without the engine or the reader."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from anthocard.diagnostics.diagnostic import Mistake, Place
from anthocard.engine.results import (
    Caution,
    Computed,
    Default,
    Measure,
    Seen,
    Source,
    Stage,
    State,
    Turn,
)
from anthocard.facts.chemistry.liquid import Liquid
from anthocard.facts.colour.colours import Colour, encode, hex_of
from anthocard.facts.colour.names import name_of
from anthocard.facts.law.allergens import AllergenState
from anthocard.house.files import slug
from anthocard.house.model import Drink, Infusion, Menu, Recipe
from anthocard.house.settings import Glass, House
from anthocard.press.build import plan
from anthocard.press.data.scaling import make_scaling
from anthocard.press.html import staff_book
from anthocard.press.html.leaks import leaks

VIOLET = (44.0, 42.0, -62.0)
ROSE = (50.0, 74.0, 14.0)


def hex_of_lab(lab: Any) -> str:
    """sRGB of CIELAB (D65, 2°): near enough to be a colour to print."""
    lightness, a, b = np.moveaxis(np.asarray(lab, dtype=float), -1, 0)
    fy = (lightness + 16) / 116
    f = np.stack([fy + a / 500, fy, fy - b / 200], axis=-1)
    xyz = np.where(f > 6 / 29, f**3, 3 * (6 / 29) ** 2 * (f - 4 / 29)) * [0.9505, 1.0, 1.089]
    matrix = [[3.2406, -1.5372, -0.4986], [-0.9689, 1.8758, 0.0415], [0.0557, -0.204, 1.057]]
    return hex_of(encode(np.clip(xyz @ np.transpose(matrix), 0, 1)))


def colour(lab: tuple[float, float, float]) -> Colour:
    return Colour(hex=hex_of_lab(lab), lab=lab, in_gamut=True, name=name_of(lab))


def state(
    volume_ml: float,
    ph: float,
    lab: tuple[float, float, float],
    above: tuple[float, float, float] | None = None,
    **more: Any,
) -> State:
    values = {
        "liquid": Liquid.of(water_g=volume_ml),
        "temperature_c": -3.0,
        "volume_ml": volume_ml,
        "abv_percent": 21.4,
        "ph": ph,
        "titratable_acidity_g_per_l": 4.2,
        "sugar_g_per_l": 81.0,
        "density_g_per_ml": 1.0,
        "ionic_strength_mol_per_kg": 0.02,
        "seen": Seen(colour(lab), colour(above or lab), 44.0, 31.0),
    }
    return State(**{**values, **more})


def turn(ml: float, ph: tuple[float, float], labs: Any) -> Turn:
    poured = np.linspace(0, ml, 25)
    share = poured / ml
    lab = np.array(labs[0]) + np.outer(share**0.7, np.array(labs[1]) - np.array(labs[0]))
    return Turn(
        poured_ml=poured,
        ph=ph[0] + (ph[1] - ph[0]) * share,
        lab=lab,
        hexes=tuple(hex_of_lab(row) for row in lab),
        names=tuple(name_of(row) for row in lab),
    )


def measure(name: str, ml: float | None, unit: str = "ml", **more: Any) -> Measure:
    count = more.pop("count", ml or 1.0)
    values = {"g": None, "count": count, "unit": unit, "text": f"{count:g} {unit}"}
    return Measure(name=name, ml=ml, **{**values, **more})


@pytest.fixture(scope="session")
def house() -> House:
    goblet = Glass(
        width="74 mm",
        holds="210 ml",
        stem="52 mm",
        outline=((0, 0), (9, 1), (26, 14), (37, 38), (36, 62), (33, 78)),
    )
    return House(
        name="The Cold Frame",
        place="GB",
        currency="GBP",
        voice="A bar in a glasshouse.",
        glasses={"goblet": goblet, "tumbler": Glass(width="72 mm", holds="280 ml")},
    )


def make_drink(**more: Any) -> Drink:
    values: dict[str, Any] = {
        "name": "First Frost",
        "glass": "goblet",
        "ice": "cracked",
        "method": "shaken",
        "pours": ({"amount": "50 ml", "of": "pea-flower gin"},),
        "reveal": {"pour": "verjus", "amount": "12.5 ml", "served": "In a thimble on the side."},
        "garnish": ("bay leaf",),
        "price": 12.5,
        "guest_text": "Blue as the pane at five in the morning, *until you pour*.",
        "staff_text": "## Method\n\n1. Shake hard for 12 seconds.\n2. Strain.\n",
    }
    return Drink.model_validate({**values, **more}, strict=False)


def compute(drink: Drink, **more: Any) -> Computed:
    values: dict[str, Any] = {
        "recipe": drink,
        "slug": drink.name.lower().replace(" ", "-"),
        "edition": "4f2a",
        "measures": (
            measure("pea-flower gin", 50.0, role="spirit", slug="pea-flower-gin"),
            measure("honey syrup", 15.0),
            measure("citrate buffer", 2.5, role="buffer"),
            measure("house bitters", 0.8, "dash", count=1.0),
        ),
        "before": state(112.0, 6.2, VIOLET),
        "after": state(124.5, 3.1, ROSE, abv_percent=19.3) if drink.reveal else None,
        "reveal": measure("verjus", 12.5, role="acid") if drink.reveal else None,
        "turn": turn(12.5, (6.2, 3.1), (VIOLET, ROSE)) if drink.reveal else None,
        "delta_e00": 41.3 if drink.reveal else None,
        "melt_ml": 41.0,
        "dilution_percent": 60.0,
        "cautions": (
            Caution("allergens", "", "Contains sulphites. Own shaker.", "x", on=("batch", "spec")),
            Caution(
                "copper",
                "",
                "No copper below pH 6: this is pH 3.1. Use glass.",
                "practice",
                figures=(("ph_low", 3.1),),
                on=("card", "batch", "spec"),
            ),
            Caution(
                "alcohol",
                "Contains alcohol.",
                "1.5 drinks. Count.",
                "practice",
                figures=(("drink_label", "UK unit"), ("drinks", 1.5), ("ethanol_g", 12.0)),
                on=("menu", "batch", "spec"),
                on_menu="foot",
            ),
            Caution(
                "raw-egg", "Made with raw egg.", "Raw egg: say so.", "practice", on=("menu", "spec")
            ),
        ),
        "allergens": (AllergenState("sulphites", "sulphites", "contains", "the wine"),),
        "warnings": (Mistake("window", "the window is narrow", Place("x.md")),),
        "sources": (Source("acid", "citric acid", "a handbook", "read"),),
        "defaults": (Default("verjus", "acidity of verjus"),),
    }
    values |= more
    reveal, after = values.pop("reveal"), values["after"]
    served = (drink.reveal.served or "") if drink.reveal else ""
    if reveal is not None and after is not None:
        values.setdefault("stages", (Stage(reveal, "poured", served, after),))
    return Computed(**values)


@pytest.fixture(scope="session")
def by_hand() -> SimpleNamespace:
    """The makers above, for tests that need a drink of their own."""
    return SimpleNamespace(drink=make_drink, compute=compute, measure=measure, turn=turn)


@pytest.fixture(scope="session")
def frost() -> Computed:
    """A drink that turns."""
    return compute(make_drink())


@pytest.fixture(scope="session")
def still() -> Computed:
    """A drink that does not turn."""
    drink = make_drink(name="Standing Water", reveal=None, steady=True, glass="tumbler", price=9)
    return compute(drink)


@pytest.fixture(scope="session")
def infusion() -> Computed:
    recipe = Infusion.model_validate(
        {
            "name": "Pea-flower gin",
            "plant": "butterfly pea",
            "into": "gin",
            "dose": "8 g per litre",
            "time": "100 min",
            "staff_text": "## Method\n\nSteep and strain.\n",
        },
        strict=False,
    )
    measures = (
        measure("dried butterfly pea", None, "g", count=8.0, g=8.0),
        measure("gin", 1000.0, role="spirit"),
    )
    return Computed(recipe, "pea-flower-gin", "77b0", measures, state(950.0, 6.6, VIOLET))


@dataclass(frozen=True)
class SmallBook:
    """As much of a book as the press asks for."""

    house: House
    menus: dict[str, Menu]
    recipes: tuple[Recipe, ...] = ()

    def at(self, thing: Any, loc: tuple[str | int, ...] = ()) -> Place:
        return Place(f"recipes/drinks/{thing.name}.md")

    def slug(self, thing: Any) -> str:
        return slug(thing.name)

    def lots_of(self, name: str) -> tuple[Any, ...]:
        return ()

    def find(self, name: str) -> None:
        return None

    @property
    def index(self) -> dict[str, Any]:
        return {}

    @property
    def drinks(self) -> dict[str, Drink]:
        return {one.name: one for one in self.recipes if isinstance(one, Drink)}


@pytest.fixture(scope="session", autouse=True)
def only_what_it_has() -> Iterator[None]:
    """A small book has nothing on its shelf to batch, and no files whose words are for staff."""

    def make(figures: Computed, collection: Any, shelf: Any) -> Any:
        return (
            None if isinstance(collection, SmallBook) else make_scaling(figures, collection, shelf)
        )

    def look(files: Any, collection: Any, costs: Any) -> Any:
        return () if isinstance(collection, SmallBook) else leaks(files, collection, costs)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(staff_book, "make_scaling", make)
        patch.setattr(plan, "leaks", look)
        yield


@pytest.fixture(scope="session")
def collection(house: House, frost: Computed, still: Computed) -> SmallBook:
    sections = ({"name": "Short", "drinks": (frost.name, still.name.upper())},)
    menu = Menu.model_validate({"name": "Winter", "sections": sections}, strict=False)
    return SmallBook(house, {menu.name: menu}, (frost.recipe, still.recipe))


@pytest.fixture(scope="session")
def computed(frost: Computed, still: Computed, infusion: Computed) -> dict[str, Computed]:
    return {one.slug: one for one in (infusion, frost, still)}
