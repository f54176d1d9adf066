"""What a recipe does is told to its author once, where it stands, with what to ask."""

from __future__ import annotations

from tests.engine.opened import drink
from tests.engine.test_hazards import of, told


def test_a_process_is_told_once_under_its_words() -> None:
    """Of two steps with nitrous oxide the first is marked; garnish and serve line are read, too."""
    text = (
        "---\n"
        + drink("50 ml gin", "garnish: [a flamed zest]\nserve: over dry ice\n")
        + "---\nBlue.\n\n## Method\n\n1. Charge the cream whipper.\n2. Charge the siphon again.\n"
    )
    mistakes = of(told({"drinks/d.md": text}), "process")
    assert [one.kind for one in mistakes] == ["process-siphon", "process-dry-ice", "process-fire"]
    first = mistakes[0]
    assert first.severity == "warning"
    assert first.place.text == "1. Charge the cream whipper."
    assert first.place.text[first.place.column - 1 :].startswith("cream whipper")
    assert "ask your authority" in first.mend


def test_a_warm_infusion_is_told_by_its_keys() -> None:
    """Temperature and time are enough; the demo's hour at 60 °C is hot enough."""
    text = (
        "kind: infusion\nname: x\nplant: butterfly pea\ninto: still water\ndose: 2 g per litre\n"
        "time: {hours} h\ntemperature: {at} °C\nlatin: Clitoria ternatea\nfood_grade: true\n"
    )
    (warm,) = of(told({"infusions/x.md": text.format(hours=6, at=40)}), "process")
    assert warm.place.text == "temperature: 40 °C"
    assert of(told({"infusions/x.md": text.format(hours=1, at=60)}), "process") == []
