"""Cautions: each fires where it must and keeps silent where it must; houses decide on record."""

from __future__ import annotations

from dataclasses import dataclass, field

import pytest
from anthocard.diagnostics.diagnostic import AuthorError

from tests.engine.opened import drink, house, opened

STOCK = """\
test orgeat: {kind: syrup, sugar_g_per_l: 600, allergens: {contains: [almond]}}
lupin foam: {kind: other, allergens: {contains: [lupin]}}
quiet syrup: {kind: syrup, sugar_g_per_l: 600, allergens: {checked: 2026-01-01}}
nine mg wine: {kind: wine, sulphite_mg_per_l: 9.999}
ten mg wine: {kind: wine, sulphite_mg_per_l: 10, sugar_g_per_l: 1}
eleven mg wine: {kind: wine, sulphite_mg_per_l: 11}
strong tonic: {kind: mixer, co2_volumes: 3, acids_g_per_l: {quinine: 0.09}}
heavy tonic: {kind: mixer, co2_volumes: 3, acids_g_per_l: {quinine: 0.12}}
weak tonic: {kind: mixer, co2_volumes: 3, acids_g_per_l: {quinine: 0.05}}
flat tonic: {kind: mixer, acids_g_per_l: {quinine: 0.05}}
guarana: {kind: mixer, caffeine_mg_per_l: 320}
mate: {kind: mixer, caffeine_mg_per_l: 120}
liquorice syrup: {kind: syrup, sugar_g_per_l: 600}
black salt: {kind: other, traits: [charcoal], sugar_g_per_l: 1}
lab indicator: {kind: other, sugar_g_per_l: 1}
edible glitter: {kind: other, food_grade: true, sugar_g_per_l: 1}
lustre dust: {kind: other, sugar_g_per_l: 1}
pea extract: {kind: other, plant: butterfly_pea, latin: Clitoria ternatea, form: aqueous extract, food_grade: true, sugar_g_per_l: 1}
shop flowers: {kind: plant, plant: rose}
known flowers: {kind: plant, plant: rose, latin: Rosa damascena, form: dried edible buds, food_grade: true}
pea oil: {kind: other, solids_g_per_l: 5}
cochineal: {kind: other, sugar_g_per_l: 1}
house cinchona tincture: {kind: bitters, abv_percent: 40}
assayed cinchona tincture: {kind: bitters, abv_percent: 40, acids_g_per_l: {quinine: 0.05}}
measured cold brew: {kind: mixer, caffeine_mg_per_l: 500}
cold brew coffee: {kind: mixer}
"""


def infusion(plant: str, into: str = "gin", more: str = "", dose: str = "8 g per litre") -> str:
    return f"kind: infusion\nname: x\nplant: {plant}\ninto: {into}\ndose: {dose}\ntime: 100 min\n{more}"


def solution(parts: str, more: str = "") -> str:
    return f"kind: solution\nname: x\nparts: [{parts}]\n{more}"


COOKED = "form: ripe berries, off the stem, cooked\n"
GARLIC = "latin: Brassica oleracea\nfood_grade: true\n"
EGG = "30 ml gin, 30 ml egg white"
PEA_GIN = {"infusions/x.md": infusion("butterfly pea")}

