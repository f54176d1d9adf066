"""The archive form of a paper: PDF/A-3a and PDF/UA-1 in one file, and its boxes put right.

Belongs here: what is added to a finished PDF. Does not belong here: setting it (typeset.py).

WeasyPrint writes either; a file may be both, since PDF/A lets in foreign metadata whose schema it
describes (ISO 19005-3 §6.6.2.3; ISO 14289-1 §5, §7.1). The CI asks veraPDF whether it holds.
"""

from __future__ import annotations

from collections.abc import Iterator
from io import BytesIO
from typing import Any

from anthocard.press.base.sizes import POINTS_PER_MM, Paper

PART = """<rdf:Description rdf:about=""
 xmlns:pdfuaid="http://www.aiim.org/pdfua/ns/id/" pdfuaid:part="1"/>
<rdf:Description rdf:about=""
 xmlns:pdfaExtension="http://www.aiim.org/pdfa/ns/extension/"
 xmlns:pdfaSchema="http://www.aiim.org/pdfa/ns/schema#"
 xmlns:pdfaProperty="http://www.aiim.org/pdfa/ns/property#">
<pdfaExtension:schemas><rdf:Bag><rdf:li rdf:parseType="Resource">
<pdfaSchema:schema>PDF/UA identification schema</pdfaSchema:schema>
<pdfaSchema:namespaceURI>http://www.aiim.org/pdfua/ns/id/</pdfaSchema:namespaceURI>
<pdfaSchema:prefix>pdfuaid</pdfaSchema:prefix>
<pdfaSchema:property><rdf:Seq><rdf:li rdf:parseType="Resource">
<pdfaProperty:name>part</pdfaProperty:name>
<pdfaProperty:valueType>Integer</pdfaProperty:valueType>
<pdfaProperty:category>internal</pdfaProperty:category>
<pdfaProperty:description>part of ISO 14289 this file conforms to</pdfaProperty:description>
</rdf:li></rdf:Seq></pdfaSchema:property>
</rdf:li></rdf:Bag></pdfaExtension:schemas>
</rdf:Description>
</rdf:RDF>"""


def accessible(pdf: bytes, from_right: bool = False) -> bytes:
    """A tagged PDF/A-3a, declared PDF/UA-1 as well: its title shown, its part named; and that its
    pages lie side by side from the right (ISO 32000-1 table 150).
    """
    pikepdf, document = _opened(pdf)
    with document:
        root = document.Root
        metadata = root.Metadata.read_bytes().decode()
        head, found, tail = metadata.rpartition("</rdf:RDF>")
        if not found:
            raise ValueError("the PDF has no metadata to add to")
        stream = document.make_stream((head + PART + tail).encode())
        stream.Type, stream.Subtype = pikepdf.Name.Metadata, pikepdf.Name.XML
        root.Metadata = stream
        root.ViewerPreferences = pikepdf.Dictionary(DisplayDocTitle=True)
        if from_right:
            root.ViewerPreferences.Direction = pikepdf.Name.R2L
        for drawn in document.objects:
            if _is_stream(drawn) and "/Interpolate" in drawn:
                drawn.Interpolate = False  # ISO 19005-3 §6.2.8: pictures are shown as they are
        for item in _elements(root.StructTreeRoot, "/LI"):
            _give_body(pikepdf, document, item)
        for page in document.pages:  # the tab order that ISO 14289-1 §7.18.3 asks of links
            page.Tabs = pikepdf.Name.S
        return _saved(document)


def bound_at_right(pdf: bytes) -> bool:
    """Whether a PDF says that its pages are read from the right."""
    _, document = _opened(pdf)
    with document:
        return str(document.Root.get("/ViewerPreferences", {}).get("/Direction", "")) == "/R2L"


def boxed(pdf: bytes, trimmed: Paper, bleed_mm: float) -> bytes:
    """The same pages with exact boxes: TrimBox the paper, BleedBox and MediaBox with the bleed.

    CropBox is the TrimBox, so that a screen shows the paper as cut.
    """
    pikepdf, document = _opened(pdf)
    with document:
        for page in document.pages:
            left, low = float(page.MediaBox[0]), float(page.MediaBox[1])
            bleed = bleed_mm * POINTS_PER_MM
            wide, tall = trimmed.width_mm * POINTS_PER_MM, trimmed.height_mm * POINTS_PER_MM
            media = [left, low, left + wide + 2 * bleed, low + tall + 2 * bleed]
            trim = [left + bleed, low + bleed, left + bleed + wide, low + bleed + tall]
            page.MediaBox = page.BleedBox = pikepdf.Array([_n(v) for v in media])
            page.TrimBox = page.CropBox = pikepdf.Array([_n(v) for v in trim])
        return _saved(document)


