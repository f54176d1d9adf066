"""Themes: folders of templates and styles laid over one another, the base at the bottom.

Belongs here: where a theme lies, which of its files wins, and a broken template's place. Does not
belong here: what is put into a template (html/, paper/).

A theme is a folder. Four depths of change, each a superset of the one before:
  tokens   `tokens.css` sets CSS custom properties: colours, faces, margins, where the strip lies.
  styles   `added/card.css` is laid after the base's `card.css`, and so of every other style.
  blocks   `card.html` and the others `{% extends "base/card.html" %}` and replace blocks.
  files    a file of the same name replaces the base's.
`fonts/*.ttf` or `.otf` in a theme are added to the faces a paper may use.
"""

from __future__ import annotations

import re
import traceback
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property, partial
from pathlib import Path
from typing import Any

import jinja2
from markupsafe import Markup, escape

from anthocard.diagnostics.diagnostic import AuthorError, Mistake, Place, did_you_mean
from anthocard.guard.limits import TooSlow, memory_limit, most_of, time_limit
from anthocard.press.base.faces import STAND_INS, Faces, faces_of, families_in, packaged
from anthocard.press.base.languages import ENGLISH, Language, language
from anthocard.press.base.quotes import curled
from anthocard.press.base.sandbox import Sandbox
from anthocard.press.base.unbroken import capital_accents

BASE = "base"
#: The tokens that name families of type, and the folder of styles laid after others.
FACES, ADDED = ("text", "display"), "added"
#: Where the strip of a card may lie, of the token `--strip`.
STRIPS = ("foot", "head", "left", "right")
_TOKEN = re.compile(r"--([\w-]+):\s*([^;}]+)")
MEND = "look for a loop in the theme that does not end, or for a text that it makes far too long"

#: What a template can do wrong, apart from what jinja2 itself calls an error: `{{ 1 + "a" }}`,
#: a file that is no UTF-8, a macro that calls itself for ever.
_MESSAGES = (
    ArithmeticError, AttributeError, LookupError, RecursionError, TypeError, ValueError,
)  # fmt: skip


