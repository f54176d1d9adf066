"""A printing condition: the profile a printer gives, what it is called, how much ink it bears.

Belongs here: reading a profile and refusing one that is none for a press. Does not belong here:
colours through it (inks.py), what is written into a file (conversion.py).
"""

from __future__ import annotations

import re
import zlib
from dataclasses import dataclass
from functools import cached_property

from anthocard.diagnostics.tables import read_table

#: The head of an ICC profile: class at 12, colour space at 16, “acsp” at 36 (ICC.1:2010 §7.2).
_CLASS, _SPACE, _SIGNATURE = slice(12, 16), slice(16, 20), slice(36, 40)
#: A name that other programs find in the registry of characterizations; PDF/X asks for one.
_IDENTIFIER = re.compile(r"[\w ().+-]{3,60}")
REGISTRY = "http://www.color.org"


class NoPressProfile(ValueError):  # noqa: N818 - a file of the author's, told as such
    """The file is no profile of a printing condition in four inks; the message says why."""


@dataclass(frozen=True)
class Condition:
    """`icc` is the profile, `identifier` its name in the registry, such as “FOGRA39”; `ink_limit`
    is the sum of the four inks that the paper bears, 1.0 each.
    """

    icc: bytes
    identifier: str
    ink_limit: float

    @cached_property
    def packed(self) -> bytes:
        """The profile deflated, once and not once a card."""
        return zlib.compress(self.icc, 9)


def read_condition(icc: bytes, identifier: str, ink_percent: float | None = None) -> Condition:
    """A condition from the bytes of a profile; `ink_percent` left out is 300.

    Raises NoPressProfile for what is not an output profile of four inks, or a name no press knows.
    """
    if len(icc) < 132 or icc[_SIGNATURE] != b"acsp":
        raise NoPressProfile("it is no ICC profile")
    if icc[_CLASS] != b"prtr" or icc[_SPACE] != b"CMYK":
        kind = f"{icc[_CLASS].decode('latin-1').strip()}, {icc[_SPACE].decode('latin-1').strip()}"
        raise NoPressProfile(f"it is for {kind}, and a press needs an output profile in CMYK")
    if not _IDENTIFIER.fullmatch(identifier):
        raise NoPressProfile(f"“{identifier}” is no name of a printing condition")
    most = read_table(__package__, "inks.yaml")["limits"]["ink"]["value"]
    return Condition(icc, identifier, most if ink_percent is None else ink_percent / 100.0)