#: Stock of which the hazard tables know something that no rule of its own speaks of.
KNOWN = {
    "stock.yaml": STOCK
    + "raw milk: {kind: dairy}\nmilk: {kind: dairy}\n"
    + "".join(
        f"{name} syrup: {{kind: syrup, sugar_g_per_l: 600}}\n"
        for name in ("tonka", "lungwort", "ginkgo", "chamomile")
    )
}
#: Something that calls for each mark of the German menu, by what its stock line says of it.
MARKS = {
    "additive-colour-de": "blue curl", "additive-preservative-de": "kept juice",
    "additive-antioxidant-de": "fresh juice", "additive-flavour-enhancer-de": "umami drops",
    "additive-blackened-de": "black brine", "additive-waxed-de": "waxed peel", "additive-sweetener-de": "light syrup",
    "additive-phenylalanine-de": "diet syrup", "additive-polyols-de": "pear sugar", "quinine-mark-de": "weak tonic",
    "caffeine-mark-de": "mate",
}  # fmt: skip
_TRAITS = {
    "blue curl": "coloured", "kept juice": "preserved", "fresh juice": "antioxidant", "umami drops": "flavour-enhanced",
    "black brine": "blackened", "waxed peel": "waxed", "light syrup": "sweetener", "diet syrup": "phenylalanine",
    "pear sugar": "polyols",
}  # fmt: skip
MARKED = {
    "stock.yaml": STOCK
    + "".join(
        f"{name}: {{kind: other, sugar_g_per_l: 1, traits: [{trait}]}}\n"
        for name, trait in _TRAITS.items()
    )
}
#: A step of each process that only its words tell of.
STEPS = {
    "vacuum": "seal in a vacuum bag", "siphon": "charge the cream whipper with nitrous oxide",
    "bottle-pressure": "force-carbonate at 3 bar in a glass bottle", "smoke": "fill the cloche with applewood smoke",
    "distilling": "from the rotary evaporator", "ferment": "let it ferment for two days",
    "fat-wash": "fat-wash with brown butter", "dehydrating": "dehydrate the wheels overnight",
    "lye": "wash with lye", "centrifuge": "spin in the centrifuge", "warm-infusion": "keep warm through service",
    "raw-milk": "clarify with raw milk",
}  # fmt: skip


@dataclass(frozen=True)
class Case:
    """A caution, a recipe that trips it, one that does not, and the place they are in."""

    key: str
    trips: str
    silent: str
    place: str = "GB"
    silent_place: str = ""
    with_files: dict[str, str] = field(default_factory=dict)

    def __str__(self) -> str:
        return f"{self.key}-{self.place}"


