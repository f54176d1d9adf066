"""The preview's desk: a house read again after every save, and its pages with the mistakes on them.

Belongs here: what is worked out anew after a change, the last good pages, what is laid over a page.
Does not belong here: HTTP (server.py), what is on a page (html/).

A save of one recipe's words or amounts works out that recipe alone: the others are kept as long as
the house, the stock and everything made stay the same. Pages are made when a browser asks.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from html import escape
from pathlib import Path
from typing import Any, Final

from anthocard.diagnostics.diagnostic import AuthorError, Mistake, MistakeLog
from anthocard.diagnostics.report import tally
from anthocard.engine.compute import compute_all
from anthocard.engine.results import Computed
from anthocard.engine.rewording import WORDS, reworded
from anthocard.house.files import FOLDERS, slug
from anthocard.house.model import Recipe
from anthocard.house.partial.sound import sound_part
from anthocard.house.reader import Collection, read_sound
from anthocard.press.base.theme import find_theme
from anthocard.press.build.fingerprint import house_files
from anthocard.press.build.plan import Contents, contents
from anthocard.press.html.assets import FOLDER
from anthocard.press.proof.house_warnings import house_warnings

FOLLOW: Final = "/preview/follow.js"
PANEL: Final = "/preview/panel.css"
EVENTS: Final = "/preview/events"

SCRIPT: Final = """\
// One tab listens for all: a browser opens six connections to a host, and a stream keeps its own.
const own = Number(document.currentScript.dataset.number);
const channel = new BroadcastChannel("anthocard-preview");
let latest = own;
const heard = (number) => {
  if (number < latest) channel.postMessage(latest);
  latest = Math.max(latest, number);
  if (number > own) location.reload();
};
channel.onmessage = (event) => heard(event.data);
channel.postMessage(own);
const listen = () => new Promise(() => {
  const events = new EventSource(`/preview/events?since=${own}`);
  events.onmessage = (event) => {
    channel.postMessage(Number(event.data));
    heard(Number(event.data));
  };
});
if (navigator.locks) navigator.locks.request("anthocard-preview", listen);
else listen();
"""

STYLE: Final = """\
#preview { font: 16px/1.5 system-ui, sans-serif; margin: 0; padding: 1rem 1.25rem; color: #1b1b1b;
  background: #fff4d6; border-bottom: 4px solid #8a5a00; max-height: 60vh; overflow: auto; }
#preview.broken { background: #ffe3de; border-color: #a01d0c; }
#preview h2 { font: inherit; font-weight: 700; margin: 0 0 .5rem; }
#preview pre { font: 14px/1.45 ui-monospace, monospace; margin: .5rem 0; white-space: pre-wrap;
  overflow-wrap: anywhere; }
