"""The demo house published, served from a sub-path, and the browser that walks over it.

What needs Node or Chromium is skipped only where one of the two is absent; `.ci/run` installs both.
"""

from __future__ import annotations

import fcntl
import json
import os
import shutil
import subprocess
from collections.abc import Callable, Iterator
from functools import partial
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from threading import Thread
from typing import Any, TypeAlias

import pytest
from anthocard.engine.compute import compute
from anthocard.house.reader import read_house
from anthocard.press.build.plan import publish

from tests.patience import HUNG_S

ROOT = Path(__file__).parents[2]
MODULES = ROOT / ".ci" / "node_modules"
SUBPATH = "some/where"

Walk: TypeAlias = Callable[..., dict[str, Any]]


class _Quiet(SimpleHTTPRequestHandler):
    def log_message(self, *_: object) -> None:
        """A server that is tested says nothing."""


@pytest.fixture(scope="session")
def site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder a host would serve at its root; the build lies below SUBPATH. It is made once in a
    run of the tests: whoever comes second waits.
    """
    base = tmp_path_factory.getbasetemp()
    root = (base.parent if "PYTEST_XDIST_WORKER" in os.environ else base) / "site"
    with root.with_suffix(".lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if not (root / SUBPATH).exists():  # a publish puts it there whole, at its end
            (root / SUBPATH).parent.mkdir(parents=True, exist_ok=True)
            collection = read_house(ROOT / "recipes")
            publish(collection, compute(collection)[0], root / SUBPATH, papers=False)
    return root


@pytest.fixture(scope="session")
def address(site: Path) -> Iterator[str]:
    """Where the build is served on this machine, on any free port."""
    server = ThreadingHTTPServer(("127.0.0.1", 0), partial(_Quiet, directory=str(site)))
    thread = Thread(target=server.serve_forever, daemon=True)
    thread.start()
    yield f"http://127.0.0.1:{server.server_address[1]}/{SUBPATH}"
    server.shutdown()
    server.server_close()
    thread.join()


@pytest.fixture(scope="session")
def node() -> str:
    return _needed("node")


@pytest.fixture(scope="session")
def chromium() -> str:
    return _needed("chromium")


@pytest.fixture(scope="session")
def walk(node: str, chromium: str) -> Walk:
    """Run one task of walk.mjs and return what it told."""

    def run(task: str, home: str, urls: list[str], **more: Any) -> dict[str, Any]:
        options = {
            "modules": str(MODULES),
            "chromium": chromium,
            "home": home,
            "urls": urls,
            **more,
        }
        command = [node, str(Path(__file__).with_name("walk.mjs")), task, json.dumps(options)]
        done = subprocess.run(command, capture_output=True, text=True, timeout=HUNG_S, check=False)
        assert done.returncode == 0, done.stderr
        told: dict[str, Any] = json.loads(done.stdout)
        return told

    return run


@pytest.fixture(scope="session")
def pages(site: Path) -> list[str]:
    """Every page by its path below the build."""
    build = site / SUBPATH
    return sorted(path.relative_to(build).as_posix() for path in build.rglob("*.html"))


def _needed(program: str) -> str:
    found = shutil.which(program)
    if found is None:
        pytest.skip(f"{program} is not on this machine; .ci/run installs it")
    if not MODULES.is_dir():
        pytest.fail("the browser's tools are missing: run “npm ci --prefix .ci”, as .ci/test does")
    return found
