"""How long house-made things keep: policy, parts, the house's word, and the colour."""

from __future__ import annotations

import re

import numpy as np
import pytest
from anthocard.engine.safety.use_by import fading
from anthocard.engine.trade.batching import batch
from anthocard.facts.chemistry.liquid import Liquid
from anthocard.facts.law.rules import rules
from anthocard.facts.law.shelf_life import Keeping

from tests.engine.opened import drink, house, opened


def infusion(plant: str = "hibiscus", into: str = "gin", more: str = "") -> str:
    return f"kind: infusion\nname: x\nplant: {plant}\ninto: {into}\ndose: 8 g per litre\ntime: 100 min\n{more}"


def kept(files: dict[str, str], slug: str = "x", more: str = "") -> Keeping:
    found = opened(files, house(more=more)).computed[slug].keeping
    assert found is not None
    return found


def test_strength_decides_for_an_infusion() -> None:
    """At 40 % vol no hygiene date; in water the seven days of the Food Code."""
    assert kept({"infusions/x.md": infusion()}).days is None
    weak = kept({"infusions/x.md": infusion(into="still water")})
    assert weak.days == 7
    assert "5 °C" in weak.store


def test_sugar_and_acid_decide_for_a_syrup() -> None:
    """66 % sugar 30 days, 50 % and mild seven; with juice seven whatever it holds."""

    def syrup(parts: str) -> dict[str, str]:
        return {"syrups/x.md": f"kind: syrup\nname: x\nparts: [{parts}]\n"}

    assert kept(syrup("660 g sucrose, 340 ml still water")).days == 30
    assert kept(syrup("500 g sucrose, 500 ml still water")).days == 7
    assert kept(syrup("500 g sucrose, 500 ml still water, 20 g citric acid")).days == 14
    assert kept(syrup("660 g sucrose, 340 ml lemon juice")).days == 7


def test_a_mixture_keeps_no_longer_than_its_parts() -> None:
    """A rich syrup with a spoonful of a week's infusion in it is a week's syrup."""
    files = {
        "infusions/x.md": infusion(into="still water", more="keeps: 3 days\n"),
        "syrups/rich.md": "kind: syrup\nname: rich\nparts: [900 g sucrose, 300 ml x]\n",
    }
    found = kept(files, "rich")
    assert found.days == 3
    assert found.limits[1].part == "x"


def test_the_author_may_be_stricter_and_not_laxer() -> None:
    """Two days are two days; two weeks where a week is the rule stay a week, with a warning."""
    files = {"infusions/x.md": infusion(into="still water", more="keeps: 2 days\n")}
    assert kept(files).days == 2
    files = {"infusions/x.md": infusion(into="still water", more="keeps: 2 weeks in the cold\n")}
    there = opened(files)
    (warning,) = [one for one in there.warnings if one.kind == "keeps-too-long"]
    assert warning.place.line == 8
    assert "7 days" in warning.mend
    assert there.computed["x"].keeping is not None
    assert there.computed["x"].keeping.days == 7


def test_a_house_may_loosen_on_record() -> None:
    """With a reason and a day, and both stay with the date."""
    files = {"infusions/x.md": infusion(into="still water", more="keeps: 10 days\n")}
    more = (
        "rules: {keeping-cold: {state: loosened, days: 10, reason: tested at the lab, "
        "date: 2026-02-01}}\n"
    )
    found = kept(files, more=more)
    assert found.days == 10
    assert found.limits[0].decision is not None
    assert "tested at the lab" in found.limits[0].decision
    assert "keeps-too-long" not in {one.kind for one in opened(files, house(more=more)).warnings}


OIL = "pea oil: {kind: other, solids_g_per_l: 5}\n"


@pytest.mark.parametrize("more", ["", "keeps: 3 weeks\nstore: on the shelf, up to 1 month\n"])
def test_a_rule_that_sets_a_date_goes_before_every_later_one(more: str) -> None:
    """Oil says two days in the cold: no policy, no author and no decision of a house makes it more."""
    files = {"stock.yaml": OIL, "infusions/x.md": infusion(into="pea oil", more=more)}
    loose = (
        "rules: {keeping-cold: {state: loosened, days: 30, reason: tested at the lab, "
        "date: 2026-02-01}}\n"
    )
    for house_more in ("", loose):
        found = kept(files, more=house_more)
        assert (found.days, found.store) == (2, "5 °C or colder")
    told = {one.kind for one in opened(files).warnings}
    assert ("keeps-too-long" in told) is bool(more)
    files["drinks/d.md"] = drink("10 ml x, 50 ml gin")
    there = opened(files)
    bottled = batch(there.computed["d"], 10, there.collection, there.shelf)
    assert bottled.keeping.days == 2


