"""A style as its mirror image: what stood at the left stands at the right, for a paper that is read
from the right.

Belongs here: which parts of a style have a side, and the same with it changed. Does not belong
here: which papers are mirrored (paper/typeset.py), which way their words run (paper/bearing.py).

So a theme is written once, from the left, and papers from the right come for nothing. Lines stay
where they are: a complaint of WeasyPrint names a line of the theme. See CSS Writing Modes 4, §2.1,
for what logical properties would do; themes would have to be written in them.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence
from functools import cache
from itertools import pairwise
from typing import Any, Final, TypeAlias

Nodes: TypeAlias = list[Any]

#: Left and right as a part of a longer name: of a property, or of a margin box of pages.
_SIDE: Final = re.compile(r"(?<![a-z])(left|right)(?![a-z])")
_OTHER: Final = {"left": "right", "right": "left", "ltr": "rtl", "rtl": "ltr"}
#: Properties whose four values go around the box: above, right, below, left.
_AROUND: Final = frozenset(
    {"margin", "padding", "border-width", "border-style", "border-color", "inset"}
)
#: Those of which a word may name a side, besides what they are called.
_WITH_WORDS: Final = frozenset(
    {
        "text-align", "text-align-all", "text-align-last", "float", "clear", "break-before",
        "break-after", "page-break-before", "page-break-after", "background", "background-image",
        "background-position", "object-position", "transform-origin", "justify-content",
        "justify-items", "justify-self",
    }
)  # fmt: skip
#: Those whose first length counts from the left.
_FROM_LEFT: Final = frozenset({"transform-origin", "background-position", "object-position"})
#: Functions that turn, or shift along a line: the other way round.
_TURNS: Final = frozenset({"rotate", "rotatez", "skew", "skewx", "skewy"})
_SHIFTS: Final = frozenset({"translate", "translatex"})
_GRADIENTS: Final = frozenset({"linear-gradient", "repeating-linear-gradient"})


@cache
def mirrored(style: str) -> str:
    """A style sheet, mirrored; what cannot be read is left as it is, for WeasyPrint to tell."""
    import tinycss2

    return _written(_rules(tinycss2.parse_stylesheet(style)))


def mirrored_values(declarations: str) -> str:
    """The same of what stands in a `style` attribute."""
    import tinycss2

    return _written(_block(tinycss2.parse_blocks_contents(declarations)))


def other_side(name: str) -> str:
    """A name with left for right and right for left: “border-top-left-radius”, “@top-right”."""
    return _SIDE.sub(lambda found: _OTHER[found[1]], name)


def _written(nodes: Iterable[Any]) -> str:
    import tinycss2

    return str(tinycss2.serialize([*nodes]))


def _rules(rules: Nodes) -> Nodes:
    for rule in rules:
        if rule.type == "qualified-rule":
            rule.prelude = _selector(rule.prelude)
            rule.content = _declared(rule.content)
        elif rule.type == "at-rule":
            _at_rule(rule)
    return rules


def _at_rule(rule: Any) -> None:
    """A page with its margin boxes; or rules that hold under a condition."""
    import tinycss2

    rule.at_keyword = rule.lower_at_keyword = other_side(rule.lower_at_keyword)
    if rule.content is None or rule.lower_at_keyword == "font-face":
        return
    if rule.lower_at_keyword in ("media", "supports"):
        rule.content = _rules(tinycss2.parse_rule_list(rule.content))
        return
    rule.prelude = _sided_pages(rule.prelude)
    rule.content = _declared(rule.content)


def _sided_pages(prelude: Nodes) -> Nodes:
    """`:left` and `:right`; a page that is called so by its author keeps its name."""
    for before, node in pairwise(prelude):
        if before == ":" and node.type == "ident":
            node.value = node.lower_value = _OTHER.get(node.lower_value, node.value)
    return prelude


def _selector(prelude: Nodes) -> Nodes:
    """What is said of words that run against the paper is said of the others."""
    for node in prelude:
        if node.type == "[] block" and _written(node.content).lstrip().startswith("dir"):
            for part in node.content:
                if part.type in ("string", "ident") and part.value in _OTHER:
                    part.value = _OTHER[part.value]
                    if part.type == "string":
                        part.representation = f'"{part.value}"'
        elif node.type == "function":
            node.arguments = _selector(node.arguments)
    return prelude


def _declared(content: Nodes) -> Nodes:
    import tinycss2

    return _block(tinycss2.parse_blocks_contents(content))


def _block(parts: Nodes) -> Nodes:
    for part in parts:
        if part.type == "declaration" and not part.name.startswith("--"):
            name = part.lower_name
            part.name = part.lower_name = other_side(name)
            part.value = _value(name, part.value)
        elif part.type == "at-rule":
            _at_rule(part)
        elif part.type == "qualified-rule":
            _rules([part])
    return parts


def _value(name: str, value: Nodes) -> Nodes:
    if name in _AROUND:
        return _reordered(value, lambda four: [four[n] for n in (0, 3, 2, 1)])
    if name == "border-radius":
        return _reordered(value, lambda four: [four[n] for n in (1, 0, 3, 2)])
    if name == "transform":
        return [_turned(node) for node in value]
    if name in _WITH_WORDS:
        value = [_word(node) for node in value]
    return _from_right(value) if name in _FROM_LEFT else value


def _word(node: Any) -> Any:
    """A side that is named, in a gradient too: `to right`."""
    if node.type == "ident" and node.lower_value in ("left", "right"):
        node.value = node.lower_value = _OTHER[node.lower_value]
    elif node.type == "function" and node.lower_name in _GRADIENTS:
        node.arguments = [_word(one) for one in _negated_first(node.arguments, "dimension")]
    return node


def _turned(node: Any) -> Any:
    if node.type == "function" and node.lower_name in _TURNS:
        node.arguments = [_negated(one) for one in node.arguments]
    elif node.type == "function" and node.lower_name in _SHIFTS:
        node.arguments = _negated_first(node.arguments, "dimension", "percentage", "function")
    return node


def _negated_first(arguments: Nodes, *kinds: str) -> Nodes:
    """The first of some arguments the other way round, where it is of a kind."""
    first = next((n for n, node in enumerate(arguments) if node.type != "whitespace"), None)
    if first is None or arguments[first].type not in kinds:
        return arguments
    return [*arguments[:first], _negated(arguments[first]), *arguments[first + 1 :]]


def _negated(node: Any) -> Any:
    if node.type not in ("dimension", "percentage", "function"):
        return node
    return _read(f"calc(-1 * {_written([node])})" if node.type == "function" else _minus(node))


def _minus(node: Any) -> str:
    said = _written([node])
    return said[1:] if said.startswith("-") else said if node.value == 0 else f"-{said}"


def _from_right(value: Nodes) -> Nodes:
    """The first of the lengths, counted from the other side."""
    first = value[:1] if value and value[0].type != "whitespace" else value[1:2]
    if not first or first[0].type not in ("dimension", "percentage", "number", "function"):
        return value
    said = _written(first)
    of_all = "100%" if getattr(first[0], "value", None) == 0 else f"calc(100% - {said})"
    at = value.index(first[0])
    return [*value[:at], _read(of_all), *value[at + 1 :]]


def _read(said: str) -> Any:
    import tinycss2

    return tinycss2.parse_one_component_value(said)


def _reordered(value: Nodes, order: Callable[[Sequence[str]], list[str]]) -> Nodes:
    """The values of four sides or corners in another order; fewer than four are told in full."""
    import tinycss2

    words = [_written([node]) for node in value if node.type not in ("whitespace", "comment")]
    if not 2 <= len(words) <= 4 or "/" in words:
        return value
    four = [*words, words[1]] if len(words) == 3 else (words * 2)[:4]
    return [*tinycss2.parse_component_value_list(" " + " ".join(order(four)))]
