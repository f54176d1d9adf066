"""What a publish tells when it is over: what was written, where to look, what is doubtful, and
which cards on the wall are no longer right.

Belongs here: the closing lines of a publish, and their JSON. Does not belong here: publishing
(commands/publish.py). Nothing heavy is imported: a publish that finds nothing changed ends here.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from anthocard.diagnostics.plain_letters import json_text

if TYPE_CHECKING:
    from collections.abc import Mapping

    from anthocard.diagnostics.diagnostic import Mistake
    from anthocard.press.words.history import News


class Summary:
    """What is known when a publish is over; `counts` are those of `proofread`, None if unknown."""

    def __init__(self, out: Path) -> None:
        self.out, self.files = out, 0
        self.written: tuple[Path, ...] = ()
        self.unchanged = False
        self.anew = {"recipes": 0, "pages": 0, "papers": 0}
        self.warnings: tuple[Mistake, ...] = ()
        self.counts: Mapping[str, int] | None = None
        self.changes_on: tuple[str, ...] = ()  # days on which other menus are shown
        self.news: News | None = None

    def as_json(self, seconds: float) -> str:
        """All of it as one object."""
        from anthocard.diagnostics.report import as_rows

        menu, spec_book = _ways_in(self.out)
        shape = {
            "out": str(self.out),
            "unchanged": self.unchanged,
            "files": self.files,
            "anew": self.anew,
            "written": [path.as_posix() for path in self.written],
            "guest": menu.as_posix(),
            "staff": spec_book.as_posix(),
            "counts": self.counts,
            "mistakes": as_rows(self.warnings),
            "cards": {
                "changed": list(self.news.changed) if self.news else [],
                "new": list(self.news.new) if self.news else [],
                "gone": list(self.news.gone) if self.news else [],
            },
            "seconds": round(seconds, 3),
        }
        return json_text(shape)

    def lines(self, seconds: float) -> list[str]:
        """All of it for a person."""
        menu, spec_book = _ways_in(self.out)
        first = (
            f"Nothing has changed: {self.files} files in {self.out} stand ({seconds:.2f} s)."
            if self.unchanged
            else f"Wrote {self.files} files to {self.out} in {seconds:.1f} s."
        )
        lines = [first, f"  menu for guests  {menu}", f"  spec book        {spec_book}"]
        if self.news is not None:
            lines += _on_the_wall(self.news)
        if self.counts and any(self.counts.values()):
            from anthocard.diagnostics.report import worded

            lines.append(f"{worded(self.counts)}: “anthocard proofread” tells the worst of them.")
        return lines


def _ways_in(out: Path) -> tuple[Path, Path]:
    return out / "guest" / "index.html", out / "staff" / "index.html"


def _on_the_wall(news: News) -> list[str]:
    """Which cards to print, and which to take down."""
    lines = []
    if news.changed:
        lines.append(f"Take off the wall, it has changed: {', '.join(news.changed)}.")
    if news.gone:
        lines.append(f"Take off the wall, it is no longer in the house: {', '.join(news.gone)}.")
    if news.changed or news.new:
        fresh = ", ".join((*news.changed, *news.new))
        lines.append(f"New cards: {fresh}. “anthocard cards --changed” prints these alone.")
    return lines
