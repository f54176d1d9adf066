"""Gather every phrase of pages and papers, and say what each language lacks.

    python .ci/catalogue.py           writes the template (.pot), and each .po with what is new or
                                      gone, then says what it still lacks
    python .ci/catalogue.py --check   changes nothing: exit 1 where a file is not what this would
                                      write, a phrase has no translation, or its figures differ

Phrases are found by Babel in Python (press) and in the templates of the themes, and by `TABLES` in
the tables whose words people read. To add a language, copy the template to
locale/<language>/LC_MESSAGES/anthocard.po with its head, and translate.
"""

from __future__ import annotations

import argparse
import re
import sys
from collections.abc import Iterator
from io import BytesIO
from pathlib import Path
from typing import Any

import yaml
from babel.messages.catalog import Catalog, Message
from babel.messages.extract import extract_from_file
from babel.messages.pofile import read_po, write_po

ROOT = Path(__file__).parents[1]
PACKAGE = ROOT / "generator" / "anthocard"
LOCALE = PACKAGE / "press" / "base" / "locale"
TEMPLATE = LOCALE / "anthocard.pot"
KEYWORDS: dict[str, Any] = {
    "_": None,
    "gettext": None,
    "ngettext": (1, 2),
    "pgettext": ((1, "c"), 2),
    "npgettext": ((1, "c"), 2, 3),
}
#: How the themes' templates are read; the same as in press/base/theme.py.
JINJA = ("trimmed", "trim_blocks", "lstrip_blocks", "newstyle_gettext")
#: The units that are words and no signs.
COUNTS = (
    "drop|dash|barspoon|tsp|leaf|sprig|slice|wedge|peel|petal|flower|squeeze|cube|pinch|rinse|spray"
    "|top"
)
#: The table, where in it the words stand (* is any key or place of a list, a|b either of two), and
#: what they are: the context their translation is asked for by. `keys` takes the keys themselves.
TABLES = (
    ("facts/colour/names.yaml", "tiers.*.ring.*.1", "colour"),
    ("facts/colour/names.yaml", "families.keys", "colour family"),
    ("facts/colour/pigments.yaml", "plants.*.label", "plant"),
    ("facts/colour/pigments.yaml", "plants.*.part", "plant part"),
    ("engine/trade/wallchart.yaml", "doses.keys", "dose"),
    ("facts/law/allergens.yaml", "allergens.*.label", "allergen"),
    ("facts/chemistry/alcohol.yaml", "drinks.*.label", "standard drink"),
    ("facts/law/needs.yaml", "needs.*.label", "need"),
    ("facts/law/rules.yaml", "universal.*.guest", "caution"),
    ("facts/law/rules.yaml", "local.*.guest", "caution"),
    ("facts/law/rules.yaml", "universal.*.staff", "caution"),
    ("facts/law/rules.yaml", "local.*.staff", "caution"),
    ("facts/law/rules.yaml", "closing.*.staff", "caution"),
    ("facts/law/rules.yaml", "universal.*.label", "caution"),
    ("facts/law/rules.yaml", "local.*.label", "caution"),
    ("facts/law/rules.yaml", "_defer", "caution"),
    ("facts/law/rules.yaml", "universal.*.leave_out", "allergen"),
    ("facts/law/shelf_life.yaml", "policy.*.words", "limit"),
    ("facts/chemistry/kinetics.yaml", "unread.*.words", "fading"),
    ("facts/chemistry/acids.yaml", "acids.*.label", "acid"),
    ("engine/trust/findings.yaml", "inputs.*.words", "input"),
    ("engine/trust/findings.yaml", "fits.*.words", "fit"),
    ("engine/trust/findings.yaml", "gave_way.*.words", "gave way"),
    ("press/words/glossary.yaml", "words.keys", "term"),
    ("press/words/glossary.yaml", "words.*.words", "glossary"),
    ("press/words/log_sheets.yaml", "sheets.*.title|note", "log"),
    ("press/words/log_sheets.yaml", "sheets.*.columns.*", "log"),
    ("facts/law/hazards_limits.yaml", "*.*.called", "hazard"),
    ("facts/law/shelf_life.yaml", "policy.*.store", "store"),
    ("facts/colour/names.yaml", "families.*.pattern", "pattern"),
    ("facts/units/measures.yaml", f"units.{COUNTS}.spellings.*", "unit"),
    ("engine/mix/methods.yaml", "methods.keys", "method"),
    ("engine/mix/methods.yaml", "methods.*.words", "worked"),
    ("engine/mix/methods.yaml", "methods.*.up", "served"),
    ("engine/mix/methods.yaml", "ices.*.words", "served"),
    ("press/words/sharpness.yaml", "sharpness.*.words", "sharpness"),
    ("press/words/prep.yaml", "containers.*.words", "container"),
    ("press/html/choosing.yaml", "strength.*.words", "choice"),
    ("press/html/choosing.yaml", "balance.*.words", "choice"),
    ("press/html/choosing.yaml", "diet.*.words", "diet"),
    ("press/words/guest_words.yaml", "words.*.words", "ingredient"),
)
#: Words of a table that are counted: in English with an s.
COUNTED = frozenset({"standard drink"})
#: Words that the code has for states and kinds, where they stand in no table.
STATES = {
    "allergen state": ("contains", "may contain", "unchecked", "none known"),
    "lot verdict": ("pass", "correct", "discard", "unread"),
    "decision": ("loosened", "permitted", "tightened"),
    "kind": ("drink", "infusion", "solution", "syrup", "preparation"),
    "colour": ("colour not known",),
    "strainer": ("a fine strainer", "a cloth", "a paper filter"),
    "culture": ("lactic", "kombucha", "tepache", "ginger bug", "yeast"),
    "gas": ("nitrogen", "carbon dioxide", "mixed gas"),
    "gas vessel": ("bottle", "plastic bottle", "keg", "siphon"),
    "eye": ("normal", "weak in red", "weak in green", "weak in blue"),
    "fading": ("no published fading rate",),
    "limit": ("its recipe says so",),
    "how": (
        "read",
        "second-hand",
        "computed",
        "measured",
        "memory",
        "fitted",
        "chosen",
        "practice",
    ),
    "citation": ("house stock list", "common practice, no source"),
    "source": (
        "stock",
        "pigment",
        "acid",
        "method",
        "method without ice",
        "dilution",
        "pH",
        "colour",
        "ethanol and pK",
        "strength and contraction",
        "activity coefficients",
        "screen",
        "light and observer",
        "ethanol beyond 20 % vol",
        "glass electrode in ethanol",
    ),
    "lies": ("oak cask", "glass", "steel"),
    "reveal": ("poured", "dropped", "squeezed", "layered", "frozen", "mist", "topped"),
}
FIGURES = re.compile(r"%\(\w+\)[sd]|\{\w*(?:[:!][^}]*)?\}")


