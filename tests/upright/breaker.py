"""Break a publish at every step it takes on the disk, one after another. Run by test_breaking.py.

usage: breaker.py FOLDER error|kill exchange|rename [EVERY FIRST]
       breaker.py FOLDER moment NUMBER

Each step (every open, write, fsync, mkdir, rename, unlink …, the exchange of two folders and the
closing note) is counted. For each number a child publishes, and at that step it gets an error or is
killed; another child then publishes undisturbed. With EVERY and FIRST only every so-manieth step
is broken, from that one on. With `moment` it is killed so many times after a
random time instead. Beside the pages lie files of others. Prints one JSON object: how many steps
there were and every broken promise, in words.
"""

import argparse
import errno
import io
import json
import os
import random
import shutil
import signal
import sys
import time
from contextlib import redirect_stderr
from pathlib import Path
from types import SimpleNamespace

from anthocard import cli
from anthocard.commands import publish as command
from anthocard.disk.folder import Folder
from anthocard.disk.listing import LIST
from anthocard.press.build import plan
from anthocard.press.build.fingerprint import RECORD
from anthocard.press.data.worked import as_worked
from anthocard.press.proof import house_warnings
from anthocard.press.store.key import Target, code, own_folders

OPEN, CLOSE = os.open, os.close
STEPS = ("open", "write", "fsync", "link", "mkdir", "rename", "replace", "unlink", "rmdir", "close")
OLD, NEW = "old", "new"
#: What is only looked at there is this package itself: no step on anybody's files.
OWN = tuple(map(str, own_folders()))
#: What others have in the folders and beside them, by path below `build`.
OTHERS = {
    "kept.txt": "mine", "guest/CNAME": "bar.example", "guest/.git/HEAD": "ref: pages",
    "guest/assets/photo.jpg": "jpg", "staff/.htaccess": "deny from all",
}  # fmt: skip


def contents_of(age):
    names = ("guest/index.html", "guest/assets/a.css", "staff/index.html", "staff/data/one.json")
    extra = {"guest/gone.html"} if age == OLD else {"staff/come.html"}
    made = {name: Target(name, "", given(f"{age} {name}")) for name in (*names, *extra)}
    # What has a key is taken over unread where the record knows it: changed, and never changed.
    made["staff/one.html"] = Target("one", {OLD: "1a", NEW: "2b"}[age] * 20, given(f"{age} one"))
    made["staff/two.html"] = Target("two", "3c" * 20, given("two"))
    return made


def given(text):
    return lambda press: text.encode()


def files(folder):
    found = {
        str(p.relative_to(folder)): p.read_bytes()
        for p in folder.rglob("*")
        if p.is_file() and p.name != "offline.js"
    }
    others = {path.partition("/")[2] for path in OTHERS}
    return {name: content for name, content in found.items() if name not in (LIST, *others)}


def lost(room, everywhere):
    """Files of others that are not there any more; `everywhere`: nor in a scratch folder."""
    missing = []
    for path, text in OTHERS.items():
        places = [room / "build" / path]
        if everywhere:
            places += [p for p in room.rglob(Path(path).name) if p.as_posix().endswith(path)]
        if not any(p.is_file() and p.read_text() == text for p in places):
            missing.append(path)
    return missing


def age_of(folder, name):
    for age in (OLD, NEW):
        wanted = {p: one.make(None) for p, one in contents_of(age).items() if p.startswith(name)}
        if files(folder / name) == {path.partition("/")[2]: c for path, c in wanted.items()}:
            return age
    return f"neither: {sorted(files(folder / name))}"


def words_of(error):
    """Which build stands, as the screen tells it after an error."""
    screen = io.StringIO()
    with redirect_stderr(screen):
        cli._leave(error)
    told = screen.getvalue()
    if "What stood before still stands; nothing half written." in told:
        return f"refused, {OLD} stands"
    both = all(f"/build/{name}" in told for name in ("guest", "staff"))
    return f"refused, {NEW} stands" if "Written before that, whole:" in told and both else told


