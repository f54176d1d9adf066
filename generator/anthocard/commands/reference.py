"""anthocard reference: every command and option on one page, made from the parsers themselves."""

from __future__ import annotations

import argparse
from collections.abc import Iterator

EXAMPLE = """\
examples:
  anthocard reference
  anthocard reference | less
"""


def describe(parser: argparse.ArgumentParser) -> None:
    """Options of this command."""
    parser.epilog = EXAMPLE


def run(options: argparse.Namespace) -> int:
    """Print the page."""
    print("\n".join(page(options.whole_parser())))
    return 0


def page(parser: argparse.ArgumentParser) -> Iterator[str]:
    """The lines of the reference: name, synopsis and exit codes, then a chapter a command."""
    yield "NAME"
    yield f"    {parser.prog}: {parser.description}"
    yield ""
    yield "SYNOPSIS"
    for name, room in commands(parser).items():
        yield f"    {_synopsis(name, room)}"
    yield ""
    yield from (line.rstrip() for line in (parser.epilog or "").splitlines())
    for name, room in commands(parser).items():
        yield ""
        yield name.upper()
        yield from _indented(room.format_help())


def commands(parser: argparse.ArgumentParser) -> dict[str, argparse.ArgumentParser]:
    """The parsers of the commands by name, in their order."""
    for action in parser._actions:
        if isinstance(action, argparse._SubParsersAction):
            return dict(action.choices)
    return {}


def options_of(parser: argparse.ArgumentParser) -> dict[str, str]:
    """Every option of a parser, long words and short, with its help."""
    return {
        word: action.help or ""
        for action in parser._actions
        for word in action.option_strings
        if action.help != argparse.SUPPRESS
    }


def words_for(parser: argparse.ArgumentParser) -> dict[str, tuple[str, ...]]:
    """Options that take one of a few words, with those words."""
    return {
        word: tuple(map(str, action.choices))
        for action in parser._actions
        if action.choices is not None and not isinstance(action, argparse._SubParsersAction)
        for word in action.option_strings
    }


def takes_value(parser: argparse.ArgumentParser) -> frozenset[str]:
    """Options that are followed by a value."""
    return frozenset(
        word for action in parser._actions if action.nargs != 0 for word in action.option_strings
    )


def _synopsis(name: str, room: argparse.ArgumentParser) -> str:
    usage = " ".join(room.format_usage().removeprefix("usage: ").split())
    return usage or name


def _indented(text: str) -> Iterator[str]:
    return (f"    {line}".rstrip() for line in text.splitlines())
