"""Closed doors of paper: nothing on a page makes WeasyPrint open a file or a connection.

Each trick either stops the paper with WeasyPrint's own complaint or does nothing; what it never
does is bring a byte of the canary into the PDF or ring at the socket.
"""

from __future__ import annotations

import base64
import socket
import threading
from collections.abc import Iterator
from functools import partial
from io import BytesIO
from pathlib import Path

import pikepdf
import pytest
from anthocard.press.base.refusals import PaperError
from anthocard.press.paper.job import HERE, paper_pdf

CANARY = b"CANARY-7f3a9c"
PAGE = "<html lang=en><head><title>t</title>{head}</head><body><p>x</p>{body}</body></html>"
SHEET = "@page {{ size: 60mm 60mm }} {more}"


@pytest.fixture
def bell() -> Iterator[tuple[str, list[bytes]]]:
    """A server on loopback that notes every ring."""
    rings: list[bytes] = []
    with socket.socket() as listening:
        listening.bind(("127.0.0.1", 0))
        listening.listen()

        def answer() -> None:
            while True:
                try:
                    heard, _ = listening.accept()
                except OSError:
                    return
                with heard:
                    heard.settimeout(1)
                    rings.append(heard.recv(100))

        threading.Thread(target=answer, daemon=True).start()
        yield f"http://127.0.0.1:{listening.getsockname()[1]}", rings
        listening.shutdown(socket.SHUT_RDWR)


@pytest.fixture
def canary(tmp_path: Path) -> Path:
    path = tmp_path / "canary.txt"
    path.write_bytes(CANARY)
    return path


def everything_in(pdf: bytes) -> bytes:
    with pikepdf.open(BytesIO(pdf)) as document:
        parts = [pdf]
        for thing in document.objects:
            if isinstance(thing, pikepdf.Stream):
                parts.append(thing.read_bytes(pikepdf.StreamDecodeLevel.generalized))
    return b"".join(parts)


HEADS = [
    "<link rel=attachment href={at}>",
    "<link rel=stylesheet href={at}>",
    "<style>@import url({at});</style>",
    "<style>@font-face {{ font-family: f; src: url({at}) }} p {{ font-family: f }}</style>",
    "<style>p {{ background: url({at}) }}</style>",
    "<style>li {{ list-style-image: url({at}) }}</style>",
    "<style>p::before {{ content: url({at}) }}</style>",
    "<style>@page {{ @top-center {{ content: url({at}) }} }}</style>",
    "<style>@color-profile --c {{ src: url({at}); components: c, m, y, k }}</style>",
    "<base href={at}><link rel=stylesheet href=x.css>",
    "<meta http-equiv=refresh content='0; url={at}'>",
    "<link rel=icon href={at}>",
    "<script src={at}></script>",
]
BODIES = [
    "<img src={at} alt=x>",
    "<img srcset='{at} 1x' alt=x>",
    "<picture><source srcset={at}><img src={at} alt=x></picture>",
    "<object data={at}></object>",
    "<embed src={at}>",
    "<iframe src={at}></iframe>",
    "<video src={at} poster={at}></video>",
    "<a rel=attachment href={at}>x</a>",
    "<p style='background-image: url({at})'>x</p>",
    "<svg width=9 height=9><image href={at} width=9 height=9 /></svg>",
    "<svg width=9 height=9><use href={at}#x /></svg>",
    "<svg width=9 height=9><style>@import url({at});</style><rect width=9 height=9 /></svg>",
    "<svg width=9 height=9><rect width=9 height=9 fill='url({at}#g)' /></svg>",
]


@pytest.mark.parametrize("scheme", ["http", "file", "path"])
@pytest.mark.parametrize("trick", [*HEADS, *BODIES])
def test_no_trick_opens_a_door(
    trick: str, scheme: str, bell: tuple[str, list[bytes]], canary: Path
) -> None:
    """By address, by file: and by bare path: no ring, no canary."""
    at = {"http": f"{bell[0]}/x", "file": canary.as_uri(), "path": str(canary)}[scheme]
    part = trick.format(at=at)
    head, body = (part, "") if trick in HEADS else ("", part)
    try:
        pdf = HERE.now(paper_pdf(lambda: PAGE.format(head=head, body=body), SHEET.format(more="")))
        found = everything_in(pdf)
    except PaperError as refused:
        found = str(refused).encode()
    assert CANARY not in found
    assert bell[1] == []


@pytest.mark.parametrize("scheme", ["http", "file"])
@pytest.mark.parametrize(
    "rule",
    [
        "@import url({at});",
        "p {{ background: url({at}) }}",
        "@font-face {{ font-family: f; src: url({at}) }} p {{ font-family: f }}",
        "p {{ border-image: url({at}) 3 }}",
        "p {{ mask-image: url({at}) }}",
    ],
)
def test_no_style_opens_a_door(
    rule: str, scheme: str, bell: tuple[str, list[bytes]], canary: Path
) -> None:
    """The same in the theme's own sheet."""
    more = rule.format(at=f"{bell[0]}/x.css" if scheme == "http" else canary.as_uri())
    try:
        pdf = HERE.now(
            paper_pdf(lambda: PAGE.format(head="", body=""), more + SHEET.format(more=""))
        )
    except PaperError:
        pass
    else:
        assert CANARY not in everything_in(pdf)
    assert bell[1] == []


def test_a_picture_inside_data_opens_no_door(bell: tuple[str, list[bytes]], canary: Path) -> None:
    """data: is let in; an SVG inside it that points outside is not followed."""
    for at in (f"{bell[0]}/x.png", canary.as_uri()):
        svg = f'<svg xmlns="http://www.w3.org/2000/svg"><image href="{at}"/></svg>'
        data = base64.b64encode(svg.encode()).decode()
        body = f'<img src="data:image/svg+xml;base64,{data}" alt="x">'
        try:
            pdf = HERE.now(
                paper_pdf(partial(PAGE.format, head="", body=body), SHEET.format(more=""))
            )
        except PaperError:
            continue
        assert CANARY not in everything_in(pdf)
    assert bell[1] == []


def test_the_bell_would_ring(bell: tuple[str, list[bytes]], canary: Path) -> None:
    """The tests above can fail: WeasyPrint left to itself rings, and embeds the canary."""
    import weasyprint

    html = PAGE.format(
        head=f"<link rel=attachment href={canary.as_uri()}>", body=f"<img src={bell[0]}/x alt=x>"
    )
    pdf = weasyprint.HTML(string=html).write_pdf()
    assert CANARY in everything_in(pdf)
    assert bell[1] != []
