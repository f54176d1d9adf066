"""Closed doors of a whole house: links that lead out, strangers' themes, names that collide."""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
import tracemalloc
from pathlib import Path
from typing import Any

import pytest
from anthocard.commands.export import plain_cell
from anthocard.diagnostics.diagnostic import AuthorError
from anthocard.house.files import FOLDERS, slug
from anthocard.house.reader import read_house, read_sound
from anthocard.press.base.markdown import markdown_html
from anthocard.press.base.theme import Theme, find_theme
from anthocard.press.build.fingerprint import fingerprint
from anthocard.press.server.desk import snapshot
from hypothesis import given, strategies as st

from tests.patience import processor_time

ROOT = Path(__file__).parents[2]
STARTER = ROOT / "generator" / "anthocard" / "commands" / "starter"
CANARY = "CANARY-7f3a9c"


@pytest.fixture
def house(tmp_path: Path) -> Path:
    """The starter house, and one preparation: it has none of its own."""
    shutil.copytree(STARTER, tmp_path / "house")
    preparation = ROOT / "recipes" / "preparations" / "clear-lemon.md"
    (tmp_path / "house" / "preparations").mkdir()
    shutil.copy(preparation, tmp_path / "house" / "preparations")
    (tmp_path / "canary.md").write_text(f"---\nname: x\n---\n{CANARY}\n")
    return tmp_path / "house"


@pytest.mark.parametrize(
    "where", ["drinks/x.md", "stock.yaml", "house.yaml", "infusions/x.md", "menus/x.md"]
)
def test_a_link_out_of_the_house_is_not_followed(where: str, house: Path) -> None:
    """Every file that is read may be a link; one that leads out is a mistake without its content."""
    (house / where).unlink(missing_ok=True)
    (house / where).symlink_to(house.parent / "canary.md")
    with pytest.raises(AuthorError) as caught:
        read_house(house)
    assert "outside-house" in {m.kind for m in caught.value.mistakes}
    assert CANARY not in str(caught.value)


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no pipes on this system")
def test_a_pipe_is_told_and_not_waited_for(house: Path) -> None:
    """A pipe under a recipe's name would be read for ever; the print of the house is taken too."""
    os.mkfifo(house / "drinks" / "pipe.md")
    (house / "stock.yaml").unlink()
    os.mkfifo(house / "stock.yaml")
    with pytest.raises(AuthorError) as caught:
        read_house(house)
    assert [m.place.path for m in caught.value.mistakes if m.kind == "no-file"] == [
        "house/drinks/pipe.md"
    ]
    assert fingerprint(house, ()) != fingerprint(house, ("other",))


def test_of_a_huge_file_no_more_is_read_than_tells_that_it_is_huge(house: Path) -> None:
    """64 GB of nothing under a recipe's name: a word, and little memory."""
    with (house / "drinks/huge.md").open("wb") as file:
        file.truncate(64 * 2**30)
    tracemalloc.start()
    with pytest.raises(AuthorError) as caught:
        read_house(house)
    most = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert "too-big" in {m.kind for m in caught.value.mistakes}
    assert most < 32 * 2**20


FOLDERS_OF_A_HOUSE = (".", "pictures", "themes/mine", *FOLDERS.values())


