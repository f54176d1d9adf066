"""What holds for every test: no limit on the clock, which a busy machine would break."""

from __future__ import annotations

from hypothesis import settings

settings.register_profile("any machine", deadline=None)
settings.load_profile("any machine")
