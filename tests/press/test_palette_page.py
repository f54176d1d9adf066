"""The wall chart as a page."""

from anthocard.facts.chemistry.liquid import PLANTS
from anthocard.press.base.theme import find_theme
from anthocard.press.html.palette_page import palette_page


def test_the_wall_chart_is_one_whole_page() -> None:
    """Every plant has a table with a caption, scoped heads and a word for every colour."""
    page = palette_page(find_theme(), "A Test Bench", "en")
    assert page.count("<caption>") == len(PLANTS)
    assert page.count('scope="col"') == 14 * len(PLANTS)
    assert 'title=""' not in page
    assert "http://" not in page