@dataclass(frozen=True)
class Theme:
    """A theme by name and the folders it is made of, nearest first; the last is the base."""

    name: str
    folders: tuple[Path, ...]

    def render(self, template: str, values: Mapping[str, Any], tag: str = ENGLISH) -> str:
        """Fill in a template, its phrases in the language of a tag, its marks set as each element's
        language sets them.

        Raises AuthorError with the template's own line when it is broken.
        """
        longest_s = most_of("templates", "time")
        try:
            with time_limit(longest_s), memory_limit(most_of("templates", "memory")):
                return curled(self._environment(tag).get_template(template).render(values))
        except (TooSlow, MemoryError) as error:
            kind, message = "slow-template", f"it was not done after {longest_s} s"
            if isinstance(error, MemoryError):
                kind, message = "big-template", "it asks for more memory than any page needs"
            raise AuthorError([Mistake(kind, message, Place(template), MEND)]) from error
        except jinja2.TemplateError as error:
            raise AuthorError([self._mistake(template, error)]) from error
        except _MESSAGES as error:
            frames = traceback.extract_tb(error.__traceback__)
            in_theme = any(frame.filename.endswith(".html") for frame in frames)
            if not in_theme and not isinstance(error, UnicodeDecodeError):
                raise  # a fault of ours, not of a theme
            raise AuthorError([self._mistake(template, error)]) from error

    def render_paper(self, template: str, values: Mapping[str, Any], tag: str = ENGLISH) -> str:
        """The same for paper, where drawings inherit neither colour nor face: theirs are the
        `--ink` token and the face of text.
        """
        html = self.render(template, values, tag).replace("currentColor", self._ink)
        return html.replace("<text ", f'<text font-family="{escape(self.faces.text_family)}" ')

    def style(self, *names: str) -> str:
        """Tokens of every folder from the base up, then of each of `names` the nearest file and
        what is added to it, and by how much sizes grow with the theme's face of text (`--grow`).
        """
        sheets = [path.read_text(encoding="utf-8") for path in self._sheets(*names)]
        return "\n".join([*sheets, f":root {{ --grow: {self.faces.grow:.4f} }}"])

    def place_in(self, names: tuple[str, ...], line: int, column: int = 1) -> Place:
        """Where a line of `style(*names)` stands in the theme's own files."""
        for path in self._sheets(*names):
            lines = path.read_text(encoding="utf-8").split("\n")
            if line <= len(lines):
                return Place(str(path), line, column, text=lines[line - 1])
            line -= len(lines)
        return Place(f"what is added to {names[-1]}", line, column)

    def token(self, name: str) -> str:
        """What a token is, of the nearest folder that sets it; "" where none does."""
        return self._tokens.get(name, "")

    def text(self, name: str) -> str:
        """The nearest file called `name`, as it stands: a script. StopIteration without one."""
        return self._nearest(name).read_text(encoding="utf-8")

    @property
    def strip(self) -> str:
        """Where the strip of its cards lies: one of STRIPS."""
        return self.one_of("strip", STRIPS)

    def one_of(self, token: str, words: tuple[str, ...]) -> str:
        """A token that is one of some words. Raises AuthorError for another."""
        said = self.token(token)
        if said not in words:
            message = f"--{token} is {', '.join(words[:-1])} or {words[-1]}, not “{said}”"
            mend = did_you_mean(said, words)
            raise AuthorError([Mistake("no-such-word", message, self.place_of(token), mend)])
        return said

    @cached_property
    def faces(self) -> Faces:
        """The faces of its papers and pages."""
        text, display = (families_in(self.token(name)) for name in FACES)
        return faces_of(text, display, self.own_fonts)

    @cached_property
    def fonts(self) -> tuple[Path, ...]:
        """Font files it brings along, and packages: of families it names, of other scripts."""
        own, named = self.own_fonts, (families_in(self.token(name)) for name in FACES)
        wanted = dict.fromkeys(family for families in named for family in families)
        more = (file for name in (*wanted, *STAND_INS) for file in packaged(name))
        return tuple(dict.fromkeys((*own, *more)))

    def _environment(self, tag: str) -> Sandbox:
        """One for each language: what is imported into a template has its phrases as well."""
        if tag not in self._environments:
            self._environments[tag] = self._make_environment(language(tag))
        return self._environments[tag]

    @cached_property
    def _environments(self) -> dict[str, Sandbox]:
        return {}

    def _make_environment(self, spoken: Language) -> Sandbox:
        loaders = {folder.name: jinja2.FileSystemLoader(folder) for folder in self.folders}
        made = Sandbox(
            # The prefix lets card.html extend base/card.html without meaning itself for ever.
            loader=jinja2.ChoiceLoader([*loaders.values(), jinja2.PrefixLoader(loaders)]),
            undefined=jinja2.StrictUndefined,
            autoescape=True,
            trim_blocks=True,
            lstrip_blocks=True,
            extensions=["jinja2.ext.i18n"],
        )
        made.policies["ext.i18n.trimmed"] = True
        made.install_gettext_callables(  # type: ignore[attr-defined]  # added by the extension
            **spoken.lookups, newstyle=True
        )
        made.globals["language"] = spoken
        made.tests["accented"] = capital_accents
        made.filters["days"] = language(ENGLISH).days_in  # of the engine's sentences: English
        made.globals["lang"] = partial(_lang, spoken.lang)
        made.globals["own"] = _lang(spoken.lang, spoken.tag)  # of what the house itself wrote
        return made

    @property
    def _ink(self) -> str:
        return ink if re.fullmatch("#[0-9a-fA-F]{6}", ink := self.token("ink")) else "#000000"

    def _sheets(self, *names: str) -> list[Path]:
        """The files that `style(*names)` is made of, in order."""
        from_base = [*reversed(self.folders)]
        found = [folder / "tokens.css" for folder in from_base]
        for name in names:
            found += [self._nearest(name), *(folder / ADDED / name for folder in from_base)]
        return [path for path in found if path.is_file()]

    @cached_property
    def _tokens(self) -> dict[str, str]:
        said = (path.read_text(encoding="utf-8") for path in self._sheets())
        return {name: value.strip() for text in said for name, value in _TOKEN.findall(text)}

    def place_of(self, token: str) -> Place:
        """Where a token is set, nearest first."""
        for folder in self.folders:
            path = folder / "tokens.css"
            lines = path.read_text(encoding="utf-8").splitlines() if path.is_file() else []
            for number, line in enumerate(lines, start=1):
                if f"--{token}:" in line:
                    return Place(str(path), number, line.index(f"--{token}:") + 1, text=line)
        return Place("tokens.css")

    @cached_property
    def own_fonts(self) -> tuple[Path, ...]:
        """The files in fonts/ of its folders."""
        found = (p for folder in self.folders for p in (folder / "fonts").glob("*"))
        return tuple(sorted(p for p in found if p.suffix in {".ttf", ".otf"}))

    def _nearest(self, name: str) -> Path:
        return next(f / name for f in self.folders if (f / name).is_file())

    def _mistake(self, template: str, error: Exception) -> Mistake:
        path, line = template, 1
        if isinstance(error, jinja2.TemplateSyntaxError):
            path, line = error.filename or error.name or template, error.lineno
        elif isinstance(error, jinja2.TemplateNotFound):
            return Mistake("no-template", f"no template called {error}", Place(template))
        else:  # jinja2 rewrites the traceback, so that its last template frame is the author's line
            for frame in traceback.extract_tb(error.__traceback__):
                if frame.filename.endswith(".html"):
                    path, line = frame.filename, frame.lineno or 1
        lines = _lines(Path(path))
        text = lines[line - 1] if line <= len(lines) else ""
        message = getattr(error, "message", None) or str(error)
        return Mistake("broken-template", message, Place(path, line, text=text))


