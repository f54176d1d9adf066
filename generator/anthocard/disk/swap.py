"""Putting finished folders in the place of the last ones, whole, whatever happens meanwhile.

Belongs here: a build that grows beside `out`, one publish at a time, the swap, and mending after a
death in the middle of it. Does not belong here: what is written, and what of it is ours
(listing.py, scratch.py).

The order that keeps it whole:
  1. one process holds the lock on `out`; the system lets it go when that process ends, however;
  2. everything is written into a scratch folder beside `out` and flushed to the disk, last of all
     the list of what is ours; files that others put into the standing folders get a second name
     in the new ones;
  3. a journal in `out` tells what is to move: from here on, forwards;
  4. each folder changes places with its forerunner in one step, where the system has such a step;
  5. what else others put into the forerunners is moved over;
  6. the journal goes, then of the forerunners what their lists name, then the scratch folder.
A process that dies before 3 leaves the old build and some rubbish; after 3, the next publish
finishes what was begun. An error (and Ctrl-C) undoes 4 and 5 at once.
"""

from __future__ import annotations

import errno
import json
import os
import stat
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import ExitStack, contextmanager, suppress
from pathlib import Path
from typing import Final

from anthocard.disk import completed, exchange, scratch
from anthocard.disk.atomic_file import drop_folders, make_folders, write_own
from anthocard.disk.folder import Folder
from anthocard.disk.listing import in_the_way, link_over, read_list, strangers, write_list
from anthocard.disk.lock import held
from anthocard.disk.refused import Foreign, Refused, names

JOURNAL: Final = ".anthocard-swap"
CLAIM: Final = ".anthocard-scratch"
#: The folders that are ever swapped, whatever a journal says.
BUILT: Final = ("guest", "staff")


@contextmanager
def alone(out: Path) -> Iterator[None]:
    """Hold `out` (made if need be) against any other publish; raises Busy when one is at work.

    What a dead one left half done is finished first. Raises Foreign where a folder stands that is
    not ours.
    """
    made = make_folders(out)
    try:
        with held(out):
            mend(out)
            _refuse_foreign(out)
            scratch.at_work(out)
            yield
    finally:
        drop_folders(made)  # only if nothing came of it


def mend_all(outs: Iterable[Path]) -> None:
    """Finish or drop what processes that died left half done in some folders, where it is ours and
    nobody else does so.
    """
    for out in outs:
        with suppress(OSError, Refused):
            if out.is_dir():
                with held(out):
                    mend(out)


class Scratch:
    """A folder beside `out` where the next build grows."""

    def __init__(self, out: Path) -> None:
        self.out = out
        with ExitStack() as doors:
            self._home = doors.enter_context(Folder.at(out))
            place = _beside(out)
            self._place = doors.enter_context(Folder.at(place))
            self._name = scratch.make(self._home, self._place, _prefix(out), CLAIM)
            self.folder = place / self._name
            self._scratch = doors.enter_context(self._place.below(self._name))
            for name in (exchange.NEW, exchange.OLD):
                self._scratch.mkdir(name)
            self._new = doors.enter_context(self._scratch.below(exchange.NEW))
            self._doors = doors.pop_all()
        self._made: dict[str, Folder] = {}
        self._stands: dict[str, Folder | None] = {}
        self._files: set[str] = set()

    def write(self, path: str, content: bytes) -> None:
        """One file, flushed to the disk; raises OSError (a full disk shows itself here)."""
        folder, name = self._room(path)
        if not self._same_again(path, content):
            folder.write_new(name, content)
        self._files.add(path)

    def take_over(self, path: str) -> bool:
        """Let a file that stands stand in this build too, unread; False where it must be made."""
        now, name = self._place_now(path)
        if now is None:
            return False
        folder, _ = self._room(path)
        try:
            now.link(name, folder, name)
        except OSError:  # gone meanwhile, or a file system without links
            return False
        self._files.add(path)
        return True

    @property
    def files(self) -> tuple[str, ...]:
        """Every file of this build by its path, made or taken over."""
        return tuple(sorted(self._files))

    def read(self, path: str) -> bytes:
        """One file as it was written."""
        folder, _, name = path.rpartition("/")
        return self._made[folder].read(name) or b""

    def before(self, path: str) -> bytes | None:
        """A file of ours as it stands now; None where there is none."""
        folder, _, rest = path.partition("/")
        with suppress(FileNotFoundError), self._home.below(folder) as now:
            if rest in (read_list(now) or ()):
                at, name = self._place_now(path)
                return at.read(name) if at is not None else None
        return None

    def carry_over(self, folders: Sequence[str], stays: Callable[[str], bool]) -> None:
        """Start from what stands: files of ours whose path `stays` and are not made again stay."""
        for folder in folders:
            with suppress(FileNotFoundError), self._home.below(folder) as now:
                for path in sorted(filter(stays, read_list(now) or ())):
                    if not self.take_over(f"{folder}/{path}"):
                        at, name = self._place_now(f"{folder}/{path}")
                        content = at.read(name) if at is not None else None
                        if content is not None:
                            self.write(f"{folder}/{path}", content)

    def swap_in(self, folders: Sequence[str]) -> None:
        """Put every folder that was made in its place; on an error all of them are as before.

        Raises Foreign where a file of somebody else's stands under the name of a new one.
        """
        made = [name for name in folders if any(p.startswith(f"{name}/") for p in self._files)]
        foreign = {name: self._finish(name) for name in made}
        for folder in (*self._made.values(), self._new):
            folder.flush()
        inodes = {name: exchange.inode(self._new, name) or 0 for name in made}
        done: list[str] = []
        moved: dict[str, list[str]] = {}
        try:
            write_own(self._home, JOURNAL, json.dumps(inodes).encode())
            for name in made:
                done.append(name)
                exchange.put(self._scratch, name, self._home)
            for name in filter(foreign.get, made):
                moved[name] = exchange.carry(self._scratch, name, self._home)
            self._home.flush()
            self._home.unlink(JOURNAL)
        except BaseException:
            for name in reversed(done):
                if moved.get(name):
                    exchange.carry_back(self._scratch, name, self._home, moved[name])
                exchange.take_back(self._scratch, name, self._home, inodes[name])
            self._home.unlink(JOURNAL)
            raise
        for name in made:
            completed.note(self.out / name)

    def discard(self) -> None:
        """Drop it, unless a journal still needs it."""
        if self._home.state(JOURNAL) is None:
            with suppress(OSError):
                exchange.clear(self._home, self._place, self._name, CLAIM, BUILT)
        for folder in (*self._made.values(), *filter(None, self._stands.values())):
            folder.close()
        self._doors.close()

    def _room(self, path: str) -> tuple[Folder, str]:
        """Where a file is to be, with nothing there yet."""
        folder, _, name = path.rpartition("/")
        if folder not in self._made:
            self._made[folder] = self._new.down(folder.split("/"), make=True)
        if path in self._files:
            self._made[folder].unlink(name)
            self._files.discard(path)
        return self._made[folder], name

    def _place_now(self, path: str) -> tuple[Folder | None, str]:
        """Where a file would stand now; no link on the way is followed."""
        folder, _, name = path.rpartition("/")
        if folder not in self._stands:
            try:
                self._stands[folder] = self._home.down(folder.split("/"))
            except OSError:
                self._stands[folder] = None
        return self._stands[folder], name

    def _same_again(self, path: str, content: bytes) -> bool:
        """Let a file that stands with this very content stand in this build too, on disk once."""
        now, name = self._place_now(path)
        try:
            if now is None or now.read(name) != content:
                return False
        except OSError:
            return False
        return self.take_over(path)

    def _finish(self, name: str) -> bool:
        """Write the list of a new folder, and see that what others put into the old one has room.

        True where there is anything of others.
        """
        ours = [p.removeprefix(f"{name}/") for p in self._files if p.startswith(f"{name}/")]
        with self._new.below(name) as new:
            write_list(new, ours)
            with suppress(FileNotFoundError), self._home.below(name) as old:
                others = list(strangers(old, read_list(old) or frozenset()))
                taken = in_the_way(new, others)
                if taken:
                    raise Foreign(
                        self.out / name,
                        f"files of the new build have the names of others: {names(taken)}",
                        "move them away, or name another folder with --out",
                    )
                link_over(old, new, others)
                return bool(others)
        return False


