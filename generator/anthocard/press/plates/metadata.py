"""What a file for a press says of itself: PDF/X-4 beside the standards it keeps.

Belongs here: the XMP packet (ISO 16684-1) and the dictionary of a printing condition. Does not
belong here: colours. PDF/A knows none of three schemas that PDF/X and PDF/UA ask for, so the packet
describes them itself (ISO 19005-3 §6.6.2.3).
"""

from __future__ import annotations

from html import escape
from uuid import NAMESPACE_URL, uuid5

from anthocard.digest import digest

#: The day every file says it was made: the same content is the same file, on whatever day.
DAY = "2000-01-01T00:00:00Z"
PDF_DAY = "D:20000101000000Z"

_SCHEMAS = (
    ("PDF/X", "http://www.npes.org/pdfx/ns/id/", "pdfxid", "GTS_PDFXVersion", "Text"),
    ("PDF/UA", "http://www.aiim.org/pdfua/ns/id/", "pdfuaid", "part", "Integer"),
    ("Adobe PDF", "http://ns.adobe.com/pdf/1.3/", "pdf", "Trapped", "Text"),
)  # fmt: skip

_PACKET = """<?xpacket begin="\ufeff" id="W5M0MpCehiHzreSzNTczkc9d"?>
<x:xmpmeta xmlns:x="adobe:ns:meta/">
<rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">
<rdf:Description rdf:about="" xmlns:dc="http://purl.org/dc/elements/1.1/"
 xmlns:xmp="http://ns.adobe.com/xap/1.0/" xmlns:xmpMM="http://ns.adobe.com/xap/1.0/mm/"
 xmlns:pdf="http://ns.adobe.com/pdf/1.3/" xmlns:pdfxid="http://www.npes.org/pdfx/ns/id/"
 xmlns:pdfaid="http://www.aiim.org/pdfa/ns/id/" xmlns:pdfuaid="http://www.aiim.org/pdfua/ns/id/">
<dc:format>application/pdf</dc:format>
<dc:title><rdf:Alt><rdf:li xml:lang="x-default">{title}</rdf:li></rdf:Alt></dc:title>
<xmp:CreateDate>{day}</xmp:CreateDate><xmp:ModifyDate>{day}</xmp:ModifyDate>
<xmp:MetadataDate>{day}</xmp:MetadataDate>
<xmpMM:DocumentID>uuid:{name}</xmpMM:DocumentID><xmpMM:InstanceID>uuid:{name}</xmpMM:InstanceID>
<xmpMM:VersionID>1</xmpMM:VersionID><xmpMM:RenditionClass>default</xmpMM:RenditionClass>
<pdf:Trapped>False</pdf:Trapped><pdf:Producer>{producer}</pdf:Producer>
<pdfxid:GTS_PDFXVersion>PDF/X-4</pdfxid:GTS_PDFXVersion>
<pdfaid:part>3</pdfaid:part><pdfaid:conformance>A</pdfaid:conformance>
<pdfuaid:part>1</pdfuaid:part>
</rdf:Description>
<rdf:Description rdf:about=""
 xmlns:pdfaExtension="http://www.aiim.org/pdfa/ns/extension/"
 xmlns:pdfaSchema="http://www.aiim.org/pdfa/ns/schema#"
 xmlns:pdfaProperty="http://www.aiim.org/pdfa/ns/property#">
<pdfaExtension:schemas><rdf:Bag>{schemas}</rdf:Bag></pdfaExtension:schemas>
</rdf:Description></rdf:RDF></x:xmpmeta>
<?xpacket end="w"?>"""

_SCHEMA = """<rdf:li rdf:parseType="Resource"><pdfaSchema:schema>{name}</pdfaSchema:schema>
<pdfaSchema:namespaceURI>{uri}</pdfaSchema:namespaceURI>
<pdfaSchema:prefix>{prefix}</pdfaSchema:prefix><pdfaSchema:property><rdf:Seq>
<rdf:li rdf:parseType="Resource"><pdfaProperty:name>{key}</pdfaProperty:name>
<pdfaProperty:valueType>{kind}</pdfaProperty:valueType>
<pdfaProperty:category>internal</pdfaProperty:category>
<pdfaProperty:description>{name}</pdfaProperty:description></rdf:li>
</rdf:Seq></pdfaSchema:property></rdf:li>"""


def packet(title: str, producer: str, identifier: str) -> tuple[bytes, bytes]:
    """The XMP packet, and the sixteen bytes that name the document."""
    name = uuid5(NAMESPACE_URL, digest(f"{title}\0{identifier}".encode()).hex())
    schemas = "".join(
        _SCHEMA.format(name=called, uri=uri, prefix=prefix, key=key, kind=kind)
        for called, uri, prefix, key, kind in _SCHEMAS
    )
    filled = _PACKET.format(
        title=escape(title), day=DAY, name=name, producer=escape(producer), schemas=schemas
    )
    return filled.encode(), name.bytes
