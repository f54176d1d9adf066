"""PDF: the only WeasyPrint import, closed to the network, the file system and the machine's fonts.

Belongs here: turning finished HTML into bytes. Does not belong here: who asks for it (job.py), what
is on the paper (words/ and the themes).

The same HTML and style give the same bytes on the same versions of WeasyPrint and Pango.
"""

from __future__ import annotations

import ctypes.util
import json
import logging
import os
import sys
import warnings
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import astuple
from functools import cache
from html import escape
from pathlib import Path
from typing import Any, Final

from anthocard.disk.scratch import passing_folder
from anthocard.press.base.faces import DISPLAY, TEXT, packaged
from anthocard.press.base.mirrored import mirrored
from anthocard.press.base.refusals import PaperError, PaperUnavailable
from anthocard.press.base.unbroken import tied
from anthocard.press.paper.archive import accessible
from anthocard.press.paper.bearing import UNSEEN, give_ways, runs_from_right
from anthocard.press.paper.job import FIT, LOST, Job, Outcome, place
from anthocard.press.paper.lost_words import Lost, ends_nearly_empty, lost
from anthocard.press.paper.weasyprint_70 import folded, mend, parts
from anthocard.press.store.key import print_of

FINEST: Final = (
    330  # dots an inch of pictures: what is finer is thinned; chosen: print asks for 300
)
VARIANT = "pdf/a-3a"  # the accessible archive; archive.py adds what PDF/UA-1 asks beyond it


def set_type(job: Job) -> Outcome:
    """Set one paper here and now; what can go wrong is an answer, so that it can travel."""
    try:
        missing = missing_glyphs(job.html, job.fonts)
        if missing:
            return Outcome(trouble="no-glyph", words=missing[:12])
        gone = whole = None
        if job.ends:
            whole, gone = _ending_well(job)
        for html in () if job.ends else job.ways:
            document = _render(html, job.style, job.fonts, dict(job.pictures))
            if job.measures:
                kept, rows = lost(document, job.safe_mm) is None, map(astuple, parts(document))
                return Outcome(json.dumps({"whole": kept, "parts": [*rows]}).encode())
            if job.fits and len(document.pages) > 1:
                gone = None
                continue
            gone = lost(document, job.safe_mm / job.zoom)
            if gone is None:
                whole = document
                break
        if whole is not None:
            return Outcome(_bytes(whole, job.zoom, runs_from_right(job.html)))
    except PaperUnavailable as error:
        return Outcome(trouble="unavailable", words=str(error.__cause__))
    except PaperError as error:
        return Outcome(trouble="complaint", words=str(error))
    except (MemoryError, RecursionError):
        raise
    except Exception as error:  # WeasyPrint lets some faults of a style out as they are
        return Outcome(trouble="complaint", words=f"{type(error).__name__}: {error}")
    if gone is not None:
        return Outcome(trouble=LOST, words=gone.how, about=gone.text)
    return Outcome(trouble="too-full")


def _ending_well(job: Job) -> tuple[Any | None, Lost | None]:
    """A document of which nothing ends on a page nearly empty, or nearly nothing; or what would be
    lost of every one. What no word of `ends` helps is set by the first.
    """
    steps = [0] * job.html.count(FIT)
    places = [place(n) for n in range(len(steps))]
    set_so: dict[str, Any] = {}
    whole = gone = None
    while True:
        html = job.ending(steps)
        if html not in set_so:
            set_so[html] = _render(html, job.style, job.fonts, dict(job.pictures))
        document = set_so[html]
        gone = lost(document, job.safe_mm / job.zoom)
        if gone is None:
            whole, poor = document, ends_nearly_empty(document, places)
        else:
            poor = [1] * len(steps)
        further = [  # past a closer setting that would not do, from how it comes alone
            min(step + (by if step == 0 else min(by, 1)), len(job.ends))
            for step, by in zip(steps, poor, strict=True)
        ]
        if further == steps:
            return whole, gone
        steps = further


def font_files(more: tuple[Path, ...] = ()) -> tuple[Path, ...]:
    """Every face a paper may use: those that come with the program and a theme's own."""
    return tuple(dict.fromkeys((*packaged(TEXT), *packaged(DISPLAY), *more)))


def faces(more: tuple[Path, ...] = ()) -> str:
    """The contents of all of them, for a key."""
    return print_of(font_files(more))


def missing_glyphs(text: str, more: tuple[Path, ...] = ()) -> str:
    """The characters of `text` that no face has, in order of first use."""
    known = _characters(more)
    seen = text.translate(UNSEEN)
    return "".join(dict.fromkeys(c for c in seen if ord(c) not in known and not c.isspace()))


