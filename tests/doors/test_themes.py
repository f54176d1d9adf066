"""A stranger's theme is a text: it may not run for ever, nor write without end."""

from __future__ import annotations

import os
import subprocess
import sys
import tracemalloc
from pathlib import Path

import pytest
from anthocard.diagnostics.diagnostic import AuthorError
from anthocard.press.base import theme
from anthocard.press.base.theme import Theme
from anthocard.press.build.fingerprint import fingerprint


@pytest.mark.parametrize(
    "template",
    [
        "{% for a in range(99999) %}{% for b in range(99999) %}{% set c = b %}{% endfor %}{% endfor %}",
        "{{ 'x' * 10**9 }}",
        "{{ [1] * 10**9 }}",
        "{{ 10 ** 999999999 }}",
        "{% for a in range(10**9) %}{% endfor %}",
        "{{ lipsum(10**6) }}",
        "{{ ''.__class__.__mro__ }}",
        "{% macro again() %}{{ again() }}{% endmacro %}{{ again() }}",
    ],
)
def test_a_hostile_template_ends(
    tmp_path: Path, template: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Loops, repeated texts, great powers, other people's attributes: an error names the file."""
    monkeypatch.setattr(theme, "most_of", lambda section, row: {"time": 1}.get(row, 1000))
    (tmp_path / "card.html").write_text(template, encoding="utf-8")
    with pytest.raises(AuthorError) as refused:
        Theme("strange", (tmp_path,)).render("card.html", {})
    assert "card.html" in str(refused.value)


MEMORY = """
import resource, sys
from pathlib import Path
from anthocard.diagnostics.diagnostic import AuthorError
from anthocard.press.base.theme import Theme
try:
    Theme("strange", (Path(sys.argv[1]),)).render("card.html", {"text": "x"})
except AuthorError as error:
    print(error.mistakes[0].kind, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1000)
"""


@pytest.mark.skipif(sys.platform != "linux", reason="elsewhere nobody keeps to a limit of memory")
@pytest.mark.parametrize(
    "template",
    [
        "{{ text.center(2000000000) }}",
        "{{ text | center(2000000000) }}",
        "{{ '%2000000000d' % 1 }}",
        "{{ '{:2000000000}'.format(1) }}",
        "{{ text.zfill(2000000000) }}",
        "{{ (text * 100000).replace('x', text * 100000) }}",
        "{% set ns = namespace(t=text * 100000) %}{% for i in range(20) %}"
        "{% set ns.t = ns.t ~ ns.t %}{% endfor %}{{ ns.t }}",
        "{{ ['x' * 99999] * 99999 | join }}",
    ],
)
def test_a_template_takes_its_memory_from_nobody(tmp_path: Path, template: str) -> None:
    """Texts of gigabytes in one call, or grown by doubling: stopped, named, and never there."""
    (tmp_path / "card.html").write_text(template, encoding="utf-8")
    words = [sys.executable, "-c", MEMORY, str(tmp_path)]
    said = subprocess.run(words, capture_output=True, text=True, check=True).stdout.split()
    assert said[0] in ("big-template", "broken-template")
    assert int(said[1]) < 1200


@pytest.mark.parametrize(
    ("what", "told"), [("pipe", "a pipe or a device"), ("film", "larger than 32 MB")]
)
def test_a_theme_is_made_of_files_nobody_waits_for(tmp_path: Path, what: str, told: str) -> None:
    """A pipe, or a film of 64 GB, in a house's own theme: told, and not read; nor is it waited for
    where the house is only looked over."""
    own = tmp_path / "themes" / "mine"
    own.mkdir(parents=True)
    if what == "pipe":
        os.mkfifo(own / "card.css")
    else:
        with (own / "film.mp4").open("wb") as file:
            file.truncate(64 * 2**30)
    with pytest.raises(AuthorError, match=told):
        theme.find_theme("mine", tmp_path)
    tracemalloc.start()
    fingerprint(tmp_path, ())
    most = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert most < 80 * 2**20
