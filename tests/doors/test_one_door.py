"""No write, rename or delete outside the one door: every module is read for calls that do such."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parents[2] / "generator" / "anthocard"
DOOR = PACKAGE / "disk"
#: Calls that change the disk, whatever they are called on.
CHANGES = {
    "write_text", "write_bytes", "unlink", "remove", "removedirs", "rmdir", "rmtree", "rename",
    "renames", "mkdir", "makedirs", "mkstemp", "mkdtemp", "mkfifo", "mknod", "link", "symlink",
    "symlink_to", "hardlink_to", "utime", "touch", "chmod", "chown", "lchmod", "truncate",
    "ftruncate", "copyfile", "copy2", "copytree", "copymode", "copystat", "move", "fdopen",
    "TemporaryDirectory", "TemporaryFile", "NamedTemporaryFile", "SpooledTemporaryFile",
}  # fmt: skip
#: Of lists, sets and texts, and so no call of the disk where something else stands before it.
ALSO_OF_OTHERS = {"remove", "link", "move"}
MODULES_OF_THE_DISK = {"os", "shutil", "tempfile", "pathlib"}


def changes(source: str) -> list[str]:
    """What a module does to the disk, each with its line."""
    return [
        f"{node.lineno}: {ast.unparse(node)}"
        for node in ast.walk(ast.parse(source))
        if isinstance(node, ast.Call) and _changes(node)
    ]


def _changes(call: ast.Call) -> bool:
    what = call.func
    if isinstance(what, ast.Name):
        return what.id == "open" and _opened_to_write(call, 1)
    if not isinstance(what, ast.Attribute):
        return False
    before = what.value.id if isinstance(what.value, ast.Name) else ""
    if what.attr in CHANGES:
        return what.attr not in ALSO_OF_OTHERS or before in MODULES_OF_THE_DISK
    if what.attr == "replace":  # of a text with two words, of a value with keywords, else of a file
        return before == "os" or (len(call.args) == 1 and not call.keywords)
    if what.attr == "open":
        if before == "os":
            flags = ast.unparse(call)
            return any(word in flags for word in ("O_WRONLY", "O_RDWR", "O_CREAT", "O_TRUNC"))
        return before not in ("pikepdf", "webbrowser") and _opened_to_write(
            call, 0 if before != "io" else 1
        )
    return False


def _opened_to_write(call: ast.Call, at: int) -> bool:
    modes = [*call.args[at : at + 1], *(k.value for k in call.keywords if k.arg == "mode")]
    return any(
        isinstance(mode, ast.Constant)
        and isinstance(mode.value, str)
        and set(mode.value) & set("wax+")
        for mode in modes
    )


def modules() -> list[Path]:
    return [path for path in sorted(PACKAGE.rglob("*.py")) if not path.is_relative_to(DOOR)]


@pytest.mark.parametrize("path", modules(), ids=lambda path: str(path.relative_to(PACKAGE)))
def test_no_module_changes_the_disk_but_by_the_door(path: Path) -> None:
    """What is needed there belongs into anthocard.disk, where it is broken and attacked by tests."""
    assert changes(path.read_text(encoding="utf-8")) == []


@pytest.mark.parametrize(
    "line",
    [
        "path.write_text('x')", "Path('x').write_bytes(b'')", "path.unlink()", "os.unlink(x)",
        "shutil.rmtree(x)", "os.replace(a, b)", "path.replace(other)", "path.rename(other)",
        "open(x, 'w')", "open(x, mode='ab')", "path.open('x')", "io.open(x, 'r+')", "os.link(a, b)",
        "os.open(x, os.O_WRONLY | os.O_CREAT)", "tempfile.mkstemp()", "path.mkdir(parents=True)",
        "path.touch()", "os.utime(path)", "path.symlink_to(x)", "os.remove(x)", "os.truncate(x, 0)",
        "with tempfile.TemporaryDirectory() as x: pass", "shutil.move(a, b)", "path.chmod(0)",
    ],
)  # fmt: skip
def test_the_search_finds_each_way(line: str) -> None:
    """The trap can snap, for every call that changes the disk."""
    assert changes(line)


@pytest.mark.parametrize(
    "line",
    [
        "text.replace('a', 'b')", "replace(value, a=1)", "value.replace(a=1)", "names.remove('x')",
        "open(x)", "open(x, 'rb')", "path.open('rb', buffering=0)", "os.open(x, os.O_RDONLY)",
        "path.read_text()", "pikepdf.open(x)", "webbrowser.open(address)", "page.link(x)",
    ],
)  # fmt: skip
def test_the_search_leaves_others_alone(line: str) -> None:
    """Reading, and what texts, lists and values do, is no business of the door."""
    assert changes(line) == []


def test_the_door_is_a_floor_of_its_own() -> None:
    """It imports nothing else of this package, so that every floor may use it."""
    for path in DOOR.glob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("anthocard"):
                assert (node.module or "").startswith("anthocard.disk"), path