def _render(html: str, style: str, fonts: tuple[Path, ...], pictures: Mapping[str, bytes]) -> Any:
    weasyprint = _weasyprint()
    style = mirrored(style) if runs_from_right(html) else style
    html = tied(folded(html, weasyprint))
    with _complaints():
        page = weasyprint.HTML(string=html, url_fetcher=_pictures(pictures))
        give_ways(page.etree_element)
        return page.render(
            stylesheets=[_sheet(style, fonts)],
            font_config=_font_configuration(fonts),
            pdf_variant=VARIANT,
            dpi=FINEST,
        )


def _bytes(document: Any, zoom: float, from_right: bool) -> bytes:
    with _complaints(), warnings.catch_warnings():
        # WeasyPrint leaves the file of its own colour profile for the collector to close.
        warnings.simplefilter("ignore", ResourceWarning)
        # The identifier comes from archive.py: for one of its own WeasyPrint writes all twice.
        options = {"pdf_variant": VARIANT, "pdf_tags": True, "pdf_identifier": False}
        return accessible(document.write_pdf(zoom=zoom, **options), from_right)


@cache
def _weasyprint() -> Any:
    """WeasyPrint, which already looks for fonts when it is imported."""
    find_library = ctypes.util.find_library
    if sys.platform == "linux":
        # WeasyPrint first asks for names no Linux has; each miss would start a compiler (0.2 s).
        ctypes.util.find_library = lambda name: None
    try:
        with _fonts_only(()):
            import weasyprint

            mend(weasyprint)
    except OSError as error:
        raise PaperUnavailable(error) from error
    finally:
        ctypes.util.find_library = find_library
    return weasyprint


@cache
def _fetcher() -> Any:
    return _weasyprint().urls.URLFetcher(allowed_protocols=["data"])


def _pictures(pictures: Mapping[str, bytes]) -> Callable[..., Any]:
    """What finds the pictures of a paper, and nothing else that the style may not."""
    urls, data = _weasyprint().urls, _fetcher()

    def found(url: str) -> Any:
        if url in pictures:
            return urls.URLFetcherResponse(url, pictures[url], {"Content-Type": "image/png"})
        return data(url)

    return found


@cache
def _sheet(style: str, fonts: tuple[Path, ...]) -> Any:
    with _complaints():
        return _weasyprint().CSS(
            string=style, font_config=_font_configuration(fonts), url_fetcher=_fetcher()
        )


@cache
def _font_configuration(fonts: tuple[Path, ...]) -> Any:
    weasyprint = _weasyprint()
    with _fonts_only(fonts):
        return weasyprint.text.fonts.FontConfiguration()


@contextmanager
def _fonts_only(fonts: tuple[Path, ...]) -> Iterator[None]:
    """Let fontconfig see our fonts alone, so that no machine sets a card differently."""
    folders = sorted({str(path.parent) for path in font_files(fonts)})
    before = os.environ.get("FONTCONFIG_FILE")
    with passing_folder("anthocard-fonts-") as scratch:
        text = (
            '<?xml version="1.0"?>'
            '<!DOCTYPE fontconfig SYSTEM "urn:fontconfig:fonts.dtd"><fontconfig>'
            + "".join(f"<dir>{escape(folder)}</dir>" for folder in folders)
            + f"<cachedir>{escape(scratch.path)}</cachedir></fontconfig>"
        )
        scratch.write_new("fonts.conf", text.encode(), flushed=False)
        os.environ["FONTCONFIG_FILE"] = f"{scratch.path}/fonts.conf"
        try:
            yield
        finally:
            if before is None:
                del os.environ["FONTCONFIG_FILE"]
            else:
                os.environ["FONTCONFIG_FILE"] = before


@cache
def _characters(more: tuple[Path, ...]) -> frozenset[int]:
    from fontTools.ttLib import TTFont

    # One weight of each packaged family speaks for all: they are drawn to one character set.
    chosen = [p for p in font_files() if p.stem.endswith("-Regular")] + list(more)
    known: set[int] = set()
    for path in chosen:
        with TTFont(path, lazy=True) as font:
            known |= set(font.getBestCmap())
    return frozenset(known)


@contextmanager
def _complaints() -> Iterator[None]:
    """Silence is a result: whatever WeasyPrint logs as a warning or worse becomes a PaperError."""
    logger = logging.getLogger("weasyprint")
    heard: list[str] = []

    class Ear(logging.Handler):
        def emit(self, record: logging.LogRecord) -> None:
            heard.append(record.getMessage())

    ear = Ear(logging.WARNING)
    others, logger.handlers, passing = logger.handlers, [ear], logger.propagate
    logger.propagate = False
    try:
        yield
    finally:
        logger.handlers, logger.propagate = others, passing
    if heard:
        raise PaperError("; ".join(heard))
