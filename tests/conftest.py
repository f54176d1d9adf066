"""What holds for every test: no limit on the clock, which a busy machine would break; and a glass
that was traced or painted, or a face that was cut for one test, is not again for the next.
"""

from __future__ import annotations

import gc
import os
from collections.abc import Callable, Coroutine, Iterator
from pathlib import Path
from typing import Any

import pytest
from anthocard.guard.rubbish import look_seldom
from anthocard.press.base import fonts
from anthocard.press.build.run import Run
from anthocard.press.draw.traced import PictureSubject
from anthocard.press.paper.job import PaperPress
from anthocard.press.store.key import key, print_of
from hypothesis import settings

settings.register_profile("any machine", deadline=None)
settings.load_profile("any machine")
look_seldom()


def pytest_collection_finish() -> None:
    """Thousands of tests stay to the end: no process need look for rubbish among them."""
    gc.collect()
    gc.freeze()


@pytest.fixture(scope="session", autouse=True)
def drawn_once(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """What a press has drawn elsewhere is kept, as a publish keeps it, for all processes of a run of
    the tests: pictures take most of a publish. What draws them is not touched.
    """
    base = tmp_path_factory.getbasetemp()
    folder = (base.parent if "PYTEST_XDIST_WORKER" in os.environ else base) / "drawn"
    folder.mkdir(exist_ok=True)

    def keeping(draw: Callable[..., Coroutine[Any, Any, bytes]]) -> Any:
        async def drawn(press: PaperPress, make: Callable[..., bytes], *given: Any) -> bytes:
            parts = [one.parts if isinstance(one, PictureSubject) else one for one in given]
            kept = folder / key(make.__name__, *parts)
            if not kept.exists():
                _write(kept, await draw(press, make, *given))
            return kept.read_bytes()

        return drawn

    def cut(path: Path, letters: frozenset[str], features: tuple[str, ...]) -> bytes:
        kept = folder / key("face", print_of((path,)), "".join(sorted(letters)), features)
        if not kept.exists():
            _write(kept, subset(path, letters, features))
        return kept.read_bytes()

    subset = fonts._subset
    with pytest.MonkeyPatch.context() as patch:
        for kind in (PaperPress, Run):
            patch.setattr(kind, "elsewhere", keeping(kind.elsewhere))
        patch.setattr(fonts, "_subset", cut)
        yield


def _write(file: Path, content: bytes) -> None:
    """Whole or not at all: another process may read it at once."""
    half = file.with_name(f"{file.name}.{os.getpid()}")
    half.write_bytes(content)
    half.rename(file)