CASES = (
    # butterfly pea against place and form
    Case("butterfly-pea-us", infusion("butterfly pea"), infusion("rose"), "US"),
    Case("butterfly-pea-us", drink("30 ml x"), drink("30 ml pea extract"), "US-NY", "", PEA_GIN),
    Case("butterfly-pea-eu", infusion("butterfly pea"), infusion("butterfly pea"), "DE", "US"),
    Case("butterfly-pea-gb", infusion("butterfly pea"), infusion("butterfly pea"), "GB", "FR"),
    Case("butterfly-pea", infusion("butterfly pea"), infusion("butterfly pea"), "JP", "GB"),
    Case("vegetable-colour-us", infusion("red cabbage"), infusion("red cabbage", "still water"), "US"),
    # plants without a record, elderberry
    Case("plants-unrecorded", infusion("shop flowers"), infusion("known flowers")),
    Case(
        "plants-unrecorded",
        infusion("known flowers", more="food_grade: false\n"),
        infusion("shop flowers", more="latin: Rosa damascena\nfood_grade: true\n"),
    ),
    Case(
        "plants-unrecorded",
        drink("30 ml gin", "garnish: a moonwillow flower\n"),
        drink("30 ml gin", "garnish: a pansy petal\n"),
    ),
    Case("flowers", infusion("butterfly pea"), infusion("red cabbage")),
    Case("legume", infusion("butterfly pea"), infusion("red cabbage")),
    Case("elderberry", infusion("elderberry", more="form: dried\n"), infusion("dried elderberries")),
    Case("spirulina-falls-out", drink("30 ml x, 20 ml lemon juice"), drink("30 ml x"),
         with_files={"infusions/x.md": infusion("spirulina", "still water")}),
    Case("fresh-infused", infusion("red cabbage", more="form: fresh leaves\n"), infusion("red cabbage")),
    Case("oil-infused", infusion("red cabbage", "pea oil"), infusion("red cabbage")),
    # what it touches; a mule mug is of copper, whatever it is called
    Case(
        "copper",
        drink("30 ml lemon juice", glass="mule mug"),
        drink("30 ml lemon juice", glass="mug"),
    ),
    Case("copper", drink("30 ml lemon juice", "vessel: copper mug\n"), drink("30 ml lemon juice")),
    Case(
        "copper",
        drink("30 ml lemon juice", "vessel: brass cup\n"),
        drink("30 ml lemon juice", "vessel: copper mug, lined with steel\n"),
    ),
    Case(
        "copper",
        drink("30 ml lemon juice", "vessel: copper\n"),
        drink("30 ml still water, 1 g sodium bicarbonate", "vessel: copper\n"),
    ),
    Case(
        "galvanised",
        drink("30 ml lemon juice", "vessel: galvanised bucket\n"),
        drink("30 ml lemon juice", "vessel: steel bucket\n"),
    ),
    # acids and alkalis
    Case(
        "acid-solution",
        solution("55 g citric acid", "made_up_to: 1 l\n"),
        solution("5 g citric acid", "made_up_to: 1 l\n"),
    ),
    Case(
        "acid-eyes",
        solution("55 g citric acid", "made_up_to: 1 l\n"),
        solution("60 g sucrose", "made_up_to: 1 l\n"),
    ),
    Case(
        "acid-damage",
        solution("55 g tartaric acid", "made_up_to: 1 l\n"),
        solution("55 g citric acid", "made_up_to: 1 l\n"),
    ),
    Case("alkali", drink("30 ml gin, 1 g sodium bicarbonate"), drink("30 ml gin")),
    # allergens and others who must be told
    Case("allergens", drink("20 ml test orgeat"), drink("20 ml quiet syrup")),
    Case("allergens-unsure", drink("20 ml test orgeat"), drink("20 ml quiet syrup")),
    Case("allergens-written-gb", drink("20 ml test orgeat"), drink("20 ml quiet syrup")),
    Case("allergens-written-us", drink("20 ml test orgeat"), drink("20 ml quiet syrup"), "US-TN"),
    Case("allergens-menu-california", drink("20 ml cream"), drink("20 ml cream"), "US-CA", "US-NY"),
    Case("raw-egg", drink(EGG), drink("30 ml gin, 30 ml pasteurised egg white")),
    Case("raw-egg-us", drink(EGG), drink(EGG), "US", "GB"),
    Case("raw-egg-gb", drink(EGG), drink(EGG), "GB", "US"),
    Case("dairy", drink("30 ml cream"), drink("30 ml gin")),
    Case("sulphites-above", drink("50 ml eleven mg wine"), drink("50 ml ten mg wine"), "FR"),
    Case("sulphites-from", drink("50 ml ten mg wine"), drink("50 ml nine mg wine"), "US"),
    Case("quinine", drink("50 ml gin, 100 ml tonic water"), drink("50 ml gin, 100 ml soda water")),
    Case("quinine-unmeasured", drink("5 ml house cinchona tincture"), drink("5 ml assayed cinchona tincture")),
    Case("quinine-unmeasured", drink("5 ml house cinchona tincture, 50 ml tonic water"), drink("50 ml tonic water")),
    Case("caffeine-unmeasured", drink("50 ml cold brew coffee"), drink("50 ml measured cold brew")),
    Case("quinine-us", drink("100 ml strong tonic"), drink("100 ml weak tonic"), "US"),
    Case("quinine-us", drink("100 ml flat tonic"), drink("100 ml weak tonic"), "US-NY"),
    Case("quinine-eu", drink("100 ml heavy tonic"), drink("100 ml strong tonic"), "DE"),
    Case("caffeine", drink("50 ml cola"), drink("50 ml soda water")),
    Case("caffeine-eu", drink("100 ml guarana"), drink("100 ml mate"), "IE"),
    Case("grapefruit", drink("50 ml grapefruit juice"), drink("50 ml orange juice")),
    Case(
        "grapefruit",
        drink("30 ml gin", "garnish: a grapefruit twist\n"),
        drink("30 ml gin", "garnish: an orange twist\n"),
    ),
    Case("honey", drink("10 ml honey, 30 ml gin"), drink("30 ml gin")),
    Case("liquorice", drink("20 ml liquorice syrup"), drink("20 ml quiet syrup")),
    Case("charcoal", drink("20 ml black salt"), drink("20 ml quiet syrup")),
    Case("hibiscus", infusion("hibiscus"), infusion("rose")),
    Case("carmine", drink("1 ml cochineal"), drink("1 ml gin")),
    Case("alcohol", drink("50 ml gin"), drink("50 ml lemon juice")),
    Case("pregnancy-california", drink("50 ml gin"), drink("50 ml lemon juice"), "US-CA"),
    Case("strong", drink("80 ml gin, 80 ml soda water"), drink("40 ml gin, 80 ml soda water")),
    Case("strong", drink("60 ml gin, 260 ml soda water"), drink("320 ml soda water")),
    # how it is made and sold
    Case("own-container", infusion("rose"), infusion("rose", "still water")),
    Case("bottle-refill-us", infusion("rose"), infusion("rose"), "US-CA", "GB"),
    Case("infusing-us", infusion("rose"), infusion("rose", "still water"), "US"),
    Case("infusing-california", infusion("rose"), infusion("rose"), "US-CA", "US-NY"),
    *(
        Case(f"infusing-{name}", infusion("rose"), infusion("rose"), place, "US-NY")
        for name, place in (("tennessee", "US-TN"), ("illinois", "US-IL"), ("oklahoma", "US-OK"), ("alabama", "US-AL"), ("iowa", "US-IA"))
    ),
    Case("butterfly-pea-ch", infusion("butterfly pea"), infusion("rose"), "CH"),
    Case("butterfly-pea-tw", infusion("butterfly pea"), infusion("butterfly pea"), "TW", "JP"),
    Case("butterfly-pea-unsettled", infusion("butterfly pea"), infusion("butterfly pea"), "AU", "US"),
    Case("pea-pregnancy", drink("30 ml x"), drink("30 ml gin"), with_files=PEA_GIN),
    *(
        Case(key, drink(f"30 ml still water, 5 ml {name}"), drink("30 ml still water, 5 ml quiet syrup"), "DE", with_files=MARKED)
        for key, name in MARKS.items()
    ),
    Case("advance-mixing-us", infusion("rose"), drink("50 ml gin"), "US"),
    Case("producer-gb", infusion("rose"), infusion("rose"), "GB", "IE"),
    Case("abv-tolerance", infusion("rose"), solution("100 ml gin"), "DE"),
    Case("container-label", infusion("rose"), drink("50 ml gin")),
    Case("cold-chain", infusion("rose", "still water"), infusion("rose")),
    Case("measures-gb", drink("40 ml gin, 100 ml tonic water"), drink("50 ml gin, 100 ml tonic water")),
    Case("measures-gb", drink("40 ml x, 100 ml tonic water"), drink("35 ml x, 100 ml tonic water"),
         with_files=PEA_GIN),
    Case("measures-gb", drink("40 ml gin"), drink("40 ml gin, 20 ml lemon juice, 20 ml soda water")),
    Case("measures-gb", drink("40 ml whisky"), drink("40 ml whisky"), "GB", "IE"),
    Case("small-measures-gb", drink("50 ml gin"), drink("50 ml dry vermouth")),
    # how it is made, and what the hazard tables know of what goes in
    *(
        Case(key, drink("50 ml gin", f"serve: {step}\n"), drink("50 ml gin", "serve: stir and strain\n"))
        for key, step in STEPS.items()
    ),
    Case("smoke-de", drink("50 ml gin", "serve: fill the cloche with applewood smoke\n"), drink("50 ml gin", "serve: fill the cloche with applewood smoke\n"), "DE", "AT"),
    Case("dry-ice", drink("50 ml gin", "serve: auf Trockeneis\n"), drink("50 ml gin", "serve: nie mit Trockeneis\n")),
    Case("raw-milk", drink("30 ml gin, 30 ml raw milk"), drink("30 ml gin, 30 ml milk"), with_files=KNOWN),
    Case("hazard-limited", drink("30 ml gin, 5 ml tonka syrup"), drink("30 ml gin, 5 ml quiet syrup"), with_files=KNOWN),
    Case("hazard-paper", drink("30 ml gin, 5 ml lungwort syrup"), drink("30 ml gin, 5 ml quiet syrup"), with_files=KNOWN),
    Case("hazard-medicine", drink("30 ml gin, 5 ml ginkgo syrup"), drink("30 ml gin, 5 ml quiet syrup"), with_files=KNOWN),
    Case("hazard-kin", drink("30 ml gin, 5 ml chamomile syrup"), drink("30 ml gin, 5 ml quiet syrup"), with_files=KNOWN),
    # what has no place in a glass
    Case("dry-ice", drink("50 ml gin", "serve: over dry ice\n"), drink("50 ml gin", "ice: cubed\n")),
    Case("fog-new-york", drink("50 ml gin", "serve: over dry ice\n"),
         drink("50 ml gin", "serve: over dry ice\n"), "US-NY", "US-CA"),
    Case("liquid-nitrogen", drink("50 ml gin", "serve: chilled with liquid nitrogen\n"), drink("50 ml gin")),
    Case("fire", drink("50 ml gin", "garnish: a flamed orange peel\n"), drink("50 ml gin")),
    Case("not-for-drinks", drink("50 ml gin, 1 ml lab indicator"), drink("50 ml gin")),
    Case("not-for-drinks", solution("1 g potassium hydrogen phthalate"), solution("1 g citric acid"),
         with_files={"stock.yaml": STOCK + "potassium hydrogen phthalate: "
                     "{kind: substance, substance: potassium hydrogen phthalate}\n"}),
    Case("glitter", drink("50 ml gin, 1 ml lustre dust"), drink("50 ml gin, 1 ml edible glitter")),
    Case("glitter", drink("50 ml gin", "rim: disco glitter\n"), drink("50 ml gin", "rim: salt\n")),
)  # fmt: skip


