"""A finished paper, made ready for a press: nothing is laid out again, its tags stay.

Belongs here: the walk over a file and what PDF/X-4 (ISO 15930-7) asks of it as a whole. Does not
belong here: one stream (operators.py), one gradient (shadings.py), one colour (inks.py).

Luminosity masks become grey, groups and pictures the press's inks; black type overprints. What a
file must say of its own standards stands in metadata.py; preflight.py looks at the result.
"""

from __future__ import annotations

from io import BytesIO
from typing import Any

from anthocard.press.plates.condition import REGISTRY
from anthocard.press.plates.inks import Inks
from anthocard.press.plates.metadata import PDF_DAY, packet
from anthocard.press.plates.operators import KNOCKOUT, OVERPRINT, in_grey, in_inks
from anthocard.press.plates.shadings import in_inks as course_in_inks, pieces, written


def press_ready(pdf: bytes, inks: Inks) -> bytes:
    """The same pages in the inks of a condition. The same input gives the same bytes.

    `pdf` is one of WeasyPrint's with its TrimBox and BleedBox. Raises ValueError for a file that
    holds what only another program writes, or a colour that is neither RGB nor grey.
    """
    import pikepdf

    with pikepdf.open(BytesIO(pdf)) as document:
        _Walk(pikepdf, inks).over(document)
        _declare(pikepdf, document, inks)
        out = BytesIO()
        document.remove_unreferenced_resources()
        document.save(
            out,
            deterministic_id=True,
            force_version="1.6",
            object_stream_mode=pikepdf.ObjectStreamMode.disable,
        )
        return out.getvalue()


class _Walk:
    """Every stream, shading and picture of a document, each once."""

    def __init__(self, pikepdf: Any, inks: Inks) -> None:
        self._pikepdf, self._inks = pikepdf, inks
        self._done: set[tuple[int, int]] = set()

    def over(self, document: Any) -> None:
        """Put all pages into inks."""
        for page in document.pages:
            resources = page.obj.get("/Resources", self._pikepdf.Dictionary())
            page.contents_coalesce()
            page.obj.Contents.write(self._stream(page.obj.Contents, resources, grey=False))
            self._resources(resources, grey=False)
            group = {"Type": "/Group", "S": "/Transparency", "I": False, "K": False}
            named = {k: self._name(v) if isinstance(v, str) else v for k, v in group.items()}
            page.obj.Group = self._pikepdf.Dictionary(CS=self._name("/DeviceCMYK"), **named)

    def _name(self, text: str) -> Any:
        return self._pikepdf.Name(text)

    def _first_time(self, thing: Any) -> bool:
        if thing.objgen == (0, 0):
            return True
        if thing.objgen in self._done:
            return False
        self._done.add(thing.objgen)
        return True

    def _resources(self, resources: Any, *, grey: bool) -> None:
        if not self._first_time(resources):
            return
        for drawn in dict(resources.get("/XObject", {})).values():
            if self._first_time(drawn):
                if drawn.Subtype == "/Form":
                    self._form(drawn, resources, grey=grey)
                elif not grey:
                    self._picture(drawn)
        for pattern in dict(resources.get("/Pattern", {})).values():
            if not self._first_time(pattern):
                continue
            if pattern.PatternType == 1:
                own = pattern.get("/Resources", resources)
                pattern.write(self._stream(pattern, own, grey=grey))
                self._resources(own, grey=grey)
            else:
                self._shading(pattern.Shading, grey=grey)
        for shading in dict(resources.get("/Shading", {})).values():
            self._shading(shading, grey=grey)
        for state in dict(resources.get("/ExtGState", {})).values():
            mask = state.get("/SMask")
            if isinstance(mask, self._pikepdf.Dictionary) and self._first_time(mask.G):
                self._form(mask.G, resources, grey=bool(mask.S == "/Luminosity"))
        if "/ColorSpace" in resources:  # spaces of the screen that nothing names any more
            del resources["/ColorSpace"]

    def _form(self, form: Any, resources: Any, *, grey: bool) -> None:
        own = form.get("/Resources", resources)
        form.write(self._stream(form, own, grey=grey))
        if "/Group" in form and "/CS" in form.Group:
            form.Group.CS = self._name("/DeviceGray" if grey else "/DeviceCMYK")
        self._resources(own, grey=grey)

    def _stream(self, stream: Any, resources: Any, *, grey: bool) -> bytes:
        content: bytes = stream.read_bytes()
        if grey:
            return in_grey(content)
        made, overprints = in_inks(content, self._inks)
        if overprints:
            if "/ExtGState" not in resources:
                resources.ExtGState = self._pikepdf.Dictionary()
            states = resources.ExtGState
            for name, on in ((OVERPRINT, True), (KNOCKOUT, False)):
                states[name] = self._pikepdf.Dictionary(
                    Type=self._name("/ExtGState"), OP=on, op=on, OPM=int(on)
                )
        return made

    def _shading(self, shading: Any, *, grey: bool) -> None:
        if not self._first_time(shading) or shading.ColorSpace in ("/DeviceGray", "/DeviceCMYK"):
            return
        if grey:
            raise ValueError("a mask with a gradient of colours")
        course = course_in_inks(pieces(shading.Function), self._inks)
        shading.Function = written(course, self._pikepdf.Dictionary)
        shading.ColorSpace = self._name("/DeviceCMYK")

    def _picture(self, image: Any) -> None:
        for one in (image, image.get("/SMask")):
            if one is not None and "/Interpolate" in one:
                one.Interpolate = False  # PDF/A asks for it (ISO 19005-3 §6.2.8)
        if image.get("/ImageMask") or image.get("/ColorSpace") in ("/DeviceGray", "/DeviceCMYK"):
            return
        shown = self._pikepdf.PdfImage(image).as_pil_image().convert("RGB")
        image.write(self._inks.of_picture(shown))
        for key in ("/DecodeParms", "/Decode"):
            if key in image:
                del image[key]
        image.ColorSpace, image.BitsPerComponent = self._name("/DeviceCMYK"), 8


