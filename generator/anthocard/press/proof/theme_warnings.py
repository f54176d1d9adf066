"""What is doubtful in a theme by itself: faces that are not here, letters faint on their ground.

Belongs here: judging tokens. Does not belong here: what they are (base/theme.py), setting papers
with them (trial.py).
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Final

from anthocard.diagnostics.diagnostic import Mistake
from anthocard.facts.colour.colours import wcag_contrast
from anthocard.press.base.faces import families_in, package_name, there
from anthocard.press.base.theme import FACES, Theme

#: Letters and what they stand on.
_PAIRS: Final = (
    ("ink", "paper"), ("quiet", "paper"), ("on-panel", "panel"), ("on-panel-quiet", "panel"),
    ("night-ink", "night-paper"), ("night-quiet", "night-paper"),
)  # fmt: skip
#: WCAG 2.2, 1.4.6 (AAA): a bar is dim.
_LEAST: Final = 7.0


def theme_warnings(theme: Theme) -> Iterator[Mistake]:
    """Warnings, each at its token."""
    for token in FACES:
        families = families_in(theme.token(token))
        if families and not there(families[0], theme.own_fonts):
            faces = theme.faces
            used = faces.text_family if token == "text" else faces.display_family
            yield Mistake(
                "no-face", f"the face “{families[0]}” is not here: “{used}” stands in for it",
                theme.place_of(token),
                "put its files into fonts/ of the theme, or install"
                f" {package_name(families[0])} if there is such a package",
                severity="warning",
            )  # fmt: skip
    for letters, ground in _PAIRS:
        both = theme.token(letters), theme.token(ground)
        if all(re.fullmatch("#[0-9a-fA-F]{6}", one) for one in both):
            contrast = wcag_contrast(*both)
            if contrast < _LEAST:
                yield Mistake(
                    "faint", f"--{letters} on --{ground} has a contrast of {contrast:.1f} : 1",
                    theme.place_of(letters),
                    f"{_LEAST:g} : 1 and more is read in a dim room", severity="warning",
                )  # fmt: skip
