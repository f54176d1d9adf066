"""How commands put files on the disk, whole or not at all, and tell meanwhile how far they are.

Belongs here: texts of authors as bytes and back, and the way through the one door. Does not belong
here: what is in a file, how it is written (anthocard.disk).
"""

from __future__ import annotations

import os
import re
import sys
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path

from anthocard.disk import atomic_file, transaction

_BOM = "\ufeff"


@dataclass(frozen=True, slots=True)
class Text:
    """A file of an author that is to be changed: `text` has plain line ends and no BOM."""

    path: Path
    text: str
    seen: atomic_file.FileState


def read_text(path: Path) -> Text:
    """A file to be changed, or an empty one where there is none.

    Raises AuthorError where it is not UTF-8, and Refused where it is no file.
    """
    seen = atomic_file.see(path)
    raw = seen.content or b""
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as trouble:
        from anthocard.diagnostics.diagnostic import AuthorError, Mistake, Place

        message = "the file is not saved as UTF-8 from here on"
        place = Place(str(path), raw.count(b"\n", 0, trouble.start) + 1)
        mend = "save it again with encoding UTF-8"
        raise AuthorError([Mistake("not-utf-8", message, place, mend)]) from None
    return Text(path, text.replace("\r\n", "\n").replace("\r", "\n"), seen)


def put_changed(old: Text, text: str, house: Path) -> None:
    """Put a changed text in the place of the old one: its BOM, and the end of each line that stays,
    its mode, owner and link stay too.

    Raises Changed where somebody saved the file since it was read.
    """
    content = _as_written(text, (old.seen.content or b"").decode())
    atomic_file.put(old.path, content.encode(), old.seen, house)


def put(path: Path, content: bytes | str) -> None:
    """Put one file in its place: whole, or the old one stands."""
    atomic_file.put(path, content.encode() if isinstance(content, str) else content)


def put_all(folder: Path, contents: Mapping[str, bytes | str], over: bool = False) -> None:
    """Put files in their places by their paths below `folder`: all of them or none.

    Where one is there already it is replaced if `over`, and FileExistsError is raised if not.
    """
    raw = {path: c.encode() if isinstance(c, str) else c for path, c in contents.items()}
    transaction.put_all(folder, raw, over)


def _as_written(text: str, before: str) -> str:
    """A text with the BOM and the line ends of what it was made of."""
    mark = _BOM if before.startswith(_BOM) else ""
    old = re.findall(r"([^\r\n]*)(\r\n|\n|\r|\Z)", before.removeprefix(_BOM))
    usual = old[0][1] or "\n"
    lines, at = [], 0
    for line in text.split("\n"):
        found = next((n for n in range(at, len(old)) if old[n][0] == line), None)
        if found is None:
            lines.append(f"{line}{usual}")
        else:
            lines.append(f"{line}{old[found][1] or usual}")
            at = found + 1
    last = text.rpartition("\n")[2]
    return mark + "".join(lines[:-1]) + last


def progress(silent: bool) -> tuple[Callable[[int, int, str], None], Callable[[], None]]:
    """One line that is written over, on a terminal that can; silence anywhere else."""
    able = sys.stderr.isatty() and os.environ.get("TERM", "") not in ("", "dumb")
    if silent or not able:
        return (lambda done, total, path: None), (lambda: None)

    def tell(done: int, total: int, path: str) -> None:
        width = max(20, os.get_terminal_size(sys.stderr.fileno()).columns - 1)
        line = f"{done + 1} of {total}  {path}"[:width]
        sys.stderr.write(f"\r{line:<{width}}")
        sys.stderr.flush()

    def wipe() -> None:
        sys.stderr.write("\r\x1b[K")
        sys.stderr.flush()

    return tell, wipe
