"""For whoever hosts the folders: headers as two kinds of hosts read them, and files packed ahead.

Belongs here: which of those files there are and what they say. Does not belong here: which pages
there are (html/), writing any of it (build/plan.py).
"""

from __future__ import annotations

import gzip
from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Final, NamedTuple
from urllib.parse import urlsplit

#: Endings of what is smaller when packed; pictures and faces are packed already.
PACKED: Final = (".html", ".css", ".js", ".json", ".svg", ".webmanifest")
#: Endings of what packing makes.
PACKINGS: Final = (".gz", ".br")
#: What every answer is to carry: no page in a stranger's frame, no guessing at kinds of files.
ALWAYS: Final = {
    "Content-Security-Policy": "frame-ancestors 'none'",
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Cache-Control": "no-cache",
}
#: Names in there hold a print of the bytes: a browser may keep them for good (RFC 8246).
FOR_GOOD: Final = "public, max-age=31536000, immutable"


class Hosting(NamedTuple):
    """What is added for a host: sample header files, and each text packed ahead."""

    headers: bool = False
    pack: bool = False


NO_HOST: Final = Hosting()


def for_hosts(
    hosting: Hosting,
    folders: Mapping[str, tuple[str | None, str]],
    files: Sequence[str],
    read: Callable[[str], bytes],
) -> Iterator[tuple[str, bytes]]:
    """Path and content of what is added to `files`, each of which `read` reads.

    `folders` are those that are hosted, each with its address and its page for what is lost (or
    nothing); one in which no file stands is left empty.
    """
    for folder, (address, lost) in folders.items():
        below = [path for path in files if path.startswith(f"{folder}/")]
        if hosting.headers and below:
            for name, text in header_files(address, lost).items():
                yield f"{folder}/{name}", text.encode()
        for path in (path for path in below if hosting.pack and path.endswith(PACKED)):
            for ending, content in packed(read(path)).items():
                yield f"{path}{ending}", content


def header_files(address: str | None, lost: str) -> Mapping[str, str]:
    """Two samples by name, for a folder that is hosted at an address (at the root without one),
    `lost` its page for an address that is gone, or nothing.

    `_headers` is read by several hosts of static files, path by path; `.htaccess` by the Apache
    HTTP Server (mod_headers, core).
    """
    below = urlsplit(address).path.rstrip("/") if address else ""
    lines = "".join(f"  {name}: {value}\n" for name, value in ALWAYS.items())
    rules = "".join(f'  Header set {name} "{value}"\n' for name, value in ALWAYS.items())
    return {
        "_headers": (
            "# A sample for hosts that read a file of this name. Later lines add to earlier ones:\n"
            "# the “!” takes the first Cache-Control back.\n"
            f"{below}/*\n{lines}"
            f"{below}/assets/*\n  ! Cache-Control\n  Cache-Control: {FOR_GOOD}\n"
        ),
        ".htaccess": (
            "# A sample for the Apache HTTP Server.\n"
            + (f"ErrorDocument 404 {below}/{lost}\n" if lost else "")
            + f"<IfModule mod_headers.c>\n{rules}"
            r'  <FilesMatch "\.[0-9a-f]{8}\.(css|js|woff2|png|webp|webmanifest)$">'
            f'\n    Header set Cache-Control "{FOR_GOOD}"\n'
            "  </FilesMatch>\n</IfModule>\n"
        ),
    }


def packed(content: bytes) -> Mapping[str, bytes]:
    """A file packed ahead, by ending: gzip (RFC 1952) and Brotli (RFC 7932); the same each time."""
    import brotli  # type: ignore[import-untyped]

    return {".gz": gzip.compress(content, 9, mtime=0), ".br": brotli.compress(content, quality=11)}