def test_films_beside_recipes_are_neither_read_nor_in_the_way(
    house: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """64 GB of film in every folder, and a pipe: not a byte of them is read, nothing is told, and
    the print of the house still tells its other files. The trap can snap: of a film that is called
    a recipe a megabyte is read, and the recipe alone falls."""
    for folder in FOLDERS_OF_A_HOUSE:
        (house / folder).mkdir(parents=True, exist_ok=True)
        with (house / folder / "film.mp4").open("wb") as file:
            file.truncate(64 * 2**30)
        os.mkfifo(house / folder / "pipe")
    read: list[int] = []
    real = os.open

    def watched(path: str, *given: Any, **named: Any) -> int:
        handle = real(path, *given, **named)
        if str(path).endswith((".mp4", "film.md", "pipe")):
            read.append(handle)
        return handle

    monkeypatch.setattr(os, "open", watched)
    before = fingerprint(house, ())
    assert [one.kind for one in read_house(house).warnings if "film" in one.place.path] == []
    assert len(snapshot(house)) > len(FOLDERS_OF_A_HOUSE)
    (house / "drinks" / "first-light.md").touch()
    assert fingerprint(house, ()) == before
    assert read == []
    (house / "drinks" / "film.mp4").rename(house / "drinks" / "film.md")
    assert fingerprint(house, ()) != before
    collection, mistakes = read_sound(house)
    assert [one.kind for one in mistakes if one.severity == "error"] == ["too-big"]
    assert len(collection.drinks) == 2
    assert read != []


def test_a_linked_folder_is_not_followed(house: Path) -> None:
    """A folder of the house that lies elsewhere: its files lead out."""
    elsewhere = house.parent / "elsewhere"
    shutil.move(house / "drinks", elsewhere)
    (house / "drinks").symlink_to(elsewhere, target_is_directory=True)
    with pytest.raises(AuthorError) as caught:
        read_house(house)
    assert {m.kind for m in caught.value.mistakes} >= {"outside-house"}


def test_no_module_of_the_current_folder_is_run(house: Path) -> None:
    """Processes that set papers start from a folder that may be a stranger's house.

    The trap can snap: Python itself, told what to run, takes a module of that name from there.
    """
    sprung = house.parent / "sprung"
    for name in ("select", "yaml", "weasyprint", "anthocard"):
        (house / f"{name}.py").write_text(f"open({str(sprung)!r}, 'w').write({name!r})\n")
    bare = {key: value for key, value in os.environ.items() if key != "PYTHONSAFEPATH"}
    subprocess.run([sys.executable, "-c", "import yaml"], cwd=house, check=False, env=bare)
    assert sprung.read_text() == "yaml"  # select is inside Python itself on some systems
    sprung.unlink()
    command = [Path(sys.executable).with_name("anthocard"), "publish", "--only", "First Light"]
    own = {**bare, "XDG_CACHE_HOME": str(house.parent / "own")}
    subprocess.run([*command, "--out", house.parent / "out"], cwd=house, check=True, env=own)
    assert (house.parent / "out" / "staff" / "cards" / "first-light.pdf").is_file()
    assert not sprung.exists(), sprung.read_text()


@pytest.mark.parametrize("name", ["tokens.css", "card.html", "fonts/x.ttf"])
def test_a_theme_with_a_link_out_is_refused(name: str, house: Path) -> None:
    """A stranger's theme may not bring a link to somebody's files."""
    path = house / "themes" / "stranger" / name
    path.parent.mkdir(parents=True)
    path.symlink_to(house.parent / "canary.md")
    with pytest.raises(AuthorError, match="leads out of the theme"):
        find_theme("stranger", house)


def test_a_theme_that_lies_elsewhere_is_refused(house: Path) -> None:
    """Nor may the theme itself be a link out of the house, nor a path for a name."""
    (house.parent / "far").mkdir()
    (house / "themes").mkdir()
    (house / "themes" / "far").symlink_to(house.parent / "far", target_is_directory=True)
    with pytest.raises(AuthorError, match="leads out"):
        find_theme("far", house)
    for name in ("../far", str(house.parent / "far"), "..", "."):
        with pytest.raises(AuthorError, match="no theme"):
            find_theme(name, house)


@pytest.mark.parametrize(
    "template",
    [
        "{% include '/etc/hostname' %}",
        "{% include '../../canary.md' %}",
        "{% include 'base/../../../canary.md' %}",
        "{% extends '../../../canary.md' %}",
        "{{ ''.__class__.__mro__[1].__subclasses__() }}",
        "{{ card.__class__.__init__.__globals__ }}",
        "{{ cycler.__init__.__globals__.os.popen('id').read() }}",
        "{{ lipsum.__globals__ }}",
        "{{ self.__init__.__globals__ }}",
        "{{ '{0.__class__.__mro__}'.format(card) }}",
        "{{ ('{0.__class__}' | attr('format'))(card) }}",
        "{{ card | attr('__class__') }}",
        "{% for i in range(10**9) %}{% endfor %}",
    ],
)
def test_a_template_cannot_leave_its_sandbox(template: str, tmp_path: Path) -> None:
    """Other files, Python's insides, and ranges without end are refused or come to nothing."""
    (tmp_path / "canary.md").write_text(CANARY)
    theme = tmp_path / "a" / "b" / "base"
    theme.mkdir(parents=True)
    (theme / "card.html").write_text(template)
    try:
        html = Theme("base", (theme,)).render("card.html", {"card": object(), "fit": ""})
    except AuthorError as refused:
        html = str(refused).replace(template, "")
    for word in (CANARY, "uid=", "<class", "subprocess", "&lt;class", "__builtins__"):
        assert word not in html


@pytest.mark.parametrize(
    "text",
    [
        "<script>alert(1)</script>", "<img src=x onerror=alert(1)>", "[x](javascript:alert(1))",
        "<a href='java&#9;script:alert(1)'>x</a>",
        "<a href='java\nscript:alert(1)'>x</a>", "<a href='&#1;javascript:alert(1)'>x</a>",
        "<a href='/&#9;/a.b'>x</a>", "[x](data:text/html,<script>)", "![x](http://a.b/c.png)",
        "<svg><script>1</script></svg>", "<svg onload=alert(1)>", "<iframe src=//a.b>",
        "<a href='//a.b/c'>x</a>", "<a href='\\\\a.b/c'>x</a>", "<style>@import '//a.b'</style>",
        "<p style='background:url(//a.b)'>x</p>", "<form action=//a.b><input></form>",
        "<math><mtext><img src onerror=alert(1)></mtext></math>", "<base href=//a.b>",
        "<link rel=stylesheet href=//a.b>", "<object data=//a.b>", "<meta http-equiv=refresh>",
        "<a href='&#106;avascript:alert(1)'>x</a>", "<td colspan=x onclick=y>", "<!--><script>-->",
        "[x]: javascript:alert(1)\n\n[x]", "<noscript><p title='</noscript><img src=x onerror=1>'>",
    ],
)  # fmt: skip
def test_words_bring_nothing_live(text: str) -> None:
    """Scripts, handlers, styles, frames and addresses of other hosts do not pass Markdown."""
    html = str(markdown_html(text))
    tags = re.findall(r"<[^>]*>", html)
    for word in ("script", "onerror", "onload", "onclick", "style", "<img", "<svg", "<iframe",
                 "<object", "<form", "<base", "<link", "<meta", "//a.b", "data:", "<math"):  # fmt: skip
        assert not [tag for tag in tags if word in tag.lower()], tags


@pytest.mark.parametrize(
    "unit",
    ["[", "![", "*", "* ", "`", "<", ">", "> \n", "[a](", "<a ", "|", "1. a\n", "_a", "**a", "&",
     "<!--", "a\n: b\n", "*[a]: b\n", "=\n", "\\", "[x]: ", "<?", "[^", "    ", "~~~\n", "<p>"],
)  # fmt: skip
def test_markdown_takes_its_time_from_nobody(unit: str) -> None:
    """Ten thousand characters of anything: done, or refused, within five seconds of a processor (two measured),
    and the next text is read as if nothing had been.
    """
    with processor_time() as spent:
        try:
            markdown_html(unit * (10_000 // len(unit)))
        except AuthorError as refused:
            kind = refused.mistakes[0].kind
        else:
            kind = "too-tangled"
    assert kind == "too-tangled"
    assert spent.seconds < 5
    assert 'href="x.html"' in markdown_html("[x](x.html)")


_NAMES = st.text(min_size=1, max_size=300)
_TRICKY = st.sampled_from(
    ["CON", "nul.", "Aux", "com1", "LPT9", "..", ".", "a/b", "a\\b", "a:b", "index", "INDEX",
     "Ta\u0308bles", "tables", "\u2024\u2024/x", "é", "e\u0301", "ﬁx", "a" * 300, "x\u202ey", "ß", "SS"]
)  # fmt: skip


@given(st.one_of(_NAMES, _TRICKY))
def test_names_of_pages_are_safe_everywhere(name: str) -> None:
    """Only a-z, 0-9 and hyphens, 60 at most, never a device of Windows nor a page of our own."""
    made = slug(name)
    assert re.fullmatch(r"(?:[a-z0-9](?:[a-z0-9-]{0,63}[a-z0-9])?)?", made)
    assert not re.fullmatch(r"con|prn|aux|nul|com\d|lpt\d|index|tables", made)


def test_files_that_would_be_one_page_are_refused(house: Path) -> None:
    """Two names that differ only in case, accents or folder would be one page: a mistake."""
    for first, second in (("drinks/Dew.md", "syrups/dew.md"), ("drinks/e.md", "syrups/é.md")):
        for name in (first, second):
            (house / name).write_text("---\nname: x\n---\n")
        with pytest.raises(AuthorError) as caught:
            read_house(house)
        assert "same-file-name" in {m.kind for m in caught.value.mistakes}
        for name in (first, second):
            (house / name).unlink()


@pytest.mark.parametrize(
    "front",
    ["kind: {a: b}", "kind: [drink]", "kind: drink\nname: x\ntranslations: {Nope!: {name: y}}"],
)
def test_what_fuzzing_found_is_a_mistake(front: str, house: Path) -> None:
    """Inputs of a longer run (tests/fuzz) that once left the reader as a fault of ours."""
    (house / "drinks" / "x.md").write_text(f"---\n{front}\n---\n")
    with pytest.raises(AuthorError):
        read_house(house)


@given(st.text(max_size=30))
def test_no_cell_is_a_formula(cell: str) -> None:
    """No exported cell starts with what a spreadsheet runs, and import gives the cell back."""
    plain = plain_cell(cell)
    assert not plain.startswith(("=", "+", "-", "@", "\t", "\r"))
    assert plain.removeprefix("'") == cell or not cell.startswith("'")


READING = """
import json, os, sys
seen, rang = set(), []
def heard(event, args):
    if event == "open" and isinstance(args[0], (str, bytes)):
        seen.add(os.path.realpath(os.fsdecode(args[0])))
    if event in ("socket.connect", "socket.getaddrinfo", "socket.sendto"):
        rang.append(event)
sys.addaudithook(heard)
from pathlib import Path
from anthocard.engine.compute import compute
from anthocard.press.build.plan import publish
from anthocard.house.reader import read_house, read_sound
book = read_house(Path(sys.argv[1]))
computed, _ = compute(book)
publish(book, computed, Path(sys.argv[2]))
print(json.dumps([sorted(seen), rang]))
"""


def test_only_the_house_the_themes_and_the_program_are_read(house: Path) -> None:
    """Every file Python opens in a whole publish: the house, our package and themes, Python and
    its libraries, our own scratch and build. No connection is made, no name looked up.
    """
    out = house.parent / "out" / "build"
    out.parent.mkdir()
    told = subprocess.run(
        [sys.executable, "-c", READING, str(house), str(out)],
        capture_output=True, text=True, check=True, cwd=house.parent,
    )  # fmt: skip
    seen, rang = json.loads(told.stdout.splitlines()[-1])
    assert rang == []
    import tempfile

    allowed = [
        house, out.parent, ROOT / "generator", ROOT / "themes", sys.prefix, sys.base_prefix,
        sys.exec_prefix, Path(tempfile.gettempdir()) / "anthocard-fonts-", "/proc", "/dev", "/sys",
        "/usr/lib", "/usr/share/zoneinfo", "/usr/share/mime", "/etc/mime.types", "/etc/localtime",
    ]  # fmt: skip
    roots = tuple(str(Path(path).resolve()) for path in allowed)
    strangers = [path for path in seen if not path.startswith(roots) and Path(path).is_file()]
    assert strangers == []
    assert any(path.startswith(str(house)) for path in seen)


def test_every_kind_has_its_folder(house: Path) -> None:
    """The house of the tests above has a file of every kind."""
    assert all(any((house / folder).glob("*.md")) for folder in FOLDERS.values())
