"""A drink that no layout likes, and a face of plain squares for the scripts our faces lack."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from types import SimpleNamespace

from anthocard.engine.results import Computed
from anthocard.press.base.theme import Theme, find_theme

HEBREW, CHINESE = "שקט לפני הסערה", "雨后晴空"
NAME = f"The Unreasonably Long Evening of the Weather {HEBREW} {CHINESE}"
POURS = 14


def some_of(
    themes: Sequence[str], papers: Sequence[str], every: int = 2, first: int = 0
) -> list[tuple[str, str]]:
    """One pair in so many: each paper in some of the themes and each theme on some of the papers.
    Who draws houses by chance meets all of them.
    """
    return [
        (theme, paper)
        for across, theme in enumerate(themes)
        for down, paper in enumerate(papers)
        if (across + down) % every == first
    ]


def hostile(by_hand: SimpleNamespace, pours: int = POURS) -> Computed:
    """A very long name, many pours, right-to-left and CJK text, and no reveal."""
    drink = by_hand.drink(name=NAME, reveal=None, garnish=(f"{CHINESE}, {HEBREW}",), steady=True)
    lines = tuple(
        by_hand.measure(
            f"{CHINESE} {HEBREW} spirit {n}" if n % 5 == 0 else f"spirit number {n}", 5.0 + n
        )
        for n in range(pours)
    )
    return by_hand.compute(drink, measures=lines, slug="hostile")  # type: ignore[no-any-return]


def with_squares(name: str, folder: Path) -> Theme:
    """A theme of ours that also brings a face with every letter of the texts above."""
    fonts = folder / "fonts"
    fonts.mkdir(parents=True, exist_ok=True)
    if not (fonts / "Squares-Regular.ttf").exists():
        squares(fonts / "Squares-Regular.ttf", HEBREW + CHINESE)
    return Theme(name, (folder, *find_theme(name).folders))


def squares(path: Path, letters: str) -> None:
    """A file of a face that has some letters, each of them a plain square."""
    from fontTools.fontBuilder import FontBuilder
    from fontTools.pens.ttGlyphPen import TTGlyphPen

    codes = sorted(map(ord, {*letters, ",", " "}))  # a shaper may keep a blank in the run it ends
    names = [".notdef", *(f"u{code:04X}" for code in codes)]
    pen = TTGlyphPen(None)
    pen.moveTo((60, 0))
    for corner in ((60, 700), (540, 700), (540, 0)):
        pen.lineTo(corner)
    pen.closePath()
    square = pen.glyph()
    builder = FontBuilder(1000, isTTF=True)
    builder.setupGlyphOrder(names)
    builder.setupCharacterMap(dict(zip(codes, names[1:], strict=True)))
    builder.setupGlyf(dict.fromkeys(names, square))
    builder.setupHorizontalMetrics(dict.fromkeys(names, (600, 60)))
    builder.setupHorizontalHeader(ascent=800, descent=-200)
    builder.setupNameTable({"familyName": "Squares", "styleName": "Regular"})
    builder.setupOS2(sTypoAscender=800, sTypoDescender=-200, usWinAscent=800, usWinDescent=200)
    builder.setupPost()
    builder.save(path)
