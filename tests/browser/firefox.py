"""Firefox as its own accessibility service sees it, over Marionette, the protocol it is tested by.

Belongs here: starting it, asking it, walking its tree. Does not belong here: what a page must be.
"""

from __future__ import annotations

import json
import os
import socket
import subprocess
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Final

from tests.patience import HUNG_S

#: Every node in the order it is read: role, name, rank of a heading, whether it speaks up.
_WALK: Final = """
const done = arguments[arguments.length - 1];
(async () => {
  const service = Cc["@mozilla.org/accessibilityService;1"].getService(Ci.nsIAccessibilityService);
  let root = null;
  for (let n = 0; n < 600 && !root?.firstChild?.childCount; n += 1) {
    await new Promise((next) => setTimeout(next, 50));
    root = service.getAccessibleFor(gBrowser.selectedBrowser);
  }
  const told = [];
  const of = (node, key) => { try { return node.attributes.getStringProperty(key); } catch { return ""; } };
  const walk = (node) => {
    told.push({ role: service.getStringRole(node.role), name: node.name ?? "",
      level: Number(of(node, "level")), live: of(node, "live") });
    for (let child = node.firstChild; child; child = child.nextSibling) walk(child);
  };
  walk(root);
  done(told);
})().catch((error) => done(String(error)));
"""


class Firefox:
    """One window: a page, what is clicked on it, and the tree of it."""

    def __init__(self, port: int) -> None:
        self._socket = socket.create_connection(("127.0.0.1", port), timeout=HUNG_S)
        self._from, self._number = self._socket.makefile("rb"), 0
        self._read()  # its greeting
        self._ask("WebDriver:NewSession")

    def close(self) -> None:
        """Hang up."""
        self._from.close()
        self._socket.close()

    def open(self, url: str) -> None:
        """Load a page."""
        self._ask("WebDriver:Navigate", url=url)

    def run(self, script: str) -> Any:
        """What a script of the page returns."""
        return self._ask("WebDriver:ExecuteScript", script=script, args=[])["value"]

    def tree(self) -> list[dict[str, Any]]:
        """Every node of the page in the order it is read."""
        self._ask("Marionette:SetContext", value="chrome")
        told = self._ask(
            "WebDriver:ExecuteAsyncScript", script=_WALK, args=[], scriptTimeout=60_000
        )["value"]
        self._ask("Marionette:SetContext", value="content")
        assert isinstance(told, list), told
        return told

    def _ask(self, command: str, **given: Any) -> dict[str, Any]:
        self._number += 1
        message = json.dumps([0, self._number, command, given]).encode()
        self._socket.sendall(f"{len(message)}:".encode() + message)
        _, _, wrong, told = self._read()
        assert wrong is None, wrong
        return told or {}

    def _read(self) -> Any:
        size = b""
        while (digit := self._from.read(1)) != b":":
            assert digit, "Firefox hung up"
            size += digit
        return json.loads(self._from.read(int(size)))


@contextmanager
def firefox(program: str, folder: Path) -> Iterator[Firefox]:
    """A Firefox of its own, its profile in `folder`, gone when it is done with."""
    (folder / "user.js").write_text('user_pref("marionette.port", 0);\n', encoding="utf-8")
    command = [
        program, "--headless", "--marionette", "--remote-allow-system-access",
        "--no-remote", "--profile", str(folder),
    ]  # fmt: skip
    process = subprocess.Popen(
        command,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        env={**os.environ, "HOME": str(folder)},
    )
    try:
        told, until = folder / "MarionetteActivePort", time.monotonic() + HUNG_S
        while not (told.is_file() and told.read_text(encoding="utf-8").strip()):
            assert time.monotonic() < until, "Firefox did not start"
            time.sleep(0.1)
        window = Firefox(int(told.read_text(encoding="utf-8")))
        try:
            yield window
        finally:
            window.close()
    finally:
        process.terminate()
        process.wait()