@contextmanager
def scratch_beside(out: Path) -> Iterator[Scratch]:
    """A Scratch that is gone at the end."""
    one = Scratch(out)
    try:
        yield one
    finally:
        one.discard()


def mend(out: Path) -> None:
    """Finish the swap of a publish that died in it, and clear away what it left."""
    with Folder.at(out) as home, Folder.at(_beside(out)) as place:
        name = scratch.claimed(home, place, _prefix(out), CLAIM)
        if name is not None:
            with place.below(name) as left:
                for folder, inode in _journal(home).items():
                    exchange.finish(left, folder, home, inode)
            home.flush()
        home.unlink(JOURNAL)
        if name is not None:
            try:
                exchange.clear(home, place, name, CLAIM, BUILT)
            except OSError as error:  # something of others came into it meanwhile: it all stays
                if error.errno not in (errno.ENOTEMPTY, errno.EEXIST):
                    raise
        home.unlink(CLAIM)


def _journal(home: Folder) -> dict[str, int]:
    """Which folders were to move, and the new ones' inodes; of ours alone."""
    try:
        journal = json.loads(home.read(JOURNAL) or b"{}")
    except (OSError, ValueError, RecursionError):
        return {}
    pairs = journal.items() if isinstance(journal, dict) else ()
    return {name: inode for name, inode in pairs if name in BUILT and isinstance(inode, int)}


def _refuse_foreign(out: Path) -> None:
    """Raise Foreign where `guest` or `staff` is no folder, or one that we did not make."""
    with Folder.at(out) as home:
        for name in BUILT:
            state = home.state(name)
            if state is None:
                continue
            if not stat.S_ISDIR(state.st_mode):
                what = "a link" if stat.S_ISLNK(state.st_mode) else "no folder"
                mend = "name another folder with --out, or remove it"
                raise Foreign(out / name, f"this is {what}, and was not made by anthocard", mend)
            with home.below(name) as folder:
                if read_list(folder) is None and (found := sorted(strangers(folder, frozenset()))):
                    raise Foreign(
                        out / name,
                        f"this folder was not made by anthocard; it holds {names(found)}",
                        "name another folder with --out, or move it away",
                    )


def _prefix(out: Path) -> str:
    return f".{out.resolve().name}-scratch-"


def _beside(out: Path) -> Path:
    """Where scratch folders lie: beside `out`, or in it where that is no place for them."""
    parent = out.resolve().parent
    one_disk = parent.stat().st_dev == out.stat().st_dev
    return parent if one_disk and os.access(parent, os.W_OK) else out.resolve()
