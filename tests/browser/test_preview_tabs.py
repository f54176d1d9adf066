"""Many tabs of one preview: a browser opens six connections to a host, and all of them must do."""

from __future__ import annotations

import shutil
import time
from pathlib import Path
from threading import Event, Thread

from anthocard.press.server.desk import Desk
from anthocard.press.server.server import Server

from tests.browser.conftest import ROOT, Walk


def test_nine_tabs_open_and_all_follow_a_save(walk: Walk, tmp_path: Path) -> None:
    """None waits for another; each shows the new page after one save."""
    house = tmp_path / "house"
    shutil.copytree(ROOT / "generator/anthocard/commands/starter", house)
    desk = Desk(house, "base")
    desk.refresh()
    server, done = Server(desk, 0), Event()
    Thread(target=server.serve_forever, daemon=True).start()

    def follow() -> None:
        while not done.is_set():
            edited = desk.changed()
            if edited:
                desk.refresh(edited)
                server.announce()
            server.work(0.05)
            time.sleep(0)

    worker = Thread(target=follow, daemon=True)
    worker.start()
    try:
        told = walk(
            "tabs", server.address, [f"{server.address}staff/first-light.html"] * 9,
            file=str(house / "drinks/first-light.md"), was="## Method", **{"is": "### Method"},
        )  # fmt: skip
    finally:
        done.set()
        worker.join()
        server.shutdown()
        server.server_close()
    assert told["first"] == ["1"] * 9
    assert "There are mistakes" in told["panel"]
