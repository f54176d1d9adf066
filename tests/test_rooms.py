"""The house of code keeps its measure: rooms nobody gets lost in, names that mean one thing."""

from __future__ import annotations

import ast
import io
import re
import shutil
import subprocess
import sys
import tokenize
from collections import Counter
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
PACKAGE = ROOT / "generator" / "anthocard"
MODULES = [path for path in PACKAGE.rglob("*.py") if path.name != "__init__.py"]
MOST_IN_A_ROOM = {"commands": 24}  # of any other: 16


def test_no_room_has_more_modules_than_can_be_looked_over() -> None:
    """A list of sixteen names is read at a glance; commands are an index of their own."""
    rooms = Counter(path.parent for path in MODULES)
    crowded = {
        room.name: count for room, count in rooms.items()
        if count > MOST_IN_A_ROOM.get(room.name, 16)
    }  # fmt: skip
    assert not crowded


def test_no_two_modules_have_one_name() -> None:
    """Whoever is told a name finds the module, not two of them."""
    stems = Counter(path.stem for path in MODULES)
    assert not [stem for stem, count in stems.items() if count > 1]


def test_rooms_import_downwards_only() -> None:
    """The contracts of pyproject.toml hold: floors, and the rooms of engine and press."""
    found = shutil.which("lint-imports", path=Path(sys.executable).parent)
    if found is None:
        pytest.skip("import-linter is not installed")
    ran = subprocess.run([found, "--no-cache"], cwd=ROOT, capture_output=True, text=True)
    assert ran.returncode == 0, ran.stdout
    assert "0 broken" in ran.stdout


@pytest.mark.parametrize("module", MODULES, ids=lambda path: str(path.relative_to(PACKAGE)))
def test_a_module_is_read_in_one_sitting(module: Path) -> None:
    """About 300 lines at most, and its head says what belongs there."""
    text = module.read_text(encoding="utf-8")
    assert len(text.splitlines()) <= 310
    assert ast.get_docstring(ast.parse(text))


LAYOUT = {
    tokenize.COMMENT, tokenize.NL, tokenize.NEWLINE, tokenize.INDENT, tokenize.DEDENT,
    tokenize.ENDMARKER,
}  # fmt: skip


def code_lines(text: str) -> int:
    """Lines on which a token of the program stands: no blank line, comment or docstring."""
    tokens = tokenize.generate_tokens(io.StringIO(text).readline)
    coded = {n for t in tokens if t.type not in LAYOUT for n in range(t.start[0], t.end[0] + 1)}
    alone = (node for node in ast.walk(ast.parse(text)) if isinstance(node, ast.Expr))
    said = (node for node in alone if isinstance(node.value, ast.Constant))
    return len(coded.difference(*(range(one.lineno, (one.end_lineno or 0) + 1) for one in said)))


def test_the_machinery_of_a_build_stays_small() -> None:
    """What plans, keeps and makes files, whatever is in them: at most 900 lines of code."""
    sample = '"""Head."""\n\nX = (\n    1,\n)  # why\n\n\ndef f() -> str:\n    """What."""\n    return """a\nb"""\n'
    assert code_lines(sample) == 3 + 1 + 2
    rooms = (PACKAGE / "press" / "build", PACKAGE / "press" / "store")
    modules = [path for room in rooms for path in room.rglob("*.py")]
    assert len(modules) > 9
    assert sum(code_lines(path.read_text(encoding="utf-8")) for path in modules) <= 900


def test_the_picture_of_the_rooms_is_the_house() -> None:
    """Every folder of the package stands in the tree that DEVELOPERS shows, where it is, and no other."""
    developers = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    tree = re.search(r"(?ms)^generator/anthocard/\n(.*?)^themes/", developers)
    assert tree is not None
    above: list[str] = []
    shown = set()
    for line in tree[1].splitlines():
        found = re.match(r"( +)([a-z]+)/", line)
        if found is None:
            continue
        above = [*above[: len(found[1]) // 2 - 1], found[2]]
        shown.add("/".join(above))
    there = {
        path.parent.relative_to(PACKAGE).as_posix()
        for path in PACKAGE.rglob("__init__.py") if path.parent != PACKAGE
    }  # fmt: skip
    assert shown == there


@pytest.mark.parametrize("word", ["Pending", "ContextVar", "contextvars", "pickle"])
def test_what_is_gone_stays_gone(word: str) -> None:
    """No control flow by exception or by context variable, and nothing is unpickled."""
    code = re.compile(rf"^(?!\s*#).*\b{word}\b", re.MULTILINE)
    assert not [path.name for path in MODULES if code.search(path.read_text(encoding="utf-8"))]


def test_no_two_classes_have_one_name() -> None:
    """A type that is read in one module is not another of the same name somewhere else."""
    trees = (ast.walk(ast.parse(path.read_text(encoding="utf-8"))) for path in MODULES)
    names = Counter(node.name for tree in trees for node in tree if isinstance(node, ast.ClassDef))
    assert not [name for name, count in names.items() if count > 1]
