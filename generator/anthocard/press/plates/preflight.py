"""Our own look at a file for a press: what PDF/X-4 (ISO 15930-7) asks, as far as it can be read.

Belongs here: problems of a finished file, in words. Does not belong here: making one
(conversion.py).
There is no open validator of PDF/X: this says what it looked at and is no certificate.
"""

from __future__ import annotations

from collections.abc import Iterator
from io import BytesIO
from typing import Any

_INKS = (None, "/DeviceCMYK", "/DeviceGray")
_XMP = (
    "<pdfxid:GTS_PDFXVersion>PDF/X-4<", "xmp:CreateDate", "xmp:ModifyDate", "xmp:MetadataDate",
    "xmpMM:DocumentID", "xmpMM:RenditionClass", "xmpMM:VersionID", "dc:title", "pdf:Trapped",
)  # fmt: skip
_INFO = ("/CreationDate", "/ModDate", "/Title", "/Trapped")
_POINTS_PER_MM = 72 / 25.4


def problems(pdf: bytes, bleed_mm: float = 3.0) -> tuple[str, ...]:
    """What is wrong with a file, in words; nothing where all that was looked at is right."""
    import pikepdf

    with pikepdf.open(BytesIO(pdf)) as document:
        found = [*_of_file(document), *_of_boxes(document, bleed_mm)]
        seen: set[tuple[int, int]] = set()
        for page in document.pages:
            group = page.obj.get("/Group")
            found += _of_stream(pikepdf, page, page.obj.get("/Resources"), group, seen)
    return tuple(dict.fromkeys(found))


def _of_file(document: Any) -> Iterator[str]:
    if tuple(map(int, document.pdf_version.split("."))) < (1, 6):
        yield f"PDF {document.pdf_version}, where PDF/X-4 asks for 1.6"
    root = document.Root
    intents = [one for one in root.get("/OutputIntents", []) if one.S == "/GTS_PDFX"]
    if len(intents) != 1:
        yield f"{len(intents)} printing conditions"
    for one in intents:
        profile = one.get("/DestOutputProfile")
        if profile is None or profile.read_bytes()[12:20] != b"prtrCMYK" or profile.N != 4:
            yield "its profile is not one of four inks"
        if "/RegistryName" not in one or not str(one.get("/OutputConditionIdentifier", "")):
            yield "its printing condition has no name"
    xmp = root.Metadata.read_bytes().decode() if "/Metadata" in root else ""
    yield from (f"its metadata lack {need}" for need in _XMP if need not in xmp)
    yield from (f"its information lacks {need}" for need in _INFO if need not in document.docinfo)
    if any(key in root for key in ("/AcroForm", "/OpenAction", "/AA")):
        yield "forms or actions"


def _of_boxes(document: Any, bleed_mm: float) -> Iterator[str]:
    for number, page in enumerate(document.pages, start=1):
        if "/TrimBox" not in page.obj or "/ArtBox" in page.obj:
            yield f"page {number} says not how it is trimmed"
            continue
        trim, bleed, media = ([float(v) for v in page.obj.get(key, page.obj.MediaBox)]
                              for key in ("/TrimBox", "/BleedBox", "/MediaBox"))  # fmt: skip
        outward = [*(t - b for t, b in zip(trim[:2], bleed[:2], strict=True)),
                   *(b - t for t, b in zip(trim[2:], bleed[2:], strict=True))]  # fmt: skip
        if min(outward) < bleed_mm * _POINTS_PER_MM - 0.1:
            yield f"page {number} has less than {bleed_mm:g} mm of bleed"
        if any(b < m - 0.01 for b, m in zip(bleed[:2], media[:2], strict=True)):
            yield f"page {number} bleeds beyond its sheet"


def _of_stream(
    pikepdf: Any, stream: Any, resources: Any, group: Any, seen: set[tuple[int, int]]
) -> Iterator[str]:
    if group is not None and group.get("/CS") not in _INKS:
        yield f"a group in {group.CS}"
    resources = {} if resources is None else resources
    for shading in dict(resources.get("/Shading", {})).values():
        if shading.ColorSpace not in _INKS:
            yield f"a gradient in {shading.ColorSpace}"
    yield from _of_operators(pikepdf, stream, dict(resources.get("/ExtGState", {})))
    inner = [*dict(resources.get("/XObject", {})).values()]
    inner += [p for p in dict(resources.get("/Pattern", {})).values() if p.PatternType == 1]
    for one in inner:
        if one.objgen in seen:
            continue
        seen.add(one.objgen)
        if one.get("/Subtype") == "/Image":
            if one.get("/ColorSpace") not in _INKS:
                yield f"a picture in {one.ColorSpace}"
        else:
            yield from _of_stream(
                pikepdf, one, one.get("/Resources", resources), one.get("/Group"), seen
            )


def _of_operators(pikepdf: Any, stream: Any, states: dict[str, Any]) -> Iterator[str]:
    fill: tuple[float, ...] = ()
    over, stack = False, []
    for operands, operator in pikepdf.parse_content_stream(stream):
        match str(operator):
            case "q":
                stack.append((fill, over))
            case "Q":
                fill, over = stack.pop() if stack else ((), False)
            case "rg" | "RG":
                yield "a colour in RGB"
            case "k":
                fill = tuple(float(v) for v in operands)
            case "gs" if "/op" in (state := states.get(str(operands[0]), {})):
                over = bool(state["/op"])
            case "Tj" | "TJ" if fill:
                if sum(v > 0 for v in fill) > 1:
                    yield "type in more than one ink"
                if not any(fill) and over:
                    yield "white type that overprints, and vanishes"
            case _:
                pass
