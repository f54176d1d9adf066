"""A room of one even light, for pictures held to the laws of light."""

from __future__ import annotations

import pytest
from anthocard.engine.optics import studio
from anthocard.engine.optics.scene import Scene
from anthocard.engine.optics.studio import Studio

#: The page is 1 wherever a ray goes and the glass takes nothing of it; glow and lamps are apart.
WHITE = {
    "sweep_floor": 1.0, "sweep_climb": 0.0, "sweep_dip": 0.0, "shadow_foot": 0.0, "shadow_bowl": 0.0,
    "caustic_share": 0.0, "rest_page": 1.0, "ambient_page": 1.0, "beside_page": 1.0, "foam_page": 1.0,
}  # fmt: skip


def paint_white(monkeypatch: pytest.MonkeyPatch) -> None:
    """Until the test ends, the page's light of every picture is that of a white room."""
    around = studio.studio_around

    def white(scene: Scene) -> Studio:
        return around(scene)._replace(**WHITE)

    monkeypatch.setattr(studio, "studio_around", white)
