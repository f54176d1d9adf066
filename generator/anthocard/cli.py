"""The command line: words in, a command run, mistakes told, an exit code out.

Belongs here: the list of commands and how errors leave the program. Does not belong here: what a
command does (anthocard.commands). Nothing heavy is imported until a command asks for it.
"""

from __future__ import annotations

import argparse
import errno
import gc
import importlib
import os
import sys
import textwrap
from itertools import groupby

TYPE_CHECKING = False  # what type checkers know it by: typing itself takes 10 ms to import
if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from typing import Any

#: Every command and what it is for, in the order a newcomer meets them.
COMMANDS = {
    "begin": "start a small house that publishes at once",
    "publish": "write the guest menu, the spec pages and the cards",
    "proofread": "read and work out everything, build nothing, tell every mistake",
    "preview": "show the pages in a browser and follow every save",
    "ready": "tell what this machine has and lacks, and how to install it",
    "explain": "tell where a figure comes from",
    "figures": "print the figures of one recipe",
    "dial": "find the dose that reaches a pH, a colour or an acidity",
    "calibrate": "say how to measure, and write readings into the house",
    "lot": "write down what was made and read, and tell whether it passes",
    "tonight": "tell what to do without a bottle, from a shelf, or for one guest",
    "cards": "print bar cards of any size, on sheets or one by one",
    "labels": "print bottle labels on label sheets",
    "prep": "print what to make for a service, longest lead time first",
    "batch": "work one batch out: weights, water, bottles, freezer; or bring a strength down",
    "buy": "print what to buy for a week: packs, on hand, lead times",
    "logs": "print logs of batches, probe and deviations; check a probe's slope",
    "book": "print the spec book",
    "palette": "draw every plant's colour against pH and dose",
    "theme": "begin a look of your own, and hold it to every paper of a hard house",
    "import": "bring in drinks or stock from a CSV file",
    "export": "write all recipes as CSV, or as schema.org Recipe",
    "schema": "write JSON Schemas, so that an editor completes and checks as you type",
    "completion": "print a script that lets your shell complete these commands",
    "reference": "print every command and option on one page",
}
#: Commands whose word Python keeps for itself live under another name.
_MODULES = {"import": "importing"}

DONE, MISTAKES, USAGE, MISSING, REFUSED, STOPPED = 0, 1, 2, 3, 4, 130

EPILOG = """\
exit codes:
  0    done
  1    there are mistakes in the house; nothing was written
  2    the command line could not be understood
  3    this machine lacks a library the command needs
  4    the machine refused to read or write: disk full, no permission
  130  stopped by Ctrl-C; nothing was half written

new here:
  anthocard begin my-bar
  anthocard publish --house my-bar

Every command has its own help: anthocard publish --help
"""


