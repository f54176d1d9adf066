"""anthocard preview: the pages in a browser, made anew after every save."""

from __future__ import annotations

import argparse
import errno
import sys
import time
from pathlib import Path
from threading import Event, Thread
from typing import TYPE_CHECKING

from anthocard.diagnostics.report import tally, worst
from anthocard.terminal.houses import add_house, house_folder, shut_in
from anthocard.terminal.typed import whole

if TYPE_CHECKING:
    from anthocard.press.server.desk import Desk
    from anthocard.press.server.server import Server

EXAMPLE = """\
Only this machine can see it. It opens where the last edit was, reloads after every save, and shows
mistakes on the page above the last one that worked. Nothing is written to the disk.

Stop it with Ctrl-C.

examples:
  anthocard preview
  anthocard preview --house ../other-bar --port 8080
  anthocard preview --no-open
"""
PORT = 4380  # chosen: free on most machines; another is taken if it is not
PAUSE_S = 0.04  # chosen: between two looks at the files


def describe(parser: argparse.ArgumentParser) -> None:
    """Options of this command."""
    parser.epilog = EXAMPLE
    add_house(parser)
    parser.add_argument(
        "--port", metavar="N", type=whole(0, 65_535),
        help=f"port on 127.0.0.1 (default {PORT}, or a free one if that is taken)",
    )  # fmt: skip
    parser.add_argument(
        "--theme", metavar="NAME", default="base", help="the look of the pages (base)"
    )
    parser.add_argument("--no-open", action="store_true", help="print the address, open no browser")


def run(options: argparse.Namespace) -> int:
    """Serve until Ctrl-C."""
    from anthocard.press.server.desk import Desk

    folder = house_folder(options.house)
    desk = Desk(folder, options.theme)
    server, served = _server(desk, options.port), Event()
    if not options.no_open and sys.stdout.isatty():
        # Begun before this process is shut in: what a thread was free to do, its browser is.
        Thread(target=_open, args=(server.address, served), daemon=True).start()
    shut_in(options)
    desk.refresh()
    _tell(desk, folder, 0.0, ())
    Thread(target=server.serve_forever, kwargs={"poll_interval": 0.05}, daemon=True).start()
    try:
        print(f"Preview at {server.address} (Ctrl-C stops it)", flush=True)
        served.set()
        _follow(desk, server, folder)
    except KeyboardInterrupt:
        print("Preview closed.")
    finally:
        server.shutdown()
    return 0


def _server(desk: Desk, port: int | None) -> Server:
    from anthocard.press.server.server import Server

    try:
        return Server(desk, PORT if port is None else port)
    except OSError as error:
        if port is not None or error.errno != errno.EADDRINUSE:
            raise
        return Server(desk, 0)


def _open(address: str, served: Event) -> None:
    import webbrowser

    served.wait()
    webbrowser.open(address)


def _follow(desk: Desk, server: Server, folder: Path) -> None:
    """Look at the files again and again and make pages between; longer where looking is long."""
    while True:
        start = time.perf_counter()
        edited = desk.changed()
        if edited:
            desk.refresh(edited)
            server.announce()
            _tell(desk, folder, time.perf_counter() - start, edited)
            start = time.perf_counter()
        server.work(max(PAUSE_S, 2.0 * (time.perf_counter() - start)))


def _tell(desk: Desk, folder: Path, seconds: float, edited: tuple[Path, ...]) -> None:
    """One line a save, and what is wrong if something is."""
    if edited:
        names = ", ".join(path.relative_to(folder).as_posix() for path in edited)
        print(f"{names}: {seconds * 1000:.0f} ms", flush=True)
    if not desk.showing.ok:
        text, more = worst(desk.showing.mistakes)
        print(f"{text}\n{tally(desk.showing.mistakes)}.{more}", flush=True)