def fired(case: Case, text: str, place: str) -> bool:
    folder = (
        "drinks" if "kind: drink" in text else "infusions" if "infusion" in text else "solutions"
    )
    files = {
        "stock.yaml": STOCK,
        **case.with_files,
        f"{folder}/r.md": text.replace("name: x", "name: r"),
    }
    return opened(files, house(place)).caution("r", case.key) is not None


@pytest.mark.parametrize("case", CASES, ids=str)
def test_a_caution_fires_where_it_must_and_nowhere_else(case: Case) -> None:
    """One computed recipe trips the rule, and its neighbour does not."""
    assert fired(case, case.trips, case.place)
    assert not fired(case, case.silent, case.silent_place or case.place)


def test_every_caution_names_its_source_and_whom_to_ask() -> None:
    """No safety line stands alone: each defers to local codes and licensed practice."""
    there = opened({"stock.yaml": STOCK, "drinks/d.md": drink(EGG)})
    for one in there.computed["d"].cautions:
        assert one.source
        assert "local code" in one.defer
        assert "authority" in one.defer
    assert there.computed["d"].cautions[-1].key == "local-code"


def test_counts_name_the_country() -> None:
    """A serve is never counted in plain drinks."""
    for place, label in (("US", "US standard drink"), ("GB", "UK unit"), ("AU", "Australian")):
        there = opened({"drinks/d.md": drink("50 ml gin")}, house(place))
        caution = there.caution("d", "alcohol")
        assert caution is not None
        assert label in caution.staff


