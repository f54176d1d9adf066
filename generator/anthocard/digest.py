"""Short prints of long contents: the only module that hashes.

Belongs here: the two functions and when to take which. Does not belong here: what a key is made of
(press/store/key.py), an edition stamp (engine/edition.py).

BLAKE2b is that of RFC 7693, keyed or not; SHA-256 that of FIPS 180-4, which browsers ask for.
"""

from __future__ import annotations

from hashlib import blake2b, sha256 as _sha256


def digest(content: bytes, size: int = 20, key: bytes = b"") -> bytes:
    """`size` bytes (1 … 64) of BLAKE2b; with a `key` (≤ 64 bytes) only who has it can make them."""
    return blake2b(content, digest_size=size, key=key).digest()


def sha256(content: bytes) -> bytes:
    """The 32 bytes by which a policy of a page knows a script."""
    return _sha256(content).digest()
