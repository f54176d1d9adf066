"""Break every writing command at every step it takes on the disk. Run by test_breaking.py.

usage: door_breaker.py FOLDER error|kill=FIRST/EVERY … random=NUMBER … [COMMAND …]

Each command runs as it is, words and all, until it comes to the door. There it is copied again and
again: copy number n goes on alone and gets an error (of a full disk and a broken one in turn), or
is killed, at its nth open, write, fsync, link, mkdir, rename, unlink, rmdir or close, every
so-manieth from the FIRST on; with `random` it is killed after a random time, so many times. After each one every file is compared with what it was and with what it is to be, and so are the words on
the screen. Prints one JSON object: copies and steps by command, and every broken promise, in words.
"""

import errno
import io
import json
import os
import random
import re
import shutil
import signal
import sys
import time
from contextlib import redirect_stderr, redirect_stdout, suppress
from pathlib import Path

from anthocard import cli
from anthocard.commands.begin import STARTER
from anthocard.disk import atomic_file, transaction
from anthocard.disk.folder import Folder
from anthocard.terminal.houses import house_folder

STEPS = (
    "open", "write", "fsync", "link", "mkdir", "rename", "replace", "unlink", "rmdir", "close",
    "fchmod", "fchown",
)  # fmt: skip
ERRORS = (errno.ENOSPC, errno.EIO)
CSV = "name,glass,method,pours\n" + "".join(
    f"{name},coupe,shaken,50 ml gin; 20 ml lemon juice\n" for name in ("One", "Two", "Three")
)
#: What each is called with, and the files that stand there before, with old content.
COMMANDS = {
    "begin": (["begin", "ROOM/new"], []),
    "import-recipes": (["import", "recipes", "ROOM/drinks.csv", "--house", "ROOM/house"], []),
    "import-stock": (["import", "stock", "ROOM/stock.csv", "--house", "ROOM/house"], []),
    "calibrate": (["calibrate", "lemon juice", "--ph", "2.4", "--house", "ROOM/house"], []),
    "lot": (["lot", "blue gin", "--start", "--house", "ROOM/house"], []),
    "lot-reading": (["lot", "blue gin", "--ph", "6.8", "--house", "ROOM/house"], []),
    "theme": (["theme", "begin", "night", "--house", "ROOM/house"], []),
    "tonight": (
        ["tonight", "--guest", "nuts", "--paper", "ROOM/o.pdf", "--house", "ROOM/house"],
        ["o.pdf"],
    ),
    "schema": (["schema", "--house", "ROOM/house"], ["house/.schema/drink.json"]),
    "export": (["export", "recipes", "--house", "ROOM/house", "--out", "ROOM/o.csv"], ["o.csv"]),
    "export-json": (["export", "json-ld", "--house", "ROOM/house", "--out", "ROOM/a/b/o.json"], []),
    "cards": (["cards", "--house", "ROOM/house", "--out", "ROOM/o.pdf"], ["o.pdf"]),
    "cards-single": (
        ["cards", "--single", "--house", "ROOM/house", "--out", "ROOM/cards"],
        ["cards/first-light.pdf", "cards/mine.pdf"],
    ),
    "labels": (["labels", "--house", "ROOM/house", "--out", "ROOM/o.pdf"], ["o.pdf"]),
    "prep": (
        ["prep", "--serves", "First Light=9", "--house", "ROOM/house", "--out", "ROOM/o.pdf"],
        [],
    ),
    "batch": (
        ["batch", "First Light", "--serves", "9", "--house", "ROOM/house", "--out", "ROOM/o.pdf"],
        ["o.pdf"],
    ),
    "buy": (
        ["buy", "--serves", "First Light=9", "--house", "ROOM/house", "--out", "ROOM/o.pdf"],
        ["o.pdf"],
    ),
    "logs": (["logs", "--house", "ROOM/house", "--out", "ROOM/o.pdf"], ["o.pdf"]),
    "book": (["book", "--house", "ROOM/house", "--out", "ROOM/o.pdf"], ["o.pdf"]),
    "palette": (["palette", "--house", "ROOM/house", "--out", "ROOM/p"], ["p/palette.pdf"]),
}
#: New files, all of which or none are there, even after a death, once somebody has looked.
TOGETHER = ("begin", "import-recipes", "theme")
#: Scratch folders and claims of the door.
OURS = re.compile(r"(^|/)\.anthocard-(files-[0-9a-f]{8}|unfinished)(/|$)")


