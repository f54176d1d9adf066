"""PDF: the only WeasyPrint import, closed to the network, the file system and the machine's fonts.

Belongs here: turning finished HTML into bytes, and what can go wrong there. Does not belong here:
what is on the paper (words/ and the themes).

The same HTML and style give the same bytes on the same versions of WeasyPrint and Pango.
"""

from __future__ import annotations

import ctypes.util
import logging
import os
import sys
import tempfile
import warnings
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from functools import cache
from html import escape
from importlib.resources import files
from pathlib import Path
from typing import Any

from anthocard.diagnostics.diagnostic import (
    AuthorError,
    Mistake,
    Place,
)
from anthocard.press.paper.archive import accessible
from anthocard.press.paper.weasyprint_70 import mend

VARIANT = "pdf/a-3a"  # the accessible archive; archive.py adds what PDF/UA-1 asks beyond it
FONT_PACKAGES = ("fontpkg_fira_sans", "fontpkg_spectral")
APT_LINE = "sudo apt-get install -y libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0"
BREW_LINE = "brew install pango"


class PaperUnavailable(Exception):  # noqa: N818 - the state of a machine, not a mistake of anyone
    """The libraries that set type are not on this machine; the message says how to get them."""

    exit_code = 3

    def __init__(self, cause: object) -> None:
        line = BREW_LINE if sys.platform == "darwin" else APT_LINE
        super().__init__(f"papers need Pango, which was not found ({cause}). Install it: {line}")


class PaperError(Exception):
    """WeasyPrint complained: a fault of a theme or of ours, with its own words."""


class PaperStopped(Exception):  # noqa: N818 - one paper was stopped; the others go on
    """Setting one paper took too long, or too much memory, or its process was killed."""

    exit_code = 1

    def __init__(self, name: str, place: Place, outcome: Outcome) -> None:
        mend = "look for a huge table or deep nesting in it, or in its theme"
        message = f"“{name}” could not be set on paper: {outcome.words}"
        self.mistake = Mistake(outcome.trouble, message, place, mend)
        super().__init__(str(self.mistake))


@dataclass(frozen=True, slots=True)
class Job:
    """All that is needed to set a paper: HTML (several ways of it, roomiest first) and its style.

    With `one_sheet` the first way that fits one page is taken; else there is only one way.
    """

    attempts: tuple[str, ...]
    style: str
    fonts: tuple[Path, ...] = ()
    zoom: float = 1.0
    one_sheet: bool = False


@dataclass(frozen=True, slots=True)
class Outcome:
    """A PDF, or one word for why there is none and what more there is to say."""

    pdf: bytes = b""
    trouble: str = ""
    words: str = ""


def card_pdf(
    attempts: Iterable[str],
    style: str,
    name: str,
    place: Place,
    fonts: tuple[Path, ...] = (),
    zoom: float = 1.0,
    what: str = "card",
) -> bytes:
    """The first of `attempts` (HTML, roomiest first) that fits one sheet, tagged, PDF/A-3a, UA-1.

    `name` and `place` are the recipe's; raises AuthorError naming it when none fits or when no
    face has one of its characters, PaperError for anything WeasyPrint logs, PaperUnavailable.
    `zoom` enlarges the whole page, its size in the style included; `what` is said of a refusal.
    """
    outcome = SETTER.get()(Job(tuple(attempts), style, fonts, zoom, one_sheet=True))
    if outcome.trouble == "too-full":
        message = f"the {what} of “{name}” does not fit one sheet, even with the tightest setting"
        mend = "shorten the served line, the garnish or the name, or pour fewer things"
        raise AuthorError([Mistake("card-too-full", message, place, mend)])
    return _pdf(outcome, name, place)


def paper_pdf(
    html: str, style: str, fonts: tuple[Path, ...] = (), name: str = "this paper"
) -> bytes:
    """A paper of any number of pages, tagged, PDF/A-3a and PDF/UA-1. Raises as card_pdf does."""
    return _pdf(SETTER.get()(Job((html,), style, fonts)), name, Place(name))