def _declare(pikepdf: Any, document: Any, inks: Inks) -> None:
    """The condition it was made for, and what else PDF/X-4 asks of a whole file."""
    root, name, condition = document.Root, pikepdf.Name, inks.condition
    profile = document.make_stream(b"", N=4)
    profile.write(condition.packed, filter=name.FlateDecode)
    identifier = pikepdf.String(condition.identifier)
    root.OutputIntents = pikepdf.Array(
        pikepdf.Dictionary(
            Type=name.OutputIntent,
            S=name(kind),
            OutputConditionIdentifier=identifier,
            OutputCondition=identifier,
            Info=identifier,
            RegistryName=pikepdf.String(REGISTRY),
            DestOutputProfile=profile,
        )
        for kind in ("/GTS_PDFX", "/GTS_PDFA1")
    )
    for page in document.pages:
        for key in ("/CropBox", "/ArtBox", "/Annots"):  # a press takes no links
            if key in page.obj:
                del page.obj[key]
    for key in ("/AF", "/OpenAction", "/AcroForm"):
        if key in root:
            del root[key]
    if "/Names" in root and "/EmbeddedFiles" in root.Names:
        del root.Names["/EmbeddedFiles"]
    known = document.docinfo
    title, producer = (str(known.get(key, "")) for key in ("/Title", "/Producer"))
    for key in [*known.keys()]:
        if key not in ("/Title", "/Producer"):
            del known[key]
    known["/Trapped"] = name("/False")
    known["/CreationDate"] = known["/ModDate"] = PDF_DAY
    content, mark = packet(title, producer, condition.identifier)
    document.trailer.ID = pikepdf.Array([pikepdf.String(mark), pikepdf.String(mark)])
    stream = document.make_stream(content)
    stream.Type, stream.Subtype = name.Metadata, name.XML
    root.Metadata = stream