def phrases() -> Catalog:
    """Every phrase of code, templates and tables."""
    found = Catalog(domain="anthocard", charset="utf-8", fuzzy=False)
    for path in sorted((PACKAGE / "press").rglob("*.py")):
        _add(found, extract_from_file("python", path, KEYWORDS))
    for path in sorted((ROOT / "themes").rglob("*.html")):
        _add(
            found, extract_from_file("jinja2", path, KEYWORDS, options=dict.fromkeys(JINJA, "true"))
        )
    for name, where, context in TABLES:
        table = yaml.safe_load((PACKAGE / name).read_text(encoding="utf-8"))
        words = sorted(set(_words(table, where.split("."))))
        if not words:
            sys.exit(f"{name}: nothing stands under {where}")
        for word in words:
            found.add((word, f"{word}s") if context in COUNTED else word, context=context)
    for context, states in STATES.items():
        for word in states:
            found.add(word, context=context)
    return found


def _add(found: Catalog, extracted: Any) -> None:
    for _, message, _, context in extracted:
        found.add(message, context=context)


def _words(node: Any, steps: list[str]) -> Iterator[str]:
    if not steps:
        if isinstance(node, str) and node:
            yield node
        return
    step, rest = steps[0], steps[1:]
    if step == "keys":
        yield from node
    elif step == "*":
        for one in node.values() if isinstance(node, dict) else node:
            yield from _words(one, rest)
    elif isinstance(node, list):
        yield from _words(node[int(step)], rest)
    elif isinstance(node, dict):
        for key in step.split("|"):
            yield from _words(node.get(key), rest)