def test_an_unknown_place_gets_the_universal_rows_and_a_warning() -> None:
    """Brazil exists and has no rows here: nothing local shows, and the author is told."""
    there = opened({"infusions/x.md": infusion("butterfly pea")}, house("BR"))
    assert [one.kind for one in there.warnings if one.kind.startswith("place")] == [
        "place-without-rules"
    ]
    cautions = there.computed["x"].cautions
    assert cautions
    assert not any(one.local for one in cautions)


@pytest.mark.parametrize("code", ["ZZ", "Atlantis", "US-ZZ", "gb", "12"])
def test_a_place_that_does_not_exist_is_a_mistake(code: str) -> None:
    """It is told with its line and what to write."""
    with pytest.raises(AuthorError) as told:
        opened({}, house(f'"{code}"'))
    (mistake,) = told.value.mistakes
    assert mistake.kind == "unknown-place"
    assert mistake.place.line == 2
    assert "GB" in mistake.mend


def own_rule(key: str, state: str, rest: str = ", reason: tried it, date: 2026-02-01") -> str:
    return f"rules: {{{key}: {{state: {state}{rest}}}}}\n"


def test_a_loosened_rule_stays_in_the_book_with_its_reason() -> None:
    """Guests no longer read it; staff read who decided, when and why."""
    files = {"drinks/d.md": drink("50 ml gin, 100 ml tonic water")}
    there = opened(files, house(more=own_rule("quinine", "loosened")))
    caution = there.caution("d", "quinine")
    assert caution is not None
    assert caution.guest == ""
    assert "2026-02-01: loosened. tried it" in caution.staff


