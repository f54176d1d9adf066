"""Ten minutes of hostile input for one door of the house, guided by coverage; not part of CI.

    pip install atheris
    python tests/fuzz/fuzz.py reader|amounts|markdown|theme -max_total_time=600

An AuthorError is an answer. Anything else that leaves a door (any other exception, a tag that runs,
an input that takes over a second for ten kilobytes) stops the run and leaves the input beside.
"""

import sys
import tempfile
from pathlib import Path

import atheris

with atheris.instrument_imports(include=["anthocard", "yaml", "markdown", "jinja2"]):
    import markdown.extensions.abbr
    import markdown.extensions.def_list
    import markdown.extensions.sane_lists
    import markdown.extensions.tables  # noqa: F401 - so that these are watched as well
    from anthocard.diagnostics.diagnostic import AuthorError
    from anthocard.facts.units.measures import parse_amount, parse_portion
    from anthocard.facts.units.quantities import (
        parse_celsius,
        parse_dose,
        parse_hours,
        parse_ml,
        parse_mm,
        parse_percent,
    )
    from anthocard.facts.units.written_numbers import MeasureError
    from anthocard.house.reader import read_house
    from anthocard.house.wish import parse_wish
    from anthocard.press.base.markdown import markdown_html
    from anthocard.press.base.theme import Theme

READERS = (
    parse_amount, parse_portion, parse_ml, parse_mm, parse_hours, parse_celsius, parse_percent,
    parse_dose, lambda text: parse_wish(text, "before"), lambda text: parse_wish(text, "after"),
)  # fmt: skip
HOUSE = "name: X\nplace: GB\ncurrency: GBP\nglasses:\n  coupe: {width: 9 cm, holds: 200 ml}\n"
SCRATCH = Path(tempfile.mkdtemp(prefix="fuzz-"))


def reader(data):
    """A whole recipe file of any bytes."""
    house = SCRATCH / "house"
    (house / "drinks").mkdir(parents=True, exist_ok=True)
    (house / "house.yaml").write_text(HOUSE)
    kind = data[:1] == b"y"
    (house / "drinks" / "x.md").write_bytes(b"---\n---\n" if kind else data)
    (house / "stock.yaml").write_bytes(data[1:] if kind else b"")
    try:
        read_house(house)
    except AuthorError as error:
        str(error)


def amounts(data):
    """Every place where an amount is written."""
    text = data.decode("utf-8", "ignore")
    for read in READERS:
        try:
            read(text)
        except MeasureError as error:
            str(error)


def words(data):
    """The words of a recipe as HTML."""
    try:
        html = str(markdown_html(data.decode("utf-8", "ignore"))).lower()
    except AuthorError:
        return
    for word in ("<script", "<iframe", "<object", "<embed", "<style", "<svg", "<img", "<form"):
        assert word not in html, word


def theme(data):
    """A stranger's template."""
    folder = SCRATCH / "theme"
    folder.mkdir(exist_ok=True)
    (folder / "card.html").write_bytes(data)
    try:
        Theme("theme", (folder,)).render("card.html", {"card": "x", "fit": "y"})
    except AuthorError:
        return


def main():
    """One door, named first; the rest of the line is libFuzzer's."""
    doors = {"reader": reader, "amounts": amounts, "markdown": words, "theme": theme}
    door = doors[sys.argv.pop(1)]
    atheris.Setup([*sys.argv, "-timeout=10", "-rss_limit_mb=2000"], door)
    atheris.Fuzz()


if __name__ == "__main__":
    main()