def cut(pdf: bytes) -> bytes:
    """The same pages without their bleed, as for a screen or a desk printer."""
    _, document = _opened(pdf)
    with document:
        for page in document.pages:
            page.MediaBox = page.CropBox = page.BleedBox = page.TrimBox
        return _saved(document)


def crossed_out(pdf: bytes) -> bytes:
    """The same pages, each with a cross from corner to corner: there should be a newer one.

    A cross needs no face and no language, and whoever reads aloud passes it by (an artifact,
    ISO 32000-1 §14.8.2.2). Twice is the same as once.
    """
    _, document = _opened(pdf)
    with document:
        for page in document.pages:
            left, low, right, top = (float(edge) for edge in page.trimbox)
            lines = ((left, low, right, top), (left, top, right, low))
            drawn = " ".join(f"{a:.2f} {b:.2f} m {c:.2f} {d:.2f} l S" for a, b, c, d in lines)
            cross = f"\nQ /Artifact BMC q 1.5 w 0 G {drawn} Q EMC".encode()
            parts = page.Contents if _is_array(page.Contents) else [page.Contents]
            if [*parts][-1].read_bytes() != cross:
                page.contents_add(b"q\n", prepend=True)
                page.contents_add(cross)
        return _saved(document)


def joined(pdfs: list[bytes]) -> bytes:
    """One-page PDFs one after another, for a printer: tags are not carried over."""
    pikepdf, document = _opened(pdfs[0])
    with document:
        for more in pdfs[1:]:
            with pikepdf.open(BytesIO(more)) as other:
                document.pages.extend(other.pages)
        return _saved(document, packed=True)


def _elements(node: Any, tag: str) -> Iterator[Any]:
    """Every structure element below `node` with that tag, outermost first."""
    for kid in _kids(node):
        if str(kid.get("/S", "")) == tag:
            yield kid
        yield from _elements(kid, tag)


def _kids(node: Any) -> list[Any]:
    """The structure elements right below one, without its marked content."""
    held = node.get("/K")
    listed = list(held) if _is_array(held) else [held]
    return [kid for kid in listed if _is_element(kid)]


def _give_body(pikepdf: Any, document: Any, item: Any) -> None:
    """Put whatever stands loose in a list item into its LBody (ISO 14289-1 §7.2, test 20).

    WeasyPrint tags a list item of paragraphs (a loose list of Markdown) without one.
    """
    loose = [kid for kid in _kids(item) if str(kid.S) not in ("/Lbl", "/LBody")]
    if not loose or len(_kids(item)) != len(list(item.K)):
        return
    body = document.make_indirect(
        pikepdf.Dictionary(Type=pikepdf.Name.StructElem, S=pikepdf.Name.LBody, P=item)
    )
    for kid in loose:
        kid.P = body
    body.K = pikepdf.Array(loose)
    labels = [kid for kid in _kids(item) if str(kid.S) == "/Lbl"]
    item.K = pikepdf.Array([*labels, body])


def _is_array(value: Any) -> bool:
    import pikepdf

    return isinstance(value, pikepdf.Array)


def _is_stream(value: Any) -> bool:
    import pikepdf

    return isinstance(value, pikepdf.Stream)


def _is_element(value: Any) -> bool:
    import pikepdf

    return isinstance(value, pikepdf.Dictionary) and "/S" in value


def _opened(pdf: bytes) -> tuple[Any, Any]:
    import pikepdf

    return pikepdf, pikepdf.open(BytesIO(pdf))


def _saved(document: Any, packed: bool = False) -> bytes:
    """The bytes; `packed` puts the many small things of many pages into streams: a quarter less."""
    from pikepdf import ObjectStreamMode

    out, mode = BytesIO(), ObjectStreamMode.generate if packed else ObjectStreamMode.preserve
    document.save(out, deterministic_id=True, object_stream_mode=mode)
    return out.getvalue()


def _n(points: float) -> float:
    return round(points, 4)
