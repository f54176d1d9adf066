"""Words for guests against figures: a claim is a mistake where the drink belies it."""

from __future__ import annotations

import pytest
from anthocard.diagnostics.diagnostic import Mistake
from anthocard.engine.rewording import reworded

from tests.engine.opened import drink, house, opened
from tests.engine.test_hazards import of, told

STRONG, NONE = "50 ml gin", "50 ml still water"
#: 0.8 % vol, as of a few dashes.
WEAK = "1 ml gin, 49 ml still water"
STOCK = "test orgeat: {kind: syrup, sugar_g_per_l: 600, allergens: {contains: [almond, gluten], checked: 2026-01-01}}\n"


def claimed(pours: str, words: str, place: str = "GB", key: str = "") -> list[Mistake]:
    text = f"---\n{drink(pours)}---\n{words}\n\n## Method\n\n1. Stir.\n"
    files = {"drinks/d.md": text, "stock.yaml": STOCK}
    return of(told(files, house(place)), f"claim-{key}")


def test_alcohol_free_at_0_8_percent_is_an_error_with_its_place_and_law() -> None:
    """The word is held against the strength worked out, and told with the law of the place."""
    (error,) = claimed(WEAK, "An alcohol-free delight.")
    assert error.severity == "error"
    assert error.place.line == 8
    assert error.place.text[error.place.column - 1 :].startswith("alcohol-free")
    assert "0.8 % vol" in error.message
    assert "0.05 % vol" in error.message
    (error,) = claimed(WEAK, "An alcohol-free delight.", "DE")
    assert "0.5 % vol by trade custom" in error.message
    assert claimed(WEAK, "An alcohol-free delight.", "FR") == []
    assert claimed(NONE, "An alcohol-free delight.") == []


@pytest.mark.parametrize(
    ("words", "key", "severity"),
    [
        ("Good for the heart.", "health", "error"),
        ("Sugar free.", "nutrition", "error"),
        ("Perfect for drivers.", "driver", "error"),
        ("Fun for the kids.", "minor", "error"),
        ("Safe while you are expecting.", "pregnancy", "error"),
        ("Two for one until nine.", "excess", "warning"),
        ("Forget your worries.", "success", "warning"),
        ("Nut free.", "free-from", "warning"),
        ("All natural.", "natural", "warning"),
    ],
)
def test_each_check_speaks_of_a_strong_drink(words: str, key: str, severity: str) -> None:
    """One sentence a check, all languages alike: told with what to do."""
    for text in (words, f"Blue.\n\n## de\n\n{words}"):
        (one,) = claimed(STRONG, text, key=key)
        assert one.severity == severity
        assert one.mend


def test_without_alcohol_only_what_does_not_hang_on_it_is_told() -> None:
    """For a drink without alcohol children and drivers may be spoken to; health asks for the list."""
    for words in ("Perfect for drivers.", "Fun for the kids.", "Forget your worries."):
        assert claimed(NONE, words) == []
    (warning,) = claimed(NONE, "Good for the heart.")
    assert warning.severity == "warning"
    assert "only claims on your food authority's list" in warning.message


def test_a_promise_of_absence_is_an_error_where_a_record_says_otherwise() -> None:
    """“Gluten free” of a drink that holds gluten is no matter of opinion."""
    (error,) = claimed("30 ml gin, 10 ml test orgeat", "Gluten free.")
    assert error.severity == "error"
    (warning,) = claimed("30 ml gin", "Gluten free.")
    assert warning.severity == "warning"


def menu(
    text: str = "", note: str = "After dark", pours: str = STRONG, place: str = "GB"
) -> list[Mistake]:
    words = (
        f"---\nkind: menu\nname: Tonight\nsections:\n- {{name: Blue, note: {note!r}, drinks: [D]}}\n"
        f"---\n{text}\n"
    )
    return of(told({"drinks/d.md": drink(pours), "menus/m.md": words}, house(place)), "claim")


def test_menus_are_read_too() -> None:
    """The words of a menu, its sections and notes, in all languages."""
    found = menu("Detox after dark.", "Two for one until nine")
    assert {one.kind for one in found} == {"claim-excess", "claim-health"}


def test_a_section_is_held_against_its_strongest_drink() -> None:
    """“Alcohol-free” over a drink of 0.8 % vol is an error with the drink, the place and its law."""
    (error,) = menu(note="Alcohol-free, all of it", pours=WEAK)
    assert error.severity == "error"
    assert error.place.text[error.place.column - 1 :].startswith("Alcohol-free")
    assert "d has 0.8 % vol" in error.message
    assert "0.05 % vol" in error.message
    assert menu(note="Alcohol-free, all of it", pours=NONE) == []
    (warning,) = menu("Alcohol-free and blue.", pours=WEAK)
    assert warning.severity == "warning"
    assert menu(note="Alcohol-free, all of it", pours=WEAK, place="FR") == []


def test_words_changed_while_looking_are_read_again() -> None:
    """A preview keeps the figures of a drink, and yet reads its new words."""
    there = opened({"drinks/d.md": drink(STRONG)})
    before = there.computed["d"]
    recipe = before.recipe.model_copy(
        update={"guest_text": "Good for the heart.", "staff_text": "1. Flame the zest."}
    )
    after = reworded(before, recipe, there.collection)
    kinds = {one.kind for one in after.warnings} - {one.kind for one in before.warnings}
    assert kinds == {"claim-health", "process-fire"}
    assert "fire" in {one.key for one in after.cautions}
    back = reworded(after, before.recipe, there.collection)
    assert [one.kind for one in back.warnings] == [one.kind for one in before.warnings]


def test_a_word_for_a_diet_is_held_against_what_is_in_it() -> None:
    """“Vegan” of a drink with egg is an error, of one nobody read a warning, of one known nothing."""
    stock = (
        "read gin: {kind: spirit, abv_percent: 40, allergens: {checked: 2026-01-01}}\n"
        "read egg: {kind: egg, solids_g_per_l: 110, allergens: {contains: [egg], checked: 2026-01-01}}\n"
    )

    def said(pours: str) -> list[str]:
        text = f"---\n{drink(pours)}---\nTotally vegan.\n"
        found = of(told({"stock.yaml": stock, "drinks/d.md": text}), "claim-vegan")
        return [one.severity for one in found]

    assert said("50 ml read gin, 20 ml read egg") == ["error"]
    assert said("50 ml gin") == ["warning"]
    assert said("50 ml read gin") == []
