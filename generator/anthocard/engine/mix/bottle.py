"""A bottle (or a jar) on the shelf: the liquid in one millilitre, or one gram, of it.

Belongs here: the frozen value that every pour draws on, and how a stock line becomes one. Does
not belong here: house-made things (shelf.py) or amounts (pour.py).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from anthocard.engine.findings import Fit, Withheld
from anthocard.engine.results import Default, Measure, Source
from anthocard.engine.steps.making import Making
from anthocard.facts.chemistry.liquid import Liquid
from anthocard.facts.chemistry.substances import dissolve
from anthocard.facts.chemistry.volume import volume_ml
from anthocard.facts.stock import StockItem, gram_of, is_powder, litre_of
from anthocard.house.model import Made

#: Rows that nobody read in the text itself, and how that is told.
_UNREAD: Final = {"memory": "from memory", "second-hand": "second-hand"}


@dataclass(frozen=True, slots=True)
class Bottle:
    """Something to pour or to weigh.

    `per_g` is what one gram adds to a drink; `density_g_per_ml` is None for dry goods, which can
    only be weighed. `fizzy` says that CO2 escapes on pouring.
    `defaults` are inputs taken from memory rather than measured.
    """

    name: str
    kind: str
    per_g: Liquid
    density_g_per_ml: float | None
    fizzy: bool = False
    slug: str | None = None
    item: StockItem | None = None
    recipe: Made | None = None
    parts: tuple[tuple[Bottle, Measure], ...] = ()
    measures: tuple[Measure, ...] = ()
    batch: Liquid | None = None  # what the recipe as written makes
    sources: frozenset[Source] = frozenset()
    defaults: frozenset[Default] = frozenset()
    pk_shift: float = 0.0  # of its pigments, where the house found one
    measured: frozenset[str] = frozenset()  # what the house measured of it: ph, strength, pk
    strength_sd: float = 0.0  # of its natural logarithm, where readings said how far off they are
    fits: tuple[Fit, ...] = ()
    withheld: tuple[Withheld, ...] = ()  # figures that nobody can tell of it
    making: Making | None = None  # the account of its steps, of a preparation

    @property
    def per_ml(self) -> Liquid:
        """The liquid in one millilitre at 20 °C. Raises ValueError for dry goods."""
        if self.density_g_per_ml is None:
            raise ValueError(f"{self.name} is weighed, not poured")
        return self.per_g * self.density_g_per_ml


def from_stock(item: StockItem) -> Bottle:
    """The bottle a stock line describes; its row is the source."""
    source = Source("stock", item.name, item.source or "house stock list", item.how)
    defaults = (
        frozenset({Default(item.name, f"composition {_UNREAD[item.how]}")})
        if item.how in _UNREAD
        else frozenset()
    )
    if item.substance is not None:
        gram = dissolve(item.substance, 1.0)
        return Bottle(
            item.name, item.kind, gram, item.density_g_per_ml, item=item,
            sources=frozenset({source}),
        )  # fmt: skip
    if is_powder(item):
        return Bottle(
            item.name, item.kind, gram_of(item), None, item=item, sources=frozenset({source})
        )
    litre = litre_of(item)
    mass_g = float(litre.mass_g)
    if mass_g == 0.0:  # a dried plant or a garnish: nothing of it is poured
        return Bottle(item.name, item.kind, litre, None, item=item, sources=frozenset({source}))
    return Bottle(
        item.name,
        item.kind,
        litre * (1.0 / mass_g),
        mass_g / float(volume_ml(litre)),
        fizzy=item.co2_volumes > 0.0,
        item=item,
        sources=frozenset({source}),
        defaults=defaults,
    )
