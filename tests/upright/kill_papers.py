"""Kill publishes in the middle of papers, and count what they leave. Run by hand, and by test_run.py.

usage: kill_papers.py FOLDER NUMBER [PATIENCE]

Each time a publish of the starter house, with nothing kept, is ended by SIGKILL (every second time
by SIGTERM) at a random moment after its first worker has come. Prints one JSON object: how many were
in the middle of papers, the longest time in s until nothing was left, and what was left after 5 s,
or PATIENCE where a test may run on a busy machine.
"""

import json
import os
import random
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path

from anthocard.commands.begin import STARTER

LONGEST_S = float(sys.argv[3]) if sys.argv[3:] else 5.0


def family(mark):
    """The processes that were started with a folder for passing files of this name."""
    found = []
    for process in Path("/proc").iterdir():
        if process.name.isdecimal():
            try:
                of_ours = mark in (process / "environ").read_bytes()
                dead = (process / "stat").read_text().rsplit(")", 1)[1].split()[0] == "Z"
            except OSError:
                continue
            if of_ours and not dead:
                found.append(int(process.name))
    return found


def left(room):
    scratch = [path.name for path in room.iterdir() if "scratch" in path.name]
    claims = [path.name for path in (room / "build").glob(".anthocard-*")]
    return scratch + claims + [path.name for path in (room / "tmp").iterdir()]


def kill(room, how):
    shutil.rmtree(room, ignore_errors=True)
    for name in ("tmp", "build", "own"):
        (room / name).mkdir(parents=True)
    env = {**os.environ, "TMPDIR": str(room / "tmp"), "XDG_CACHE_HOME": str(room / "own")}
    words = ["publish", "--house", STARTER, "--out", room / "build", "--quiet"]
    publish = subprocess.Popen([sys.executable, "-m", "anthocard", *words], env=env)
    mark = f"TMPDIR={room / 'tmp'}\0".encode()
    while len(family(mark)) < 4 and publish.poll() is None:  # itself, two servers, a worker
        time.sleep(0.01)
    time.sleep(random.random() * 1.5)
    publish.send_signal(how)
    ended = publish.wait()
    start = time.monotonic()
    while time.monotonic() - start < LONGEST_S and (family(mark) or left(room)):
        time.sleep(0.01)
    took_s = time.monotonic() - start
    rest = [*map(str, family(mark)), *left(room)]
    while family(mark):
        time.sleep(0.1)
    return ended < 0, took_s, rest


def main(folder, number):
    ran = [kill(folder / "room", (signal.SIGKILL, signal.SIGTERM)[n % 2]) for n in range(number)]
    hit = [one for one in ran if one[0]]
    worst = max((took_s for _, took_s, _ in hit), default=0.0)
    rest = [name for _, _, names in hit for name in names]
    print(json.dumps({"killed": len(hit), "worst_s": round(worst, 2), "left": rest}))


main(Path(sys.argv[1]), int(sys.argv[2]))
