"""How commands write files: all or none, whole or not at all, never over what somebody wrote.

Belongs here: putting texts on the disk. Does not belong here: what is in them.
"""

from __future__ import annotations

import os
import shutil
import sys
import tempfile
from collections.abc import Mapping
from pathlib import Path


def write_all(folder: Path, texts: Mapping[str, str]) -> None:
    """Make new files by their paths below `folder`.

    All or none: what was made is taken away again when one of them cannot be written. Raises
    FileExistsError where one is there already, and whatever else the system refuses as OSError.
    """
    made: list[Path] = []
    try:
        for name, text in texts.items():
            path = folder / name
            missing = [one for one in path.parents if not one.exists()]
            path.parent.mkdir(parents=True, exist_ok=True)
            made += reversed(missing)
            with path.open("x", encoding="utf-8", newline="\n") as file:
                made.append(path)
                file.write(text)
    except BaseException:
        for path in reversed(made):
            if path.is_dir():
                shutil.rmtree(path, ignore_errors=True)
            else:
                path.unlink(missing_ok=True)
        raise


def replace_text(path: Path, text: str) -> None:
    """Put a whole text in the place of a file: the old one stands until the new one is complete."""
    path.parent.mkdir(parents=True, exist_ok=True)
    handle, name = tempfile.mkstemp(prefix=f".{path.name}-", dir=path.parent)
    try:
        with os.fdopen(handle, "w", encoding="utf-8", newline="") as file:
            file.write(text)
        if path.exists():
            shutil.copymode(path, name)
        else:
            Path(name).chmod(0o644)
        Path(name).replace(path)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise


def tell_aside(*lines: str) -> None:
    """Say something beside what is printed, so that it can be piped on its own."""
    for line in lines:
        print(line, file=sys.stderr)
