"""A stranger's theme is a text: it may not run for ever, nor write without end."""

from __future__ import annotations

from pathlib import Path

import pytest
from anthocard.diagnostics.diagnostic import AuthorError
from anthocard.press.base import theme
from anthocard.press.base.theme import Theme


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
    monkeypatch.setattr(theme, "LONGEST_S", 0.5)
    (tmp_path / "card.html").write_text(template, encoding="utf-8")
    with pytest.raises(AuthorError) as refused:
        Theme("strange", (tmp_path,)).render("card.html", {})
    assert "card.html" in str(refused.value)
