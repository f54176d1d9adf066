"""anthocard completion: a script for bash, zsh or fish, made from the parsers themselves."""

from __future__ import annotations

import argparse
from collections.abc import Iterator

from anthocard.commands.reference import commands, options_of, takes_value, words_for

EXAMPLE = """\
Put the line for your shell into its start-up file:
  bash   eval "$(anthocard completion bash)"
  zsh    eval "$(anthocard completion zsh)"
  fish   anthocard completion fish | source

examples:
  anthocard completion bash
"""
SHELLS = ("bash", "zsh", "fish")
NAMES = "names"
#: The script's own word for a list of names, one a line; where there is no house here, of none.
_ASK = f"anthocard completion {NAMES} 2>/dev/null"


def describe(parser: argparse.ArgumentParser) -> None:
    """Options of this command."""
    parser.epilog = EXAMPLE
    parser.add_argument(
        "shell", metavar="SHELL", choices=(*SHELLS, NAMES),
        help="bash, zsh or fish; names prints what the house here calls its things",
    )  # fmt: skip


def run(options: argparse.Namespace) -> int:
    """Print the script, or the names that it asks for."""
    if options.shell == NAMES:
        print("\n".join(_names()))
        return 0
    write = {"bash": _bash, "zsh": _zsh, "fish": _fish}[options.shell]
    print("\n".join(write(options.whole_parser())))
    return 0


def _names() -> list[str]:
    """What the house around this folder calls its recipes and its own stock; none without one."""
    from anthocard.diagnostics.diagnostic import AuthorError
    from anthocard.house.collection import page_key
    from anthocard.terminal.houses import house_folder, sound_house

    try:
        collection, _ = sound_house(house_folder(None))
    except AuthorError:
        return []
    own = [item.name for item in collection.stock.values() if page_key(item) in collection.pages]
    return sorted({*(recipe.name for recipe in collection.recipes), *own})


def _bash(parser: argparse.ArgumentParser) -> Iterator[str]:
    yield "_anthocard() {"
    yield '  local word="${COMP_WORDS[COMP_CWORD]}" last="${COMP_WORDS[COMP_CWORD-1]}" offered=""'
    yield '  if [ "$COMP_CWORD" -eq 1 ]; then'
    yield f'    offered="{" ".join([*commands(parser), *options_of(parser)])}"'
    yield "  else"
    yield '    case "${COMP_WORDS[1]} $last" in'
    for name, room in commands(parser).items():
        for option, words in words_for(room).items():
            yield f'      "{name} {option}") offered="{" ".join(words)}" ;;'
        for words in _places(room):
            yield f'      "{name} {name}") offered="{" ".join(words)}" ;;'
    yield "    esac"
    yield '    if [ -z "$offered" ]; then case "${COMP_WORDS[1]}" in'
    for name, room in commands(parser).items():
        yield f'      {name}) offered="{" ".join(options_of(room))}" ;;'
    yield "    esac; fi"
    yield "  fi"
    yield '  COMPREPLY=($(compgen -W "$offered" -- "$word"))'
    yield "  if [ ${#COMPREPLY[@]} -eq 0 ]; then"
    yield '    COMPREPLY=($(compgen -f -- "$word"))'
    # compared, never expanded: a name is whatever somebody wrote
    yield '    local name plain="${word//[\\\\\\"\\\']/}"'
    yield "    while IFS= read -r name; do"
    yield '      [[ -n "$name" && "${name,,}" == "${plain,,}"* ]] && COMPREPLY+=("$name")'
    yield f"    done < <({_ASK})"
    yield "  fi"
    yield "}"
    yield "complete -o filenames -F _anthocard anthocard"


def _zsh(parser: argparse.ArgumentParser) -> Iterator[str]:
    yield "#compdef anthocard"
    yield "_anthocard_names() {"
    yield "  local -a names"
    yield f'  names=("${{(@f)$({_ASK})}}")'
    yield "  compadd -M 'm:{a-z}={A-Z}' -a names"
    yield "  _files"
    yield "}"
    yield "_anthocard() {"
    yield "  if (( CURRENT == 2 )); then"
    yield "    local -a offered=("
    for name, room in commands(parser).items():
        yield f"      {_quoted(f'{name}:{room.description}')}"
    yield "    )"
    yield "    _describe command offered"
    yield "    return"
    yield "  fi"
    yield "  case ${words[2]} in"
    for name, room in commands(parser).items():
        yield f"    {name}) shift words; (( CURRENT-- )); _arguments \\"
        values, few = takes_value(room), words_for(room)
        for option, about in options_of(room).items():
            value = f":value:({' '.join(few[option])})" if option in few else ":value:_files"
            about = about.replace("[", "(").replace("]", ")").replace(":", "\\:").replace("%%", "%")
            yield f"      {_quoted(f'{option}[{about}]' + (value if option in values else ''))} \\"
        words = [f"({' '.join(words)})" for words in _places(room)]
        yield f"      {_quoted('*:what:' + (words[0] if words else '_anthocard_names'))} ;;"
    yield "  esac"
    yield "}"
    yield "compdef _anthocard anthocard"


def _fish(parser: argparse.ArgumentParser) -> Iterator[str]:
    for name, room in commands(parser).items():
        yield (
            "complete -c anthocard -n __fish_use_subcommand -f "
            f"-a {name} -d {_quoted(room.description or '')}"
        )
        values, few = takes_value(room), words_for(room)
        for option, about in options_of(room).items():
            sort = f"-l {option[2:]}" if option.startswith("--") else f"-s {option[1:]}"
            value = " -r" if option in values else ""
            value += f" -f -a {_quoted(' '.join(few[option]))}" if option in few else ""
            yield (
                f"complete -c anthocard -n '__fish_seen_subcommand_from {name}' {sort}{value} "
                f"-d {_quoted(about.replace('%%', '%'))}"
            )
        for words in _places(room) or [(f"({_ASK})",)]:
            yield (
                f"complete -c anthocard -n '__fish_seen_subcommand_from {name}' -f "
                f"-a {_quoted(' '.join(words))}"
            )


def _places(room: argparse.ArgumentParser) -> list[tuple[str, ...]]:
    """The words that may stand without an option, where there are only a few."""
    return [
        tuple(map(str, action.choices))
        for action in room._actions
        if not action.option_strings and action.choices is not None
    ]


def _quoted(text: str) -> str:
    return "'" + text.replace("'", "'\\''") + "'"
