"""Every word a finished file shows or hides: pages, scripts, data, papers, pictures.

Belongs here: how each kind of file is taken apart until its words can be read. Does not belong
here: which words may be in it (leaks.py).
"""

from __future__ import annotations

import gzip
import html
import io
import re
from collections.abc import Iterator
from typing import Any, Final

_TAG: Final = re.compile(r"<[^<>]*>")
_CODE: Final = re.compile(r"<(script|style)\b.*?</\1>", re.DOTALL)
_DATA: Final = re.compile(r'<script type="application/[^>]*>(.*?)</script>', re.DOTALL)
_ESCAPED: Final = re.compile(r"\\u([0-9a-fA-F]{4})")
_DATA_FILES: Final = ("json", "webmanifest")
_CODES: Final = re.compile(rb"<([0-9a-fA-F\s]+)>")
_RANGES: Final = re.compile(rb"begin(bfchar|bfrange)(.*?)end\1", re.DOTALL)
_TEXTS: Final = ("html", "css", "js", "json", "svg", "txt", "webmanifest", "xml")


def shown(name: str, content: bytes) -> Iterator[tuple[str, bool]]:
    """Texts that together hold every word of a file, and whether each is read as words.

    Code and drawings are not: any figure may stand there. Of an unknown kind, the bytes as they
    are. Raises whatever a broken file makes its reader raise.
    """
    ending = name.rpartition(".")[2].lower()
    yield name, False
    if ending in _TEXTS:
        yield from _of_text(content.decode("utf-8", "replace"), ending in _DATA_FILES)
    elif ending == "pdf":
        yield from _of_pdf(content)
    elif ending == "gz":
        yield from shown(name[:-3], gzip.decompress(content))
    elif ending == "br":
        import brotli  # type: ignore[import-untyped]

        yield from shown(name[:-3], brotli.decompress(content))
    elif ending in ("png", "jpg", "jpeg", "webp"):
        yield from ((text, True) for text in _of_picture(content))
    elif ending not in ("woff2", "woff"):  # faces of our own packages, compressed
        yield content.decode("utf-8", "replace"), False


def _of_text(text: str, data: bool = False) -> Iterator[tuple[str, bool]]:
    """As it is written, with entities and escapes resolved, then without its tags."""
    text = _ESCAPED.sub(lambda code: chr(int(code[1], 16)), text)
    yield html.unescape(text), data
    if "<" in text:
        yield html.unescape(_TAG.sub(" ", _CODE.sub(" ", text))), True
        yield from ((html.unescape(found), True) for found in _DATA.findall(text))


def _of_picture(content: bytes) -> Iterator[str]:
    from PIL import Image

    with Image.open(io.BytesIO(content)) as picture:
        for key, value in picture.info.items():
            yield f"{key} {value.decode('utf-8', 'replace') if isinstance(value, bytes) else value}"
        for value in picture.getexif().values():
            yield str(value)


def _of_pdf(content: bytes) -> Iterator[tuple[str, bool]]:
    """Titles, notes, attached files and every other string of it, then the words of its pages."""
    import pikepdf

    with pikepdf.open(io.BytesIO(content)) as pdf:
        for thing in pdf.objects:
            yield from ((text, True) for text in _strings(thing))
            if isinstance(thing, pikepdf.Stream) and not _is_picture(thing):
                yield from _of_text(thing.read_bytes().decode("utf-8", "replace"))
        for page in pdf.pages:
            yield _of_page(page), True


def _is_picture(stream: Any) -> bool:
    names = {"/Subtype": ("/Image",), "/Type": ("/XRef", "/ObjStm")}
    fonts = {"/Length1", "/Length2", "/Length3"} & {str(key) for key in stream.keys()}  # noqa: SIM118
    return bool(fonts) or any(str(stream.get(key, "")) in kinds for key, kinds in names.items())


def _strings(thing: Any, deep: int = 0) -> Iterator[str]:
    import pikepdf

    if isinstance(thing, pikepdf.String):
        yield str(thing)
    elif deep < 8 and isinstance(thing, pikepdf.Dictionary | pikepdf.Stream):
        for key in thing.keys():  # noqa: SIM118
            yield from _strings(thing[key], deep + 1) if not _led(thing[key]) else ()
    elif deep < 8 and isinstance(thing, pikepdf.Array):
        for one in thing:
            yield from _strings(one, deep + 1) if not _led(one) else ()


def _led(thing: Any) -> bool:
    """Whether a thing stands elsewhere in the file, where it is read by itself."""
    return bool(getattr(thing, "is_indirect", False))


def _of_page(page: Any) -> str:
    """The words of a page, through the tables its fonts have for copying text."""
    import pikepdf

    fonts = page.obj.get("/Resources", {}).get("/Font", {})
    letters = {key: _letters(fonts[key]) for key in fonts.keys()}  # noqa: SIM118
    words: list[str] = []
    current: dict[bytes, str] = {}
    for step in pikepdf.parse_content_stream(page):
        operands, sign = step.operands, str(step.operator)
        if sign == "Tf":
            current = letters.get(str(operands[0]), {})
        elif sign in ("Tj", "'", '"'):
            words.append(_read(bytes(operands[-1]), current))
        elif sign == "TJ":
            parts = (bytes(one) for one in operands[0] if isinstance(one, pikepdf.String))
            words.append("".join(_read(part, current) for part in parts))
        elif sign in ("Td", "TD", "T*", "Tm", "ET"):
            words.append(" ")
    return "".join(words)


def _read(codes: bytes, letters: dict[bytes, str]) -> str:
    if not letters:
        return codes.decode("latin-1")
    size = len(next(iter(letters)))
    return "".join(letters.get(codes[at : at + size], " ") for at in range(0, len(codes), size))


def _letters(font: Any) -> dict[bytes, str]:
    table = font.get("/ToUnicode")
    if table is None:
        return {}
    found: dict[bytes, str] = {}
    for sort, body in _RANGES.findall(table.read_bytes()):
        codes = [bytes.fromhex(code.decode()) for code in _CODES.findall(body)]
        if sort == b"bfchar":
            found |= {a: _utf16(b) for a, b in zip(codes[::2], codes[1::2], strict=False)}
            continue
        for first, last, start in zip(codes[::3], codes[1::3], codes[2::3], strict=False):
            for step in range(int.from_bytes(last) - int.from_bytes(first) + 1):
                code = (int.from_bytes(first) + step).to_bytes(len(first))
                found[code] = _utf16((int.from_bytes(start) + step).to_bytes(len(start)))
    return found


def _utf16(code: bytes) -> str:
    return code.decode("utf-16-be", "replace")
