"""anthocard ready: what this machine has and lacks, and the line that installs the rest."""

from __future__ import annotations

import argparse
import ctypes
import platform
import shutil
import sys
from collections.abc import Callable
from dataclasses import asdict, dataclass
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path

from anthocard.diagnostics.plain_letters import json_text
from anthocard.diagnostics.tables import read_table

EXAMPLE = """\
Pages and figures need nothing but Python. Papers (PDF) need Pango. The exit code is 3 when
something is missing without which a command refuses, else 0.

examples:
  anthocard ready
  anthocard ready --json
"""
#: Python packages that draw, set or compute; they come with the program.
PACKAGES = ("weasyprint", "jinja2", "markdown", "nh3", "pydantic", "numpy", "colour-science")


def describe(parser: argparse.ArgumentParser) -> None:
    """Options of this command."""
    parser.epilog = EXAMPLE
    parser.add_argument("--json", action="store_true", help="one JSON object, for tools")


@dataclass(frozen=True, slots=True)
class MachinePart:
    """One thing a machine may have. `what` it is, `detail` a version or place, '' if missing."""

    sort: str
    what: str
    there: bool
    detail: str
    needed: str


@dataclass(frozen=True, slots=True)
class Machine:
    """What was found, and how this system installs what is missing ('' if we do not know)."""

    system: str
    things: tuple[MachinePart, ...]
    install: tuple[str, ...]


def run(options: argparse.Namespace) -> int:
    """Tell everything; 3 when something needed is missing."""
    machine = inspect(_loads, shutil.which)
    if options.json:
        print(json_text(asdict(machine)))
    else:
        print(in_words(machine))
    return 3 if any(one.needed and not one.there for one in machine.things) else 0


def inspect(loads: Callable[[str], bool], which: Callable[[str], str | None]) -> Machine:
    """Ask a machine for everything; `loads` tries a library, `which` finds a program."""
    table = read_table("anthocard.commands", "ready.yaml")
    things = [_package(name) for name in PACKAGES]
    for what, row in table["libraries"].items():
        name = next((name for name in row["names"] if loads(name)), "")
        things.append(MachinePart("library", what, bool(name), name, row["needed"]))
    things += _fonts()
    for what, row in table["browsers"].items():
        path = next((found for name in row["names"] if (found := which(name))), "")
        things.append(MachinePart("browser", what, bool(path), path, ""))
    system = next((name for name in table["systems"] if which(name)), "")
    lines = table["systems"].get(system, {})
    lacking = {one.sort for one in things if not one.there}
    install = [lines["libraries"]] if lines and "library" in lacking else []
    if lines and not any(one.there for one in things if one.sort == "browser"):
        install.append(lines["browser"])
    if lacking & {"package", "font"}:
        install.append(f"{Path(sys.executable).name} -m pip install --force-reinstall anthocard")
    return Machine(f"{platform.system()} {platform.machine()}", tuple(things), tuple(install))


def in_words(machine: Machine) -> str:
    """In words; what is there and what is missing never only by a sign or a colour."""
    lines = [f"{machine.system}, Python {platform.python_version()}"]
    heads = {"package": "Python packages", "library": "System libraries, for papers",
             "font": "Fonts", "browser": "Browsers, for the preview"}  # fmt: skip
    for sort, head in heads.items():
        lines += ["", f"{head}:"]
        for one in (one for one in machine.things if one.sort == sort):
            state = "there" if one.there else "missing"
            lines.append(f"  {one.what}: {state}{f', {one.detail}' if one.detail else ''}")
    without = sorted({one.needed for one in machine.things if one.needed and not one.there})
    lines.append("")
    if machine.install:
        lines += ["To install what is missing:", *(f"  {line}" for line in machine.install)]
    elif without:
        lines.append("Install what is missing by this system's own package manager.")
    lines.append(
        f"Until then: no {', no '.join(without)}; pages and figures work."
        if without
        else "Ready: figures, pages and papers."
    )
    return "\n".join(lines)


def _package(name: str) -> MachinePart:
    try:
        return MachinePart("package", name, True, version(name), "everything")
    except PackageNotFoundError:
        return MachinePart("package", name, False, "", "everything")


def _fonts() -> list[MachinePart]:
    """The families that came with the program; the machine's own are never used."""
    from anthocard.press.paper.typeset import font_files

    try:
        files = font_files()
    except ModuleNotFoundError as error:
        return [MachinePart("font", error.name or "fonts", False, "", "papers")]
    families: dict[str, int] = {}
    for path in files:
        family = path.stem.partition("-")[0]
        families[family] = families.get(family, 0) + 1
    return [
        MachinePart("font", name, True, f"{n} styles", "papers") for name, n in families.items()
    ]


def _loads(name: str) -> bool:
    try:
        ctypes.CDLL(name)
    except OSError:
        return False
    return True
