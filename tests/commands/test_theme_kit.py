"""A theme of one's own: begun, it publishes; checked, it loses nothing, and tells what it would."""

from __future__ import annotations

import re
import shutil
import subprocess
from pathlib import Path

import jinja2
import jinja2.meta
import pytest
from anthocard.cli import main
from anthocard.commands.theme import HARD_HOUSE
from anthocard.diagnostics.diagnostic import AuthorError
from anthocard.house.reader import read_house
from anthocard.press.base.faces import packaged
from anthocard.press.base.theme import find_theme, shipped_names
from anthocard.press.proof import trial
from anthocard.press.proof.template_fields import GIVEN, fields_page, given_to
from jinja2 import nodes

THEMES = Path(__file__).parents[2] / "themes"
STARTER = Path(__file__).parents[2] / "generator" / "anthocard" / "commands" / "starter"
#: In every template: the functions of phrases, and these.
EVERYWHERE = ("_", "gettext", "ngettext", "pgettext", "npgettext", "language", "lang", "own")


@pytest.fixture
def house(tmp_path: Path) -> Path:
    return Path(shutil.copytree(STARTER, tmp_path / "bar"))


def test_a_theme_is_begun_once(house: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Everything of the kit, the tokens of the base word for word; a second time nothing is touched."""
    assert main(["theme", "begin", "night", "--house", str(house)]) == 0
    made = house / "themes" / "night"
    assert (made / "tokens.css").read_text() == (THEMES / "base" / "tokens.css").read_text()
    assert {"README.md", "FIELDS.md", "card.html", "added"} <= {
        path.name for path in made.iterdir()
    }
    assert "NAME" not in (made / "README.md").read_text()
    told = capsys.readouterr().out.splitlines()[1:]
    assert told
    assert all(line.endswith(f" --house {house}") for line in told)
    (made / "tokens.css").write_text("mine")
    assert main(["theme", "begin", "night", "--house", str(house)]) == 1
    assert (made / "tokens.css").read_text() == "mine"
    assert "nothing is overwritten" in capsys.readouterr().err


@pytest.mark.parametrize("name", ["dusk", "../out", "Night", ""])
def test_a_theme_has_a_name_of_its_own(name: str, house: Path) -> None:
    """Not one of ours, and none that leads out of the folder."""
    assert main(["theme", "begin", name, "--house", str(house)]) == 1
    assert not (house / "themes").exists()


def test_from_kit_to_a_card_in_another_face(house: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Two words changed and three files put down, as README says: cards, back and menu are set in
    it, and nothing is told against it."""
    main(["theme", "begin", "night", "--house", str(house)])
    made = house / "themes" / "night"
    (made / "fonts").mkdir()
    for path in packaged("IBM Plex Serif"):
        if path.stem.endswith(("-Regular", "-SemiBold", "-Italic")):
            shutil.copy(path, made / "fonts")
    tokens = (made / "tokens.css").read_text()
    (made / "tokens.css").write_text(re.sub('"(Fira Sans|Spectral)"', '"IBM Plex Serif"', tokens))
    few = re.compile(r"cards/first-light|menu-2\.pdf|prep|cards-5x7/steady")
    wanted = trial._wanted
    monkeypatch.setattr(
        trial, "_wanted", lambda *given: (one for one in wanted(*given) if few.search(one[0]))
    )
    done = trial.tried(find_theme("night", house), HARD_HOUSE)
    assert not done.mistakes
    assert len(done.papers) >= 4
    for pdf in done.papers.values():
        (house / "paper.pdf").write_bytes(pdf)
        ran = subprocess.run(
            ["pdffonts", str(house / "paper.pdf")], check=True, capture_output=True
        )
        rows = ran.stdout.decode().splitlines()[2:]
        assert rows
        assert all("IBM-Plex-Serif" in row for row in rows), rows


def test_a_theme_that_loses_words_is_told_where(
    house: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Its own margin pushes words to the trim; a faint letter and a missing face are told beside."""
    main(["theme", "begin", "night", "--house", str(house)])
    made = house / "themes" / "night"
    (made / "tokens.css").write_text(
        ':root { --card-side: 1mm; --quiet: #bbbbbb; --text: "Lost Grotesk"; }'
    )
    wanted = trial._wanted
    monkeypatch.setattr(
        trial, "_wanted", lambda *given: (one for one in wanted(*given) if "cards/first" in one[0])
    )
    done = trial.tried(find_theme("night", house), HARD_HOUSE)
    assert {one.kind for one in done.mistakes} == {"lost-words", "no-face", "faint"}
    assert not done.papers


def test_the_hard_house_is_hard() -> None:
    """A name of 60 letters, a word that never ends, a full card, three reveals, all three layouts."""
    read = read_house(HARD_HOUSE)
    names = [one.name for one in read.drinks.values()]
    assert max(map(len, names)) >= 60
    assert max(len(word) for name in names for word in name.split()) >= 50
    assert max(len(one.pours) for one in read.drinks.values()) >= 7
    assert max(len(one.reveals) for one in read.drinks.values()) == 3
    counts = [sum(len(s.drinks) for s in menu.sections) for menu in read.menus.values()]
    assert min(counts) <= 5 < sorted(counts)[1] <= 24 < max(counts)


def used_by(*parts: str) -> tuple[set[str], set[str]]:
    """What a template and those it is made of take for granted: names, and fields of what is given."""
    source = THEMES.joinpath(*parts).read_text(encoding="utf-8")
    parsed = jinja2.Environment(extensions=["jinja2.ext.i18n"]).parse(source)
    # What a template declares itself is seen from its blocks, which jinja2 does not count.
    told = re.findall(r"{%-? *(?:macro|set|for|from \S+ import) ([\w, ]+)", source)
    declared = {name.strip() for names in told for name in re.split(",| in | with ", names)}
    names = jinja2.meta.find_undeclared_variables(parsed) - declared
    fields = {one.attr for one in parsed.find_all(nodes.Getattr) if not of_jinja(one.node)}
    for other in jinja2.meta.find_referenced_templates(parsed):
        more = used_by(*(("base", other) if "/" not in str(other) else str(other).split("/")))
        names, fields = names | more[0] - declared, fields | more[1]
    return names, fields


def of_jinja(node: nodes.Node) -> bool:
    """Whether it is no value of ours: what jinja2 knows of a loop or block, what stands here."""
    own = isinstance(node, nodes.Name) and node.name in ("loop", "self", "language", "points")
    return own or isinstance(node, nodes.Dict | nodes.Const)


@pytest.mark.parametrize("template", sorted(GIVEN))
def test_every_value_of_a_template_is_written_down(template: str) -> None:
    """What our templates use, and what those that they are made of, is what the list of fields says
    they are given: no other name, and no field that stands in no type."""
    page = fields_page()
    told = set(re.findall(r"^- `(\w+)`:", page, re.MULTILINE))
    assert {*given_to(template)} <= told
    looks = [theme for theme in shipped_names() if (THEMES / theme / template).is_file()]
    assert looks
    for theme in looks:
        names, fields = used_by(theme, template)
        assert names <= {*given_to(template), *EVERYWHERE}
        assert fields <= told


def test_what_nobody_wrote_down_is_seen(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The check itself, on a template that asks for a name and a field that there are not."""
    (tmp_path / "base").mkdir()
    (tmp_path / "base" / "x.html").write_text("{{ card.name }} {{ card.secret }} {{ costs }}")
    monkeypatch.setattr("tests.commands.test_theme_kit.THEMES", tmp_path)
    assert used_by("base", "x.html") == ({"card", "costs"}, {"name", "secret"})


def test_every_template_is_told_of() -> None:
    """A file of the base that no other is made of is a paper or page, and stands in the list."""
    files = {path.name for path in (THEMES / "base").glob("*.html")}
    parts = {
        str(other).rpartition("/")[2]
        for name in files
        for other in jinja2.meta.find_referenced_templates(
            jinja2.Environment(extensions=["jinja2.ext.i18n"]).parse(
                (THEMES / "base" / name).read_text(encoding="utf-8")
            )
        )
    }
    assert files - parts <= {*GIVEN}
    assert {*GIVEN} <= files


def test_shipped_themes_are_those_of_the_folder() -> None:
    assert shipped_names() == ("almanac", "base", "dusk", "plain")
    with pytest.raises(AuthorError):
        find_theme("night")
