"""A theme that publishes at once: the base's tokens with their notes, and places to go on from.

Belongs here: which files a new theme starts with. Does not belong here: what a template is given
(proof/template_fields.py), what a theme may do (base/theme.py).
"""

from __future__ import annotations

import re
from pathlib import Path

from anthocard.diagnostics.diagnostic import AuthorError, Mistake, Place
from anthocard.press.base.theme import BASE, find_theme, shipped_names
from anthocard.press.proof.template_fields import fields_page
from anthocard.terminal.output import put_all

#: The files of a kit, beside the tokens and the list of fields.
KIT = Path(__file__).parent / "kit"


def begin(house: Path, name: str) -> Path:
    """Write the theme into `themes/NAME` of a house, and say where.

    Raises AuthorError for a name that no folder should have, one of ours, or one that is taken.
    """
    where = house / "themes" / name
    wrong = None
    if not re.fullmatch(r"[a-z0-9][a-z0-9-]{0,39}", name):
        wrong = (
            "a theme's name is small letters, digits and hyphens",
            "name it “night”, for example",
        )
    elif name in shipped_names():
        wrong = f"“{name}” is a theme that comes with the program", "choose another name"
    elif where.exists():
        wrong = "there is such a theme already, and nothing is overwritten", "choose another name"
    if wrong is not None:
        raise AuthorError([Mistake("in-the-way", wrong[0], Place(str(where)), wrong[1])])
    # Below the house, which is looked into by whoever comes next: a death leaves no half of it.
    put_all(house, {f"themes/{name}/{path}": text for path, text in _files(name).items()})
    return where


def _files(name: str) -> dict[str, str]:
    texts = {
        path.relative_to(KIT).as_posix(): path.read_text(encoding="utf-8")
        for path in sorted(KIT.rglob("*"))
        if path.is_file()
    }
    texts["README.md"] = texts["README.md"].replace("NAME", name)
    return {**texts, "tokens.css": find_theme(BASE).text("tokens.css"), "FIELDS.md": fields_page()}