def test_a_rule_can_be_tightened_beyond_its_place() -> None:
    """A house abroad may keep New York's rule."""
    files = {"drinks/d.md": drink("50 ml gin", "serve: over dry ice\n")}
    there = opened(files, house("GB", own_rule("fog-new-york", "tightened")))
    assert there.caution("d", "fog-new-york") is not None
    assert opened(files).caution("d", "fog-new-york") is None


@pytest.mark.parametrize(
    ("line", "kind"),
    [
        (own_rule("copper", "loosened"), "firm-rule"),
        (own_rule("coper", "tightened"), "unknown-rule"),
        (own_rule("quinine", "loosened", ", date: 2026-02-01"), "missing-key"),
    ],
)
def test_loosening_has_its_limits(line: str, kind: str) -> None:
    """What keeps people from harm stays; what does not exist and has no reason is refused."""
    with pytest.raises(AuthorError) as told:
        opened({"drinks/d.md": drink("50 ml gin")}, house(more=line))
    (mistake,) = told.value.mistakes
    assert mistake.kind == kind
    assert mistake.mend


def test_a_decision_for_one_recipe_leaves_the_others_alone() -> None:
    """`only` names whom it holds for; a name that nothing bears is a mistake with its line."""
    files = {
        "drinks/d.md": drink("50 ml gin, 100 ml tonic water"),
        "drinks/e.md": drink("50 ml gin, 100 ml tonic water").replace("name: d", "name: e"),
    }

    def loosened(name: str) -> str:
        return (
            "rules:\n  quinine: {state: loosened, reason: tried it, date: 2026-02-01, "
            f"only: [{name}]}}\n"
        )

    there = opened(files, house(more=loosened("D")))
    guests = [there.caution(slug, "quinine") for slug in ("d", "e")]
    assert [one.guest if one else None for one in guests] == ["", "Contains quinine."]
    with pytest.raises(AuthorError) as told:
        opened(files, house(more=loosened("dd")))
    (mistake,) = told.value.mistakes
    assert (mistake.kind, mistake.place.line) == ("unknown-recipe", 10)


def test_an_acid_bottle_has_words_for_its_label_and_a_drink_has_none() -> None:
    """Labels are for what is bottled."""
    files = {
        "solutions/x.md": solution("55 g citric acid", "made_up_to: 1 l\n"),
        "drinks/d.md": drink("5 ml x, 50 ml gin"),
    }
    there = opened(files)
    acid = there.caution("x", "acid-solution")
    assert acid is not None
    assert "NOT FOR DRINKING NEAT" in acid.label
    assert "label" in acid.on
    assert all("label" not in one.on for one in there.computed["d"].cautions)


def test_an_unknown_content_has_no_figure() -> None:
    """House-made cinchona is a warning without a number, beside measured tonic as well."""
    files = {
        "stock.yaml": STOCK,
        "syrups/x.md": "kind: syrup\nname: x\nparts: [9 ml house cinchona tincture, 90 ml still water]\n",
        "drinks/d.md": drink("5 ml x, 50 ml gin, 100 ml weak tonic"),
    }
    there = opened(files)
    assert there.caution("d", "quinine") is None
    unknown = there.caution("d", "quinine-unmeasured")
    assert unknown is not None
    assert " mg" not in unknown.staff
    assert unknown.weight == "stop"
    assert {"card", "menu", "spec"} <= set(unknown.on)
    assert "care-quinine-unmeasured" in {one.kind for one in there.warnings}
    with pytest.raises(AuthorError, match="keeps people from harm"):
        opened(files, house(more=own_rule("quinine-unmeasured", "loosened")))