def set_type(job: Job) -> Outcome:
    """Set one paper here and now; what can go wrong is an answer, so that it can travel."""
    try:
        for html in job.attempts:
            missing = missing_glyphs(html, job.fonts)
            if missing:
                return Outcome(trouble="no-glyph", words=missing[:12])
            document = _render(html, job.style, job.fonts)
            if len(document.pages) == 1 or not job.one_sheet:
                return Outcome(_bytes(document, job.zoom))
    except PaperUnavailable as error:
        return Outcome(trouble="unavailable", words=str(error.__cause__))
    except PaperError as error:
        return Outcome(trouble="complaint", words=str(error))
    except (MemoryError, RecursionError):
        raise
    except Exception as error:  # WeasyPrint lets some faults of a style out as they are
        return Outcome(trouble="complaint", words=f"{type(error).__name__}: {error}")
    return Outcome(trouble="too-full")


#: Who sets papers: this process, unless a Typesetter of workers.py is at work.
SETTER: ContextVar[Callable[[Job], Outcome]] = ContextVar("SETTER", default=set_type)


def _pdf(outcome: Outcome, name: str, place: Place) -> bytes:
    """The bytes, or the error that says why there are none."""
    if not outcome.trouble:
        return outcome.pdf
    if outcome.trouble == "no-glyph":
        message = f"no face on paper has “{outcome.words}”, used in “{name}”"
        mend = "put a font that has it into fonts/ of your own theme, or spell it differently"
        raise AuthorError([Mistake("no-glyph", message, place, mend)])
    if outcome.trouble == "unavailable":
        raise PaperUnavailable(outcome.words)
    if outcome.trouble == "complaint":
        raise PaperError(outcome.words)
    raise PaperStopped(name, place, outcome)


def font_files(more: tuple[Path, ...] = ()) -> tuple[Path, ...]:
    """Every face a paper may use: the packaged ones and a theme's own."""
    packaged = (Path(str(files(package) / "files")) for package in FONT_PACKAGES)
    return (*(p for folder in packaged for p in sorted(folder.glob("*.ttf"))), *more)


def missing_glyphs(text: str, more: tuple[Path, ...] = ()) -> str:
    """The characters of `text` that no face has, in order of first use."""
    known = _characters(more)
    return "".join(dict.fromkeys(c for c in text if ord(c) not in known and not c.isspace()))


def _render(html: str, style: str, fonts: tuple[Path, ...]) -> Any:
    weasyprint = _weasyprint()
    with _complaints():
        return weasyprint.HTML(string=html, url_fetcher=_fetcher()).render(
            stylesheets=[_sheet(style, fonts)],
            font_config=_font_configuration(fonts),
            pdf_variant=VARIANT,
        )


def _bytes(document: Any, zoom: float = 1.0) -> bytes:
    with _complaints(), warnings.catch_warnings():
        # WeasyPrint leaves the file of its own colour profile for the collector to close.
        warnings.simplefilter("ignore", ResourceWarning)
        # The identifier comes from archive.py: for one of its own WeasyPrint writes all twice.
        options = {"pdf_variant": VARIANT, "pdf_tags": True, "pdf_identifier": False}
        return accessible(document.write_pdf(zoom=zoom, **options))


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
    with tempfile.TemporaryDirectory(prefix="anthocard-fonts-") as scratch:
        listing = Path(scratch) / "fonts.conf"
        listing.write_text(
            '<?xml version="1.0"?>'
            '<!DOCTYPE fontconfig SYSTEM "urn:fontconfig:fonts.dtd"><fontconfig>'
            + "".join(f"<dir>{escape(folder)}</dir>" for folder in folders)
            + f"<cachedir>{escape(scratch)}</cachedir></fontconfig>",
            encoding="utf-8",
        )
        os.environ["FONTCONFIG_FILE"] = str(listing)
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