def languages() -> dict[str, Catalog]:
    """The catalogue of each language, by its name."""
    read = {}
    for path in sorted(LOCALE.glob("*/LC_MESSAGES/anthocard.po")):
        with path.open("rb") as file:
            read[path.parents[1].name] = read_po(file, locale=path.parents[1].name)
    return read


def merged(known: Catalog, wanted: Catalog) -> Catalog:
    """The catalogue with a place for every phrase that is wanted, and nothing else."""
    made = Catalog(locale=known.locale, charset="utf-8", fuzzy=False)
    for message in wanted:
        if message.id:
            old = known.get(message.id, message.context)
            empty = ("",) * made.num_plurals if message.pluralizable else ""
            kept = old is not None and old.pluralizable == message.pluralizable
            made.add(message.id, old.string if old and kept else empty, context=message.context)
    return made


def faults(name: str, known: Catalog, wanted: Catalog) -> Iterator[str]:
    """What a language lacks or has too much, phrase by phrase, and figures that got lost."""
    for message in wanted:
        if not message.id:
            continue
        here = known.get(message.id, message.context)
        strings = _strings(here) if here else ()
        if not all(strings) or not strings:
            yield f"{name} lacks {_shown(message)}"
            continue
        ids = message.id if isinstance(message.id, tuple) else (message.id,)
        # One of something may be told without its number: “one serve”.
        asked = [_figures(text) for text in ids]
        for string in strings:
            if _figures(string) not in asked:
                yield f"{name} has other figures: {_shown(message)}: {string}"
    for message in known:
        if message.id and wanted.get(message.id, message.context) is None:
            yield f"{name} has too much: {_shown(message)}"


def _figures(text: str) -> list[str]:
    return sorted(FIGURES.findall(text))


def _strings(message: Message) -> tuple[str, ...]:
    return message.string if isinstance(message.string, tuple) else (message.string,)


def _shown(message: Message) -> str:
    text = message.id[0] if isinstance(message.id, tuple) else message.id
    return f"“{text}”" + (f" ({message.context})" if message.context else "")


def written(catalogue: Catalog, head: str = "") -> bytes:
    """A catalogue as it stands in its file: in the order of the phrases, without dates or places.

    So two branches that add phrases meet without conflict more often than not.
    """
    out = BytesIO()
    write_po(out, catalogue, width=100, no_location=True, omit_header=True, sort_output=True)
    return head.encode() + out.getvalue()


def head(path: Path) -> str:
    """The comment and the first entry of a .po, which its translators keep."""
    return path.read_text(encoding="utf-8").partition("\n\n")[0] + "\n\n"


def main() -> int:
    """Write the files, or say what they lack."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("--check", action="store_true", help="change nothing, say what is amiss")
    only_check = parser.parse_args().check
    wanted, told = phrases(), []
    files = {TEMPLATE: written(wanted)}
    for name, known in languages().items():
        path = LOCALE / name / "LC_MESSAGES" / "anthocard.po"
        files[path] = written(merged(known, wanted), head(path))
        told += faults(name, known, wanted)
    for path, new in files.items():
        if not path.is_file() or path.read_bytes() != new:
            if only_check:
                told.append(f"{path.relative_to(ROOT)} is not what .ci/catalogue.py would write")
            else:
                path.write_bytes(new)
    print("\n".join(told), end="\n" if told else "")
    return 1 if told else 0


if __name__ == "__main__":
    sys.exit(main())