def _lang(around: str, tag: str) -> Markup:
    """The attribute of an element whose words are in another language than those around it.

    Plain “en” is no other language than the English of a country.
    """
    same = tag == around or (tag == ENGLISH and around.startswith(ENGLISH))
    return Markup("") if same else Markup(' lang="{}"').format(tag)


def find_theme(name: str = BASE, house_folder: Path | None = None) -> Theme:
    """The theme called `name`: in the house's own themes/ folder first, then in ours.

    Raises AuthorError when there is none.
    """
    shelves = [*([house_folder / "themes"] if house_folder else []), _shipped()]
    known = [d.name for s in shelves if s.is_dir() for d in sorted(s.iterdir()) if d.is_dir()]
    if name not in known:
        mistake = Mistake(
            "no-theme", f"no theme “{name}”", Place("themes"), did_you_mean(name, known)
        )
        raise AuthorError([mistake])
    wanted = next(shelf / name for shelf in shelves if (shelf / name).is_dir())
    _require_inside(wanted)
    base = _shipped() / BASE
    return Theme(name, (wanted,) if wanted == base else (wanted, base))


def shipped_names() -> tuple[str, ...]:
    """The themes that come with the program."""
    return tuple(sorted(path.name for path in _shipped().iterdir() if path.is_dir()))


def is_shipped(theme: Theme) -> bool:
    """Whether it is one of ours, and no house's own."""
    return theme.folders[0].parent == _shipped()


def _require_inside(theme: Path) -> None:
    """A theme is read from its own folder alone, and is made of files nobody waits for: no link in
    it may lead out of it, no pipe or film stand there.
    """
    home, most = theme.parent.resolve() / theme.name, most_of("files", "theme")
    for path in (theme, *theme.rglob("*")):
        wrong = None
        if path.is_symlink() and not path.resolve().is_relative_to(home):
            wrong = "outside-theme", "this link leads out of the theme", "copy the file instead"
        elif path.exists() and not path.is_file() and not path.is_dir():
            wrong = "no-file", "this is a pipe or a device, not a file", "move it away"
        elif path.is_file() and path.stat().st_size > most:
            wrong = "too-big", f"this file is larger than {most // 1_000_000} MB", "move it away"
        if wrong is not None:
            kind, message, mend = wrong
            raise AuthorError([Mistake(kind, message, Place(str(path)), mend)])


def _shipped() -> Path:
    """anthocard/themes where the package is installed, themes/ beside it in a checkout."""
    package = Path(__file__).parents[2]
    installed = package / "themes"
    return installed if installed.is_dir() else package.parents[1] / "themes"


def _lines(path: Path) -> list[str]:
    """The lines of a template, for showing the one that is at fault."""
    if not path.is_file():
        return []
    return path.read_text(encoding="utf-8", errors="replace").splitlines()