def test_every_rule_whose_words_name_days_sets_them() -> None:
    """Words and date cannot part: “use within 2 days” has days: 2 on its row, or their sum."""
    for rule in rules():
        named = re.findall(r"(\d+) days|day (\d+)", f"{rule.staff} {rule.label}", re.IGNORECASE)
        days = {int(one or other) for one, other in named}
        assert not days or rule.days in (max(days), sum(days)), rule.key


def test_the_authors_word_on_storing_is_heeded_unless_it_is_warmer_or_longer() -> None:
    """“fridge door” stands; 12 °C and “2 months” give way to the rule's own words."""

    def store(words: str) -> str:
        return kept(
            {"infusions/x.md": infusion(into="still water", more=f"store: {words}\n")}
        ).store

    assert store("fridge door") == "fridge door"
    assert store("3 °C, dark") == "3 °C, dark"
    assert store("12 °C cellar") == store("fridge, 2 months") == "5 °C or colder"


def test_what_is_loosened_for_one_thing_is_not_for_another() -> None:
    """The same water infusion under another name keeps its seven days."""
    files = {"infusions/x.md": infusion(into="still water", more="keeps: 7 days\n")}
    more = (
        "rules: {keeping-cold: {state: loosened, days: 10, reason: tested at the lab, "
        "date: 2026-02-01, only: [z]}}\n"
    )
    files["infusions/z.md"] = files["infusions/x.md"].replace("name: x", "name: z")
    there = opened(files, house(more=more))
    days = {
        slug: kept.limits[0].days
        for slug, one in there.computed.items()
        if (kept := one.keeping) is not None
    }
    assert days == {"x": 7, "z": 10}


def test_a_drink_is_made_to_order() -> None:
    """It keeps no time at all."""
    assert opened({"drinks/d.md": drink("50 ml gin")}).computed["d"].keeping is None


def test_colour_lasts_longer_in_the_cold_and_by_the_published_half_life() -> None:
    """Black carrot: half gone after 18.7 weeks at 20 °C (Kirca 2007), so ΔE00 5 comes well before."""
    liquid = Liquid.of(water_g=950.0, ethanol_g=0.0, citric_mmol=20.0, black_carrot_au_ml=1500.0)
    warm, cold = fading(liquid, 20.0), fading(liquid, 5.0)
    assert warm.days is not None
    assert cold.days is not None
    assert 3.0 < warm.days < 18.7 * 7
    assert cold.days > 2.0 * warm.days
    assert "Kirca" in "".join(warm.sources)


def test_a_stronger_dye_shows_the_same_loss_differently_but_always_ends() -> None:
    """Days are finite and above nothing for any dose of a plant with a published rate."""
    for dose in np.geomspace(200.0, 5000.0, 4):
        days = fading(Liquid.of(water_g=1000.0, red_cabbage_au_ml=float(dose)), 20.0).days
        assert days is not None
        assert days > 0.0


@pytest.mark.parametrize(
    ("parts", "words"),
    [
        ({"water_g": 100.0}, ""),
        ({"water_g": 100.0, "butterfly_pea_au_ml": 100.0}, "no rate above 7 °C"),
        ({"water_g": 100.0, "rose_au_ml": 100.0}, "no published fading rate"),
        ({"water_g": 100.0, "elderberry_au_ml": 100.0}, "only at 90 °C"),
    ],
)
def test_no_rate_no_date(parts: dict[str, float], words: str) -> None:
    """Where nobody published one, nothing is guessed, and the words say so."""
    found = fading(Liquid.of(**parts), 20.0)
    assert (found.days, found.beyond_days) == (None, None)
    assert [words in known.words for _, known in found.rateless] == [True] * bool(words)


def test_butterfly_pea_in_the_cold_is_told_by_what_was_published() -> None:
    """Held 56 days at 7 °C (Marpaung 2017): told as that, and not as a date of the table's own."""
    found = fading(Liquid.of(water_g=100.0, butterfly_pea_au_ml=100.0), 5.0)
    assert found.days is None
    ((_, known),) = found.rateless
    assert (known.held_days, known.held_c) == (56, 7.0)