def publish(room, age, break_at=0, how="error"):
    """In a child: how many steps were taken, or how it ended."""
    reading, writing = os.pipe()
    child = os.fork()
    if child:
        os.close(writing)
        if how == "moment":
            time.sleep(random.random() * break_at)
            os.kill(child, signal.SIGKILL)
        said = os.read(reading, 1000).decode()
        os.close(reading)
        _, status = os.waitpid(child, 0)
        return said or f"ended {status}"
    taken, apart = 0, {writing}

    def counted(real):
        def step(*given, **named):
            nonlocal taken
            if given[0] in apart:
                apart.difference_update(given[:1] if real is CLOSE else ())
                return real(*given, **named)
            if real is OPEN and str(given[0]).startswith(OWN):
                apart.add(handle := real(*given, **named))
                return handle
            taken += 1
            if taken == break_at and how != "moment":
                if how == "kill":
                    os.kill(os.getpid(), signal.SIGKILL)
                raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
            return real(*given, **named)

        return step

    plan.contents = lambda *_: contents_of(age)
    house_warnings.house_warnings = lambda *_: ()
    plan.leaks = lambda *_: ()  # there is no house whose words could leak
    collection = SimpleNamespace(
        house=SimpleNamespace(press=None, language="en", web=None, staff_web=None), changes_on=()
    )
    command.house_computed = lambda folder, store: (collection, as_worked(None, {}), ())
    options = argparse.Namespace(
        house=room / "house", out=room / "build", theme="base", no_paper=True, only=None,
        again=True, quiet=True, json=False, cache=room / "cache", processes=1, share=None,
        join=[], cache_most=None, cache_key=None, press=None, headers=False, pack=False,
    )  # fmt: skip
    for name in STEPS:
        setattr(os, name, counted(getattr(os, name)))
    Folder.exchange = counted(Folder.exchange)
    try:
        command.run(options)
        said = f"took {taken}"
    except OSError as error:
        said = words_of(error)
    except BaseException as error:
        said = f"wrong error: {error!r}"[:100]
    os.write(writing, said.encode())
    os._exit(0)


def main(room, how, way, every="1", first="1"):
    if way == "rename":
        Folder.exchange = lambda *_: False
    (room / "house").mkdir(parents=True)
    (room / "house" / "house.yaml").write_text("name: x")
    code()  # the same for all children: worked out once
    steps, broken = 0, []
    at, tried, lasts_s = int(first) - int(every), 0, 0.0
    while how != "moment" or at < int(way):
        at, tried = at + int(every), tried + 1
        for name in ("build", "cache"):
            shutil.rmtree(room / name, ignore_errors=True)
        publish(room, OLD)
        for path, text in OTHERS.items():
            (room / "build" / path).parent.mkdir(exist_ok=True)
            (room / "build" / path).write_text(text)
        said = publish(room, NEW, lasts_s if how == "moment" else at, how)
        guest, staff = age_of(room / "build", "guest"), age_of(room / "build", "staff")
        if said.startswith("took"):
            steps = int(said.split()[1])
        elif how == "error" and said != f"refused, {guest} stands":
            broken.append(f"step {at}: guest {guest}, and the screen says: {said}")
        whole = {guest, staff} <= {OLD, NEW}
        # Killed between the two folders each is whole and they differ, until the next publish;
        # without an exchange one may be missing for that long.
        if way != "rename" and not whole:
            broken.append(f"step {at}: guest {guest}, staff {staff}")
        if how == "error" and (guest != staff or not whole):
            broken.append(f"step {at}: after an error guest {guest}, staff {staff}")
        if gone := lost(room, everywhere=not said.startswith(("took", "refused"))):
            broken.append(f"step {at}: what is not ours is gone: {gone}")
        start = time.monotonic()
        again = publish(room, NEW)
        lasts_s = time.monotonic() - start
        if gone := lost(room, everywhere=False):
            broken.append(f"step {at}: what is not ours did not come along: {gone}")
        left = sorted(p.name for p in (*room.iterdir(), *(room / "build").iterdir()))
        wanted = sorted(["build", "cache", "house", "guest", "staff", "kept.txt", RECORD])
        ages = {age_of(room / "build", name) for name in ("guest", "staff")}
        if not again.startswith("took") or ages != {NEW} or left != wanted:
            broken.append(f"step {at}: did not mend: {again}, {ages}, {left}")
        if said.startswith("took") and at > steps and how != "moment":
            break
    tried -= how != "moment"  # the last one was past the last step
    print(json.dumps({"steps": steps, "tried": tried, "broken": broken}))


main(Path(sys.argv[1]), *sys.argv[2:])