class Enough(BaseException):
    """The parent has seen what it wanted: its own run of the command ends here."""


def snapshot(room):
    return {
        str(p.relative_to(room)): (p.read_bytes(), p.stat().st_mode) if p.is_file() else None
        for p in room.rglob("*")
        if p.is_file() or not any(p.iterdir())
    }


def restore(room, files):
    for path in room.iterdir():
        shutil.rmtree(path) if path.is_dir() else path.unlink()
    for name, state in files.items():
        path = room / name
        path.parent.mkdir(parents=True, exist_ok=True)
        if state is None:
            path.mkdir()
        else:
            path.write_bytes(state[0])
            path.chmod(state[1])


class Copies:
    """At the door: forks copies that go on, one after another, and judges what each has left."""

    def __init__(self, name, room, ways):
        self.name, self.room, self.ways = name, room, ways
        self.how, self.every = "kill", 1
        self.child = None  # in a copy: where it reports
        self.said = io.StringIO()
        self.steps, self.tried, self.broken = 0, 0, []

    def here(self):
        """Called once, as the command comes to the door: returns in copies alone."""
        self.old = snapshot(self.room)
        start = time.monotonic()
        whole_run = self.copy(0)
        if whole_run is None:
            return
        self.lasts_s = time.monotonic() - start
        self.new = snapshot(self.room)
        if whole_run["code"] != 0 or self.new == self.old:
            self.broken.append(f"undisturbed: {whole_run}")
        self.steps = whole_run["steps"]
        for way in self.ways:
            self.how, first, self.every = way
            steps = range(first, self.steps + 1, self.every)
            for at in range(1, first + 1) if self.how == "random" else steps:
                restore(self.room, self.old)
                told = self.copy(at)
                if told is None:
                    return
                self.tried += 1
                self.judge(f"{self.name}, step {at} {self.how}", told)
                if told["code"] is None and self.finish(at) is None:
                    return
        raise Enough

    def copy(self, at):
        """What a copy said that was broken at a step (0: never); None in the copy itself."""
        reading, writing = os.pipe()
        pid = os.fork()
        if pid == 0:
            self.child, self.taken = writing, 0
            if self.how != "random" or at == 0:
                self.count(at)
            return None
        os.close(writing)
        if self.how == "random" and at:
            time.sleep(random.random() * self.lasts_s)
            os.kill(pid, signal.SIGKILL)
        said = b""
        while part := os.read(reading, 65536):
            said += part
        os.close(reading)
        os.waitpid(pid, 0)
        return json.loads(said) if said else {"code": None, "said": ""}

    def count(self, at):
        def counted(real):
            def step(*given, **named):
                self.taken += 1
                if self.taken == at:
                    if self.how == "kill":
                        os.kill(os.getpid(), signal.SIGKILL)
                    error = ERRORS[at // self.every % 2]
                    raise OSError(error, os.strerror(error))
                return real(*given, **named)

            return step

        for name in STEPS:
            setattr(os, name, counted(getattr(os, name)))
        exchange = Folder.exchange
        Folder.exchange = counted(exchange)

    def judge(self, at, told):
        # What could not be removed when all was done is claimed, and goes with the next look.
        now = {n: state for n, state in snapshot(self.room).items() if not OURS.search(n)}
        code, said = told["code"], told["said"]
        for name in self.old.keys() | self.new.keys():
            if now.get(name) not in (self.old.get(name), self.new.get(name)):
                self.broken.append(f"{at}: {name} is neither old nor new")
        if code is None:
            return
        if now not in (self.old, self.new):
            odd = sorted(now.keys() ^ self.old.keys())
            self.broken.append(f"{at}: neither all nor none, or litter: {odd}")
        nothing = "Nothing was written" in said or "What stood before still stands" in said
        if code == 0 and now != self.new:
            self.broken.append(f"{at}: says it is done: {said}")
        if code != 0 and (now != self.old if nothing else now != self.new):
            self.broken.append(f"{at}: a false word: {said}")
        if code != 0 and not nothing and "Written before that, whole: " not in said:
            self.broken.append(f"{at}: does not say what stands: {said}")
        if "Traceback" in said:
            self.broken.append(f"{at}: {said}")

    def finish(self, at):
        """After a death: the next look at the house makes all or none of it, without litter; where
        files were to be replaced the same command once more. None in the copy that does that.
        """
        if self.name in TOGETHER:
            with redirect_stderr(io.StringIO()):
                if self.name == "begin":
                    with suppress(FileNotFoundError):
                        transaction.finish(self.room / "new")
                else:
                    house_folder(self.room / "house")
            now = snapshot(self.room)
            for folder in ("new",):  # an empty one, of a begin that died before anything stood
                if now.get(folder, 0) is None:
                    del now[folder]
            if now not in (self.old, self.new):
                odd = sorted(now.keys() ^ self.new.keys())
                self.broken.append(f"{self.name}, step {at}: not made good: {odd}")
            return True
        how, self.how = self.how, "kill"
        told = self.copy(0)
        self.how = how
        if told is None:
            return None
        passing = {n for n in snapshot(self.room) if Path(n).name.startswith(f".{self.last}-")}
        now = {n: state for n, state in snapshot(self.room).items() if n not in passing}
        if now != self.new or len(passing) > 1:
            odd = sorted(now.keys() ^ self.new.keys()) + sorted(passing)
            self.broken.append(f"{self.name}, step {at}: not the same once more: {told} {odd}")
        return True


def run(name, room, ways):
    words, standing = COMMANDS[name]
    room.mkdir(parents=True)
    shutil.copytree(STARTER, room / "house")
    (room / "drinks.csv").write_text(CSV)
    (room / "stock.csv").write_text("name,kind\nmarsh spirit,spirit\n")
    lot = "- of: blue gin\n  lot: 26001A\n  made: 2026-01-01\n"
    (room / "house" / "lots.yaml").write_text(lot)
    house = (room / "house" / "house.yaml").read_bytes()
    (room / "house" / "house.yaml").write_bytes(b"\xef\xbb\xbf" + house.replace(b"\n", b"\r\n"))
    for path in standing:
        (room / path).parent.mkdir(parents=True, exist_ok=True)
        (room / path).write_bytes(b"old")
        (room / path).chmod(0o640)
    copies = Copies(name, room, ways)
    real_put, real_put_all = atomic_file.put, transaction.put_all

    def put(path, *given, **named):
        copies.last = path.name
        if copies.child is None:
            copies.here()
        return real_put(path, *given, **named)

    def put_all(*given, **named):
        copies.last = "\0"
        if copies.child is None:
            copies.here()
        return real_put_all(*given, **named)

    atomic_file.put, transaction.put_all = put, put_all
    code = None
    try:
        with redirect_stdout(copies.said), redirect_stderr(copies.said):
            code = cli.main([word.replace("ROOM", str(room)) for word in words])
    except Enough:
        pass
    except BaseException as error:
        copies.said.write(f"Traceback: {error!r}")
        code = 1
    atomic_file.put, transaction.put_all = real_put, real_put_all
    if copies.child is not None:
        taken = copies.taken
        copies.taken = -1_000_000
        told = {"code": code, "said": copies.said.getvalue(), "steps": taken}
        os.write(copies.child, json.dumps(told).encode())
        os._exit(0)
    if code is not None:
        copies.broken.append(f"{name}: never came to the door: {code} {copies.said.getvalue()}")
    shutil.rmtree(room)
    return copies


def main(room, *words):
    ways = []
    for how, _, counts in (word.partition("=") for word in words if "=" in word):
        first, _, every = counts.partition("/")
        ways.append((how, int(first), int(every or 1)))
    names = [word for word in words if "=" not in word]
    ran = [run(name, room / name, ways) for name in names or COMMANDS]
    found = {
        "steps": {one.name: one.steps for one in ran},
        "tried": {one.name: one.tried for one in ran},
        "broken": [told for one in ran for told in one.broken],
    }
    print(json.dumps(found))


main(Path(sys.argv[1]), *sys.argv[2:])
