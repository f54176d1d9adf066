"""Files as an author left them: which ones make a house, and where front-matter ends in each.

Belongs here: walking the folder, decoding, the two fences, slugs. Does not belong here: what the
front-matter says (reader.py). This is the only module of the floor that touches the disk.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from anthocard.diagnostics.diagnostic import MistakeLog, Place, did_you_mean
from anthocard.guard.limits import most_of
from anthocard.guard.reading import bounded

#: Folder by kind of recipe.
FOLDERS: Final = {
    "infusion": "infusions",
    "solution": "solutions",
    "syrup": "syrups",
    "preparation": "preparations",
    "drink": "drinks",
    "menu": "menus",
}
#: What a house has beside its recipes; it can do without all but the first.
YAML_FILES: Final = ("house.yaml", "stock.yaml", "lots.yaml")

#: Where a house's own pictures lie.
PICTURES: Final = "pictures"
_PICTURE_BEGINS: Final = (b"\x89PNG\r\n\x1a\n", b"\xff\xd8\xff", b"RIFF")

LONGEST_TEXT: Final = 10_000  # characters; chosen: five pages of method for one drink
MOST_BRACKETS: Final = 400  # chosen: Markdown's time grows faster than their number (4000: 3.4 s)

_NAME: Final = re.compile(r"^name:[ \t]*(\S.*?)[ \t]*$", re.MULTILINE)
_FRONT: Final = re.compile(r"[a-z_]+:|\s+\S|- ")
_FENCE: Final = re.compile(r"---[ \t]*")
_ODD: Final = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x84\x86-\x9f\ufeff\ufffe\uffff]")
#: Names that Windows keeps for devices, and those of our own pages.
_RESERVED: Final = re.compile(r"con|prn|aux|nul|com[0-9]|lpt[0-9]|index|tables|plants|for-a-guest")
_LETTERS: Final = str.maketrans(
    {"ø": "o", "æ": "ae", "œ": "oe", "ł": "l", "đ": "d", "ð": "d", "þ": "th", "ı": "i"}
)


@dataclass(frozen=True, slots=True)
class MarkdownFile:
    """One Markdown file: its front-matter and its body, and where the body starts.

    `path` is as shown to the author; `front_line` and `body_line` count from 1.
    """

    path: str
    slug: str
    kind: str
    front: str
    body: str
    body_line: int
    front_line: int = 2

    @property
    def numbered(self) -> Iterator[tuple[int, str]]:
        """The lines of front-matter and body, each with its number in the file."""
        for text, first in ((self.front, self.front_line), (self.body, self.body_line)):
            yield from enumerate(text.split("\n"), first)


@dataclass(frozen=True, slots=True)
class HouseTexts:
    """The texts of a house: its YAML files by name, and the recipes in order.

    `lost` names what could not be read or cut in two: a YAML file, or the recipe of a file.
    """

    folder: str
    yaml: dict[str, str]
    recipes: tuple[MarkdownFile, ...]
    lost: tuple[str, ...] = ()


def read_shelf(folder: Path, log: MistakeLog) -> HouseTexts:
    """Read every file of a house; each that cannot be read is a mistake in `log`.

    Paths are shown below the folder's own name, `recipes/drinks/x.md`.
    """
    shown = folder.name or str(folder)
    yaml: dict[str, str] = {}
    lost: list[str] = []
    if not folder.is_dir():
        log.add("missing-file", "there is no such folder", Place(str(folder)), "give its path")
        return HouseTexts(shown, yaml, ())
    for name in YAML_FILES:
        path = folder / name
        if path.is_file():
            text = _read_text(path, folder.resolve(), f"{shown}/{name}", log)
            if text is not None:
                yaml[name] = text
            else:
                lost.append(name)
        elif name == "house.yaml":
            log.add(
                "missing-file", "there is no house.yaml", Place(f"{shown}/{name}"),
                "write one, with the name, place, currency and glasses of the house",
            )  # fmt: skip
    _find_strays(folder, shown, log)
    recipes = tuple(_recipes(folder, shown, log, lost))
    return HouseTexts(shown, yaml, recipes, tuple(lost))


def split_front_matter(text: str, path: str, kind: str, log: MistakeLog) -> MarkdownFile | None:
    """Cut a file in front-matter and body at its two lines of `---`; None if they are missing."""
    lines = text.split("\n")
    if not _FENCE.fullmatch(lines[0]):
        indented = lines[0].strip() == "---"
        log.add(
            "no-front-matter", "the file does not start with front-matter",
            Place(path, 1, 1, max(1, len(lines[0])), lines[0]),
            "write “---” with nothing before it" if indented
            else "put a line “---” above the keys, and another below them",
        )  # fmt: skip
        return None
    for end, line in enumerate(lines[1:], start=1):
        if _FENCE.fullmatch(line):
            front = "\n".join(lines[1:end])
            body = "\n".join(lines[end + 1 :])
            return MarkdownFile(path, slug(Path(path).stem), kind, front, body, end + 2)
    last = _last_key(lines)
    log.add(
        "open-front-matter", "the front-matter is not closed",
        Place(path, last + 1, 1, max(1, len(lines[last])), lines[last]),
        "put a line “---” below its last key",
    )  # fmt: skip
    return None


def _last_key(lines: Sequence[str]) -> int:
    """The last line (from 0) that can be front-matter, in a file whose second fence is missing."""
    last = 0
    for number, line in enumerate(lines[1:], start=1):
        if _FRONT.match(line):
            last = number
        elif line.strip() and not line.startswith("#"):
            break
    return last


def slug(name: str) -> str:
    """A name safe in any file system and address: a-z, 0-9 and hyphens, at most 60 characters.

    Empty when nothing of the name survives.
    """
    plain = unicodedata.normalize("NFKD", name.casefold().translate(_LETTERS))
    kept = re.sub(r"[^a-z0-9]+", "-", plain.encode("ascii", "ignore").decode()).strip("-")
    kept = kept[:60].rstrip("-")
    return f"{kept}-card" if _RESERVED.fullmatch(kept) else kept


def read_picture(folder: Path, name: str, place: Place, log: MistakeLog) -> bytes | None:
    """A picture in the folder of them, whole; None and a mistake at `place` where it is none."""
    path, most = folder / PICTURES / name, most_of("files", "picture")
    where = f"{PICTURES}/{name}"
    try:
        if not path.resolve().is_relative_to(folder.resolve()):
            message, mend = "leads out of the house", "copy the file instead"
        else:
            raw = bounded(path, most)
            if raw is not None and len(raw) <= most and raw.startswith(_PICTURE_BEGINS):
                return raw
            message, mend = "is no PNG, JPEG or WebP", "save it as one"
            if raw is not None and len(raw) > most:
                message, mend = f"is larger than {most // 1_000_000} MB", "save it smaller"
    except (OSError, RuntimeError, ValueError):
        message, mend = "cannot be read", f"put it into the folder {PICTURES}/"
    log.add("picture", f"{where} {message}", place, mend)
    return None


def written_name(text: str) -> str | None:
    """The name in a text that cannot be read as front-matter, so that others may still say it."""
    found = _NAME.search(text)
    return None if found is None else found[1].partition(" #")[0].strip(" :\"'“”") or None


def too_tangled(text: str) -> bool:
    """Whether a text is so long, or so full of brackets, that Markdown would take seconds."""
    return len(text) > LONGEST_TEXT or max(map(text.count, "[<")) > MOST_BRACKETS


def _recipes(folder: Path, shown: str, log: MistakeLog, lost: list[str]) -> Iterator[MarkdownFile]:
    home = folder.resolve()
    taken: dict[str, str] = {}  # across kinds, for their pages lie side by side
    for kind, name in FOLDERS.items():
        for path in sorted((folder / name).glob("*.md")):
            if path.name.startswith("."):
                continue
            at = f"{shown}/{name}/{path.name}"
            text = _read_text(path, home, at, log)
            source = None if text is None else split_front_matter(text, at, kind, log)
            if source is None:
                lost.append(written_name(text or "") or path.stem)
                continue
            if not source.slug:
                log.add(
                    "bad-file-name", "this file name leaves nothing for a web address", Place(at),
                    "name the file in letters a-z; the recipe's own name can stay as it is",
                )  # fmt: skip
            elif source.slug in taken:
                log.add(
                    "same-file-name", f"this file would be published over {taken[source.slug]}",
                    Place(at), "rename one of the two",
                )  # fmt: skip
            else:
                taken[source.slug] = at
            yield source


def _find_strays(folder: Path, shown: str, log: MistakeLog) -> None:
    """Warn of recipes that lie where nobody looks for them."""
    for path in sorted(folder.rglob("*.md")):
        below = path.relative_to(folder).parts
        hidden = any(part.startswith(".") for part in below)
        if hidden or (len(below) == 2 and below[0] in FOLDERS.values()):
            continue
        log.add(
            "not-read", "this file is not read: it lies in none of the known folders",
            Place(f"{shown}/{'/'.join(below)}"), did_you_mean(below[0], FOLDERS.values()),
            "warning",
        )  # fmt: skip


def _read_text(path: Path, home: Path, shown: str, log: MistakeLog) -> str | None:
    """The text of a file with plain line ends, or None and a mistake; nothing outside `home`."""
    place = Place(shown)
    try:
        if not path.resolve().is_relative_to(home):
            log.add(
                "outside-house", "this link leads out of the house", place, "copy the file instead"
            )
            return None
        largest = most_of("files", "recipe")
        raw = bounded(path, largest)
    except (OSError, RuntimeError) as trouble:
        why = getattr(trouble, "strerror", None) or str(trouble)
        log.add("unreadable", f"the file cannot be read: {why}", place, "look at its permissions")
        return None
    if raw is None:
        log.add(
            "no-file", "this is a pipe, a device or a folder, not a file", place, "move it away"
        )
        return None
    if len(raw) > largest:
        log.add("too-big", "the file is larger than 1 MB", place, "split it")
        return None
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as trouble:
        before = raw[: trouble.start].decode("utf-8-sig", "ignore").split("\n")
        log.add(
            "not-utf-8", "the file is not saved as UTF-8 from here on",
            Place(shown, len(before), len(before[-1]) + 1), "save it again with encoding UTF-8",
        )  # fmt: skip
        return None
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    odd = _ODD.search(text)
    if odd is not None:
        line = text.count("\n", 0, odd.start()) + 1
        column = odd.start() - text.rfind("\n", 0, odd.start())
        seen = _ODD.sub("\N{REPLACEMENT CHARACTER}", text.split("\n")[line - 1])
        log.add(
            "odd-character", f"a character that no editor shows (U+{ord(odd[0]):04X}) stands here",
            Place(shown, line, column, 1, seen),
            "delete it and type the line again",
        )  # fmt: skip
        return None
    return text
