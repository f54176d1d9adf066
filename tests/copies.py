"""The command as a process of its own that is copied from one that has imported everything: what a
start costs is paid once by a process of the tests, not for each of its hundreds of commands.

A copy shuts itself in, writes real files and ends as any process does. How a command starts, and
what it may still import once it is shut in, and that no order of a set shows in what it makes, is
for tests that start one from nothing.
"""

from __future__ import annotations

import json
import os
import pkgutil
import signal
import subprocess
import sys
import tempfile
from collections.abc import Mapping, Sequence
from functools import cache
from importlib import import_module
from multiprocessing import forkserver
from pathlib import Path
from select import select
from threading import Lock
from typing import Any, NoReturn

from tests.patience import HUNG_S

ROOT = Path(__file__).parents[1]
#: What Python and NumPy are told before they start, and what a command would tell them.
_AS_THE_COMMAND = {
    "PYTHONUTF8": "1",
    "OPENBLAS_NUM_THREADS": "1",
    "PYDANTIC_DISABLE_PLUGINS": "__all__",
}


class CopiedCommands:
    """One process that has imported everything, and a copy of it for each command."""

    def __init__(self) -> None:
        words = [sys.executable, "-W", "error", "-m", "tests.copies"]
        own = {name: os.environ[name] for name in ("PATH", "HOME", "TMPDIR") if name in os.environ}
        env = {**own, **_AS_THE_COMMAND, "PYTHONPATH": str(ROOT)}
        self._one = subprocess.Popen(
            words, cwd=ROOT, env=env, stdin=subprocess.PIPE, stdout=subprocess.PIPE
        )
        self._lock = Lock()

    def run(
        self, words: Sequence[str], cwd: Path | None, env: Mapping[str, str]
    ) -> subprocess.CompletedProcess[str]:
        """Run a command to its end, with nothing typed in. Raises TimeoutError past all patience."""
        assert self._one.stdin is not None
        assert self._one.stdout is not None
        with self._lock, tempfile.TemporaryDirectory() as folder:
            told = [Path(folder, name) for name in ("out", "err")]
            asked = {"words": words, "cwd": str(cwd or Path.cwd()), "env": dict(env)}
            line = json.dumps({**asked, "told": [*map(str, told)]})
            self._one.stdin.write(f"{line}\n".encode())
            self._one.stdin.flush()
            if not select([self._one.stdout], [], [], HUNG_S)[0]:
                self._one.kill()
                raise TimeoutError(words)
            code = int(self._one.stdout.readline())
            out, err = (path.read_text("utf-8") for path in told)
        return subprocess.CompletedProcess(words, code, out, err)


@cache
def copied_commands() -> CopiedCommands:
    """Those of this process of the tests."""
    return CopiedCommands()


def serve() -> None:
    """Read what is asked line by line, and let a copy do it; only a copy comes back."""
    import anthocard
    from anthocard.commands.begin import STARTER
    from anthocard.engine.compute import compute
    from anthocard.house.reader import read_house
    from anthocard.press.build.worker import get_ready

    for found in pkgutil.walk_packages(anthocard.__path__, "anthocard."):
        if not found.name.endswith("__main__"):
            import_module(found.name)
    compute(read_house(STARTER))  # reads our own tables, as every command would
    get_ready()
    for line in sys.stdin.buffer:
        child = os.fork()
        if child == 0:
            _become(json.loads(line))
        _, status = os.waitpid(child, 0)
        os.write(1, b"%d\n" % os.waitstatus_to_exitcode(status))


def _become(asked: dict[str, Any]) -> NoReturn:
    """Be the command, and end as it would."""
    os.chdir(asked["cwd"])
    os.environ.clear()
    os.environ.update(asked["env"])
    os.dup2(os.open(os.devnull, os.O_RDONLY), 0)
    for number, path in enumerate(asked["told"], 1):
        os.dup2(os.open(path, os.O_WRONLY | os.O_CREAT, 0o600), number)
    signal.signal(signal.SIGINT, signal.default_int_handler)
    # What papers are set with was loaded once too, by a process that is no child of this one.
    for one in (forkserver, forkserver._forkserver):
        vars(one)["ensure_running"] = lambda: None
    sys.argv = ["anthocard", *asked["words"]]
    from anthocard.__main__ import program

    sys.exit(program())


if __name__ == "__main__":
    serve()