class Prose(argparse.RawDescriptionHelpFormatter):
    """Help that keeps its lines and folds them where the terminal is narrow."""

    def __init__(self, prog: str, **settings: Any) -> None:
        width = max(24, min(_columns(), 90) - 2)
        super().__init__(prog, max_help_position=min(24, width // 3), width=width)

    def _fill_text(self, text: str, width: int, indent: str) -> str:
        """Fold plain lines together as paragraphs; keep indented lines as they are, hung."""
        folded: list[str] = []
        for indented, lines in groupby(text.splitlines(), lambda line: line[:1] in ("", " ")):
            kept = list(lines)
            paragraphs = kept if indented else [" ".join(kept)]
            folded += [self._folded(one, width, indent) for one in paragraphs]
        return "\n".join(folded)

    @staticmethod
    def _folded(line: str, width: int, indent: str) -> str:
        margin = line[: len(line) - len(line.lstrip())]
        hung = f"{margin}    " if margin else ""
        return textwrap.fill(
            line.strip(), width, initial_indent=indent + margin, subsequent_indent=indent + hung,
            break_long_words=False, break_on_hyphens=False,
        )  # fmt: skip


def _columns() -> int:
    """As shutil.get_terminal_size, which brings every kind of archive along."""
    try:
        return int(os.environ["COLUMNS"]) or 80
    except (KeyError, ValueError):
        pass
    try:
        return os.get_terminal_size(1).columns or 80
    except OSError:
        return 80


def program() -> int:
    """`main` as a process of its own."""
    code = main(own=True)
    # Python looks for rubbish once more as it ends: 0.4 s, in a house of 1,000. All of it goes now.
    gc.freeze()
    return code


def main(argv: Sequence[str] | None = None, own: bool = False) -> int:
    """Run one command and return its exit code; in a process of its `own` it may shut itself in."""
    # Vectors are short here: threads for them take longer to start than they save.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    # No plugin of another package has a say in what a recipe may hold; looking for one takes 20 ms.
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")
    from anthocard.diagnostics.plain_letters import speak_plainly
    from anthocard.guard.rubbish import look_seldom
    from anthocard.guard.stopping import was_stopped

    look_seldom()
    speak_plainly()
    words = list(sys.argv[1:] if argv is None else argv)
    asked = next((word for word in words if not word.startswith("-")), None)
    if asked is not None and asked not in COMMANDS:
        return _unknown(asked)
    try:
        options = _parser(words, {asked}).parse_args(words)
        options.own = own
        if options.command is None:
            _parser([], ()).print_help()
            return USAGE
        return int(options.run(options))
    except KeyboardInterrupt:
        return _stopped()
    except BrokenPipeError:
        sys.stderr.close()
        return DONE
    except Exception as error:
        return _stopped() if was_stopped() else _leave(error, "--json" in words)


def whole_parser() -> argparse.ArgumentParser:
    """The parser with every command described, for the reference and for completion."""
    return _parser([], COMMANDS)


def _parser(words: Sequence[str], imported: Iterable[str | None]) -> argparse.ArgumentParser:
    """The parser; only the commands that are asked for are imported and described."""
    parser = argparse.ArgumentParser(
        prog="anthocard",
        description="Spec cards and menus for drinks that turn, with pH and colour worked out.",
        epilog=EPILOG,
        formatter_class=Prose,
        allow_abbrev=False,
    )
    parser.add_argument(
        "--version", action="version", version=_version(words), help="print the version and leave"
    )
    rooms = parser.add_subparsers(dest="command", metavar="COMMAND", title="commands")
    for name, summary in COMMANDS.items():
        room = rooms.add_parser(
            name,
            help=summary,
            description=summary[0].upper() + summary[1:] + ".",
            formatter_class=Prose,
            allow_abbrev=False,
        )
        if name in imported:
            module = importlib.import_module(f"anthocard.commands.{_MODULES.get(name, name)}")
            module.describe(room)
            room.set_defaults(run=module.run, whole_parser=whole_parser)
    return parser


def _version(words: Sequence[str]) -> str:
    if "--version" not in words:
        return ""
    from importlib.metadata import version

    return f"anthocard {version('anthocard')}"


def _stopped() -> int:
    print("stopped; nothing half written", file=sys.stderr)
    return STOPPED


def _unknown(word: str) -> int:
    from anthocard.diagnostics.diagnostic import did_you_mean

    print(f"there is no command “{word}”: {did_you_mean(word, COMMANDS)}", file=sys.stderr)
    return USAGE


def _leave(error: Exception, as_json: bool = False) -> int:
    """Tell an expected error in the author's words, mistakes for tools too where they ask for JSON;
    let a fault of ours show itself whole.
    """
    from anthocard.diagnostics.diagnostic import AuthorError

    if isinstance(error, AuthorError):
        from anthocard.diagnostics.plain_letters import json_text
        from anthocard.diagnostics.report import as_rows, counted, grouped, tally

        if as_json:
            shape = {"ok": False, "counts": counted(error.mistakes)}
            print(json_text({**shape, "mistakes": as_rows(error.mistakes)}))
        print(grouped(error.mistakes), file=sys.stderr)
        print(f"\n{tally(error.mistakes)}. {_stands('Nothing was written.')}", file=sys.stderr)
        return MISTAKES
    code = getattr(error, "exit_code", None)
    if isinstance(code, int):
        print(error, file=sys.stderr)
        return code
    if isinstance(error, OSError):
        print(_refused(error), file=sys.stderr)
        return REFUSED
    raise error


#: What to do about the commonest refusals of an operating system.
_MENDS = {
    errno.ENOSPC: "make room on the disk, then run it again",
    errno.EFBIG: "make room on the disk, then run it again",
    errno.EDQUOT: "make room within your quota, then run it again",
    errno.EROFS: "name a folder you may write to",
    errno.EACCES: "look at the permissions, or name a folder you may write to",
    errno.EPERM: "look at the permissions, or name a folder you may write to",
    errno.ENOTDIR: "a file stands where a folder is wanted: name another place",
    errno.EEXIST: "move it away, or name another place",
}


def _refused(error: OSError) -> str:
    why = error.strerror or str(error)
    where = f"{error.filename}: " if error.filename else ""
    mend = _MENDS.get(error.errno or 0, "put that right, then run it again")
    sentence = _stands("What stood before still stands; nothing half written.")
    return f"{where}{why}\n  Mend: {mend}\n{sentence}"


def _stands(otherwise: str) -> str:
    """What has been put in its place before it went wrong, or `otherwise`."""
    from anthocard.disk.completed import done

    return f"Written before that, whole: {', '.join(done())}." if done() else otherwise