#preview summary { cursor: pointer; padding: .6rem 0; }
@media (prefers-color-scheme: dark) {
  #preview { color: #f7efe2; background: #3b2d06; border-color: #e0a83a; }
  #preview.broken { background: #4a120b; border-color: #ff9d8c; }
}
@media (max-width: 30rem) { #preview { padding: .75rem; } #preview pre { font-size: 13px; } }
"""


@dataclass(frozen=True, slots=True)
class Showing:
    """What a browser is shown: pages by path, which build they are of, and what is wrong now.

    `where` is the page of the last edit; `ok` is False while the pages are older than the files.
    """

    number: int
    pages: Contents
    mistakes: tuple[Mistake, ...]
    where: str
    ok: bool


class Desk:
    """One house being written; `showing` is replaced whole after each look."""

    def __init__(self, folder: Path, theme: str) -> None:
        """Nothing is read yet: call look()."""
        self._folder = folder
        self._theme = theme
        self._seen = snapshot(folder)
        self._basis: Any = None
        self._written: dict[str, Recipe] = {}
        self._computed: Mapping[str, Computed] = {}
        self.showing = Showing(0, {}, (), page_of(_latest(self._seen), folder), ok=False)

    def changed(self) -> tuple[Path, ...]:
        """Files that were written, made or taken away since the last call, oldest first."""
        now = snapshot(self._folder)
        before, self._seen = self._seen, now
        different = [path for path in now | before if now.get(path) != before.get(path)]
        return tuple(sorted(different, key=lambda path: now.get(path, (0,))))

    def refresh(self, edited: Iterable[Path] = ()) -> Showing:
        """Read the house and make its pages ready.

        With mistakes the last good pages stay, but for those of recipes that rest on nothing
        broken: these are as they are now, from the first look on.
        """
        last = self.showing
        where = next((page_of(path, self._folder) for path in reversed([*edited])), last.where)
        pages, ok = last.pages, False
        try:
            collection, mistakes = read_sound(self._folder)
            computed, log = self._work_out(collection)
            mistakes = (*mistakes, *log)
            ok = all(mistake.severity != "error" for mistake in mistakes)
            if log.errors:
                collection = sound_part(collection, (), log)
            sound = {slug: computed[slug] for slug in map(collection.slug, collection.recipes)}
            if ok:
                mistakes = house_warnings(collection, computed, mistakes, date.today())
            fresh = contents(collection, sound, find_theme(self._theme, self._folder))
            pages = fresh if ok else {**fresh, **last.pages, **_of_recipes(fresh)}
        except AuthorError as error:
            ok, mistakes = False, error.mistakes
        self.showing = Showing(last.number + 1, pages, mistakes, where, ok)
        return self.showing

    def _work_out(self, collection: Collection) -> tuple[Mapping[str, Computed], MistakeLog]:
        """Every recipe by slug, those that cannot have changed taken from the last look; and what
        there is to say of all."""
        basis = (
            collection.house,
            dict(collection.stock),
            tuple(map(_without_words, collection.made)),
        )
        written = {collection.slug(recipe): recipe for recipe in collection.recipes}
        known = self._computed if basis == self._basis else {}
        unchanged = {
            slug: known[slug]
            if recipe == self._written[slug]
            else reworded(known[slug], recipe, collection)
            for slug, recipe in written.items()
            if slug in known and _without_words(recipe) == _without_words(self._written[slug])
        }
        computed, log = compute_all(collection, known=unchanged)
        if not log.errors:
            self._computed, self._basis, self._written = computed, basis, written
        return computed, log


def _of_recipes(pages: Contents) -> Contents:
    """Those of single recipes, and whatever pages load."""
    lists = ("staff/index.html", "staff/tables.html", "staff/plants.html")
    return {
        path: target
        for path, target in pages.items()
        if f"/{FOLDER}/" in path or (path.startswith("staff/") and path not in lists)
    }


def snapshot(folder: Path) -> dict[Path, tuple[int, int, int]]:
    """Every file of the house with its time (ns), size and number, for comparison."""
    seen = {}
    for path in house_files(folder):
        try:
            stat = path.stat()
        except OSError:
            continue  # gone between two looks
        seen[path] = (stat.st_mtime_ns, stat.st_size, stat.st_ino)
    return seen


def page_of(path: Path, folder: Path) -> str:
    """The page on which a file of the house is seen, below the root of the preview."""
    kind = path.relative_to(folder).parts[0]
    if kind == FOLDERS["menu"]:
        return "guest/index.html"
    if kind in FOLDERS.values():
        return f"staff/{slug(path.stem)}.html"
    return "staff/index.html"


def dressed(html: str, showing: Showing) -> str:
    """A page that follows the house: reloaded after every save, with what is wrong on top."""
    head = (
        f'<link rel="stylesheet" href="{PANEL}">'
        f'<script src="{FOLLOW}" data-number="{showing.number}"></script>'
    )
    html = re.sub(r'(?<=Content-Security-Policy" content=")[^"]*', _door, html, count=1)
    html = html.replace("</head>", f"{head}</head>", 1)
    return re.sub(r"<body[^>]*>", lambda body: body[0] + _panel(showing), html, count=1)


def bare(showing: Showing, said: str) -> str:
    """A page for when there is none: what is wrong, or that nothing is called so."""
    html = (
        '<!doctype html><html lang="en"><head><meta charset="utf-8"><title>Preview</title>'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        '<meta name="color-scheme" content="light dark"></head>'
        f'<body><p>{escape(said)} <a href="/staff/index.html">All recipes</a></p></body></html>'
    )
    return dressed(html, showing)


def _panel(showing: Showing) -> str:
    """What is wrong stands open, what is only doubtful is folded; no more of a page than leaves
    some of it to be seen. In English, on a page of any language.
    """
    if not showing.mistakes:
        return ""
    wrong = [one for one in showing.mistakes if one.severity == "error"]
    doubtful = [one for one in showing.mistakes if one.severity != "error"]
    inner, way = _each(wrong), 'aria-label="Preview" lang="en" tabindex="0"'
    if doubtful:
        summary = tally(doubtful) if showing.ok else f"And {len(doubtful)} to look at"
        inner += f"<details><summary>{summary}</summary>{_each(doubtful)}</details>"
    if showing.ok:
        return f'<aside id="preview" {way}>{inner}</aside>'
    below = "What rests on it is shown as it last worked, all else as it is now."
    head = f"<h2>There are mistakes. {below if showing.pages else ''}</h2>"
    return f'<section id="preview" class="broken" role="alert" {way}>{head}{inner}</section>'


def _each(mistakes: Iterable[Mistake]) -> str:
    return "".join(f"<pre>{escape(str(mistake))}</pre>" for mistake in mistakes)


def _door(found: re.Match[str]) -> str:
    """The page's own policy, opened for the preview's script and sheet and nothing else."""
    rules = dict(rule.strip().partition(" ")[::2] for rule in found[0].split(";") if rule.strip())
    for key in ("script-src", "connect-src", "style-src"):
        given = rules.get(key, "").replace("'none'", "").strip()
        rules[key] = given if "'self'" in given else f"{given} 'self'".strip()
    return "; ".join(f"{key} {value}" for key, value in rules.items())


def _without_words(recipe: Recipe) -> Recipe:
    """A recipe without what no figure depends on."""
    return recipe.model_copy(update=dict.fromkeys(WORDS, ""))


def _latest(seen: dict[Path, tuple[int, int, int]]) -> Path:
    return max(seen, key=lambda path: seen[path])
