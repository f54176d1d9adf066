"""anthocard theme: a look of the house's own begun, and held to every paper of a hard house.

Belongs here: the two words of the command. Does not belong here: what a kit is made of (kit.py),
setting papers with a theme (proof/trial.py).
"""

from __future__ import annotations

import argparse
from pathlib import Path
from shlex import quote

from anthocard.terminal.houses import add_house, house_folder, shut_in

EXAMPLE = """\
begin makes themes/NAME in the house: tokens with notes, styles added to a card and a menu, a card
whose parts can be put in another order, and a list of what each template is given. It publishes
at once. Nothing is overwritten.

check sets every paper of a house that is hard to set (long names, many pours, many drinks) with
any theme, on each size of card and label, and tells what would be lost, letters that are hard to
read on their ground, and faces that are not here. With --out it leaves the papers to look at.

examples:
  anthocard theme begin night
  anthocard theme check night --out trial
  anthocard publish --theme night
"""
ACTIONS = ("begin", "check")


def describe(parser: argparse.ArgumentParser) -> None:
    """Options of this command."""
    parser.epilog = EXAMPLE
    parser.add_argument("action", metavar="ACTION", choices=ACTIONS, help="begin or check")
    parser.add_argument("name", metavar="NAME", help="the theme, as its folder is called")
    add_house(parser)
    parser.add_argument(
        "--out", metavar="DIR", type=Path, help="with check: a folder for the papers"
    )


def run(options: argparse.Namespace) -> int:
    """Begin a theme, or check one; 1 when a paper cannot be set with it."""
    folder = house_folder(options.house)
    if options.action == "begin":
        from anthocard.commands.theme.kit import begin

        made = begin(folder, options.name)
        print(f"A theme stands in {made}. Its README.md says what to change. Next:")
        where = f" --house {quote(str(options.house))}" if options.house else ""
        print(f"  anthocard theme check {options.name} --out trial{where}")
        print(f"  anthocard publish --theme {options.name}{where}")
        return 0
    shut_in(options, *([options.out] if options.out else []))
    return _check(folder, options.name, options.out)


def _check(folder: Path, name: str, out: Path | None) -> int:
    from anthocard.diagnostics.report import counted, grouped
    from anthocard.press.base.theme import find_theme
    from anthocard.press.proof.trial import Trial, tried
    from anthocard.terminal.output import progress, put_all

    theme = find_theme(name, folder)
    tell, wipe = progress(False)
    try:
        trial: Trial = tried(theme, HARD_HOUSE, tell)
    finally:
        wipe()
    if out is not None:
        put_all(out, trial.papers, over=True)
    if trial.mistakes:
        print(grouped(trial.mistakes), end="\n\n")
    wrong = counted(trial.mistakes)["error"]
    whole = "each whole" if not wrong else f"{wrong} that cannot be"
    print(f"{len(trial.papers)} papers set with “{name}”, {whole}.")
    return 1 if wrong else 0


#: A house that is hard to set.
HARD_HOUSE = Path(__file__).parent / "trial_house"
