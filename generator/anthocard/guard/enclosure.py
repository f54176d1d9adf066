"""A process shut in: it writes nowhere but below some folders, and makes no connection.

Belongs here: asking the system for that. Does not belong here: limits of time and memory
(limits.py), who is shut in and when.

On Linux by Landlock (the numbers are those of linux/landlock.h, version 2 of its interface and
later) and a filter of the one call that opens a socket (linux/seccomp.h, linux/filter.h). It holds
for the thread that asks and for all that it starts, and it cannot be undone: so only in a process
that is ours for this alone. Where the system has no such thing nothing is done; papers and pages
are then held by what they are given: no fetcher, no loader but of their own folders.
"""

from __future__ import annotations

import ctypes
import os
import platform
import struct
import sys
from collections.abc import Iterable
from contextlib import suppress
from pathlib import Path
from typing import Any, Final

_CREATE, _ADD, _RESTRICT = 444, 445, 446  # landlock_*: the same on every architecture since 5.13
_VERSION, _PATH_BENEATH = 1, 1
_EXECUTE: Final = 1 << 0
#: By the version of the interface that brought them: write to a file, remove and make entries of
#: every kind (1 << 4 … 12); move or link into another folder; cut a file off.
_WRITES: Final = {1: (1 << 1) | sum(1 << bit for bit in range(4, 13)), 2: 1 << 13, 3: 1 << 14}
#: Of a file that is no folder only these can be allowed.
_OF_A_FILE: Final = (1 << 1) | (1 << 14)
_NO_NEW_PRIVILEGES, _SET_SECCOMP, _FILTER = 38, 22, 2
#: By machine: its name in linux/audit.h, and the number of the call `socket`.
_SOCKETS: Final = {"x86_64": (0xC000003E, 41), "aarch64": (0xC00000B7, 198)}
_AF_UNIX: Final = 1


def enclose(writable: Iterable[Path | str], run: bool = False, connect: bool = False) -> bool:
    """From here on write only below `writable`; other programs, and connections to other machines,
    only if `run` and `connect` allow it. False where the system cannot keep to that.
    """
    if sys.platform != "linux":
        return False
    libc: Any = ctypes.CDLL(None, use_errno=True)
    version = libc.syscall(_CREATE, None, ctypes.c_size_t(0), _VERSION)
    # Without the second version nothing could be moved between folders, not even allowed ones.
    if version < 2 or libc.prctl(_NO_NEW_PRIVILEGES, 1, 0, 0, 0) != 0:
        return False
    rights = sum(bits for since, bits in _WRITES.items() if since <= version)
    handled = struct.pack("Q", rights | (0 if run else _EXECUTE))
    rules = libc.syscall(_CREATE, handled, ctypes.c_size_t(len(handled)), 0)
    if rules < 0:
        return False
    try:
        for path in writable:
            with suppress(OSError):  # what is not there cannot be written to
                _allow(libc, rules, path, rights)
        shut = libc.syscall(_RESTRICT, rules, 0) == 0
    finally:
        os.close(rules)
    return shut and (connect or _no_sockets(libc))


def _allow(libc: Any, rules: int, path: Path | str, rights: int) -> None:
    handle = os.open(path, os.O_PATH)
    try:
        wanted = rights if os.path.isdir(path) else rights & _OF_A_FILE  # noqa: PTH112
        rule = struct.pack("=Qi", wanted, handle)
        libc.syscall(_ADD, rules, _PATH_BENEATH, rule, 0)
    finally:
        os.close(handle)


def _no_sockets(libc: Any) -> bool:
    """Refuse every socket but those between processes of this machine, with EACCES."""
    if platform.machine() not in _SOCKETS:
        return False
    machine, call = _SOCKETS[platform.machine()]
    load, equal, give = 0x20, 0x15, 0x06  # BPF_LD|W|ABS, BPF_JMP|JEQ|K, BPF_RET|K
    allow, refuse = 0x7FFF0000, 0x00050000 | 13
    steps = (
        (load, 0, 0, 4),  # seccomp_data.arch
        (equal, 0, 5, machine),  # of another one: refuse all
        (load, 0, 0, 0),  # seccomp_data.nr
        (equal, 0, 2, call),
        (load, 0, 0, 16),  # its first argument
        (equal, 0, 1, _AF_UNIX),
        (give, 0, 0, allow),
        (give, 0, 0, refuse),
    )
    code = ctypes.create_string_buffer(b"".join(struct.pack("HBBI", *step) for step in steps))
    program = struct.pack("HxxxxxxP", len(steps), ctypes.addressof(code))
    return bool(libc.prctl(_SET_SECCOMP, _FILTER, program, 0, 0) == 0)
