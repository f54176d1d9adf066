"""The site: whole or not at all, the same twice, and nothing of the back bar on the front."""

import re
import shutil
from dataclasses import replace
from io import BytesIO
from pathlib import Path
from typing import Any

import pikepdf
import pytest
from anthocard.diagnostics.diagnostic import AuthorError, Mistake, Place
from anthocard.disk import exchange
from anthocard.disk.folder import Folder
from anthocard.disk.listing import LIST
from anthocard.engine.results import Caution, Computed, Default, Source
from anthocard.press.base.refusals import PaperStopped
from anthocard.press.build.paper_links import mark_links
from anthocard.press.build.plan import publish
from anthocard.press.paper import house_papers


def files(folder: Path) -> dict[str, bytes]:
    """Every file but the lists of what is ours."""
    found = (p for p in sorted(folder.rglob("*")) if p.is_file() and p.name != LIST)
    return {str(p.relative_to(folder)): p.read_bytes() for p in found}


@pytest.fixture(scope="module")
def good(
    collection: Any, computed: dict[str, Computed], tmp_path_factory: pytest.TempPathFactory
) -> Path:
    """The small house published with all papers: to be read, and copied by whoever changes it."""
    out = tmp_path_factory.mktemp("whole") / "build"
    written = publish(collection, computed, out).written
    assert {str(path.relative_to(out)) for path in written} == set(files(out))
    return out


def test_every_file_is_where_it_is_promised(good: Path, computed: dict[str, Computed]) -> None:
    """The folders of the module's own docstring; a card for each drink, data for each recipe."""
    found = files(good)
    assert "guest/index.html" in found
    assert "staff/index.html" in found
    assert {name for name in found if name.endswith(".pdf")} == {
        "staff/cards/first-frost.pdf",
        "staff/cards/standing-water.pdf",
        "staff/cards.pdf",
        "staff/book.pdf",
        "staff/menu-sheets.pdf",
        "guest/menu.pdf",
        "guest/menu-long.pdf",
        "guest/menu-board.pdf",
    }
    assert {name for name in found if name.endswith(".json")} == {
        "staff/editions.json",
        *(f"staff/data/{slug}.json" for slug in computed),
    }
    assert list(good.parent.iterdir()) == [good]


def test_the_way_in_leads_to_every_paper_for_staff(
    good: Path, collection: Any, computed: dict[str, Computed], tmp_path: Path
) -> None:
    """Book, sheets and menu by name, each card beside its drink; without papers there is no link."""
    publish(collection, computed, tmp_path / "without", papers=False)
    page = (good / "staff" / "index.html").read_text(encoding="utf-8")
    links = re.findall(r'href="([^"]+\.pdf)"', page)
    assert sorted(links) == sorted(
        name.partition("staff/")[2] for name in files(good) if re.search(r"^staff/.*\.pdf$", name)
    )
    assert ">Spec book<" in page
    bare = (tmp_path / "without" / "staff" / "index.html").read_text(encoding="utf-8")
    assert ".pdf" not in bare


def test_the_same_book_is_the_same_bytes(
    good: Path, collection: Any, computed: dict[str, Computed], tmp_path: Path
) -> None:
    """Published twice: not a byte of any file differs."""
    publish(collection, computed, tmp_path / "two")
    assert files(good) == files(tmp_path / "two")


def test_nothing_for_staff_reaches_guests(
    collection: Any, by_hand: Any, infusion: Computed, tmp_path: Path
) -> None:
    """Markers planted in amounts, method, cautions, warnings, sources and rooms stay out of guest/.

    What guests may know (name, story, price, strength, colour, notes) is there.
    """
    drink = by_hand.drink(staff_text="## Method\n\nSECRET-METHOD", store="SECRET-STORE")
    one = by_hand.compute(
        drink,
        measures=(by_hand.measure("SECRET-POUR", 50.0, slug="secret-slug"),),
        reveal=by_hand.measure("SECRET-REVEAL", 12.5),
        cautions=(
            Caution("x", "told to guests", "SECRET-STAFF", "SECRET-SOURCE", on=("menu", "spec")),
        ),
        warnings=(Mistake("x", "SECRET-WARNING", Place("SECRET-PATH")),),
        sources=(Source("SECRET-KIND", "SECRET-WHAT", "SECRET-WHERE", "read"),),
        defaults=(Default("x", "SECRET-DEFAULT"),),
        edition="SECRET-EDITION",
    )
    still = by_hand.compute(by_hand.drink(name="Standing Water", reveal=None))
    computed = {c.slug: c for c in (infusion, one, still)}
    publish(collection, computed, tmp_path, papers=False)
    pages = {n: b for n, b in files(tmp_path / "guest").items() if not n.endswith(".woff2")}
    guest = b"".join(pages.values())
    for word in (b"SECRET", b"secret-slug", b"pea-flower", b"12.5 ml", b"Shake"):
        assert word not in guest
    for word in (
        b"First Frost",
        b"five in the morning",
        b"12.50",
        "19.3\u00a0% vol".encode(),
        b"told to guests",
    ):
        assert word in guest
    assert b"SECRET-METHOD" in b"".join(files(tmp_path / "staff").values())


def test_a_failing_build_leaves_the_old_one(
    collection: Any, computed: dict[str, Computed], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A disk that fails between the two folders: nothing has moved."""
    out = tmp_path / "build"
    publish(collection, computed, out, papers=False)
    (out / ".keep").write_text("mine")
    before = files(out)
    changed = {slug: replace(one, edition="NEW") for slug, one in computed.items()}
    put = exchange.put

    def fail_on_staff(scratch: Folder, name: str, to: Folder) -> None:
        if name == "staff":
            raise OSError("no room left")
        put(scratch, name, to)

    monkeypatch.setattr(exchange, "put", fail_on_staff)
    with pytest.raises(OSError, match="no room"):
        publish(collection, changed, out, papers=False)
    assert files(out) == before
    assert list(tmp_path.iterdir()) == [out]


def test_a_new_build_takes_the_old_ones_place(
    collection: Any, computed: dict[str, Computed], tmp_path: Path
) -> None:
    """A recipe that is gone leaves no page behind, and what is not ours in `out` stays."""
    publish(collection, computed, tmp_path, papers=False)
    (tmp_path / "kept.txt").write_text("mine")
    fewer = {slug: one for slug, one in computed.items() if slug != "pea-flower-gin"}
    publish(collection, fewer, tmp_path, papers=False)
    assert not (tmp_path / "staff" / "pea-flower-gin.html").exists()
    assert (tmp_path / "kept.txt").read_text() == "mine"


PAGE = b'<p><a class="paper" href="cards/one.pdf">card</a> <a href="cards/two.pdf">card</a></p>'


def test_a_paper_that_could_not_be_set_is_not_linked() -> None:
    """A link to it would lead nowhere; links to papers that are there stay, in the same folder. One
    of before is told to be old, to staff alone."""
    gone = ["staff/cards/one.pdf", "guest/menu.pdf", "guest/cards/two.pdf"]
    left = [mark_links(f"{f}/index.html", PAGE, gone, [], "en") for f in ("staff", "guest")]
    assert left[0] == b'<p> <a href="cards/two.pdf">card</a></p>'
    assert left[1] == b'<p><a class="paper" href="cards/one.pdf">card</a> </p>'
    left = [mark_links(f"{f}/index.html", PAGE, gone, gone, "de") for f in ("staff", "guest")]
    assert b"card</a> <strong>(alt)</strong> <a" in left[0]
    assert b"two" not in left[1]


def _crosses(pdf: bytes) -> int:
    with pikepdf.open(BytesIO(pdf)) as document:
        last = [page.Contents for page in document.pages]
        ends = [one[-1] if isinstance(one, pikepdf.Array) else one for one in last]
        return sum(one.read_bytes().count(b" l S") == 2 for one in ends)


@pytest.mark.parametrize(
    ("why", "stood"), [("stopped", False), ("stopped", True), ("too full", True)]
)
def test_a_paper_that_cannot_be_set_leaves_the_one_of_before(
    why: str, stood: bool, good: Path, collection: Any, computed: dict[str, Computed],
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch,
) -> None:  # fmt: skip
    """Of a card that takes too long or is too full the one of before stands, each page crossed out,
    and it says which, however often; every other paper and every page is written, and tells that it
    is old. Where none stood there is none. Once it can be set again nothing shows."""
    out, set_card, whole = tmp_path / "build", house_papers.print_card, files(good)
    lost = {"staff/cards/first-frost.pdf", "staff/cards.pdf"}

    async def refuse(card: Any, *more: Any) -> Any:
        if card.slug != "first-frost":
            return await set_card(card, *more)
        if why == "stopped":
            raise PaperStopped("First Frost", Place("x.md"), "too-slow", "x")
        raise AuthorError([Mistake("card-too-full", "too full", Place("x.md"))])

    if stood:
        shutil.copytree(good, out)
    for _ in range(2 if stood and why == "stopped" else 1):
        with monkeypatch.context() as spoilt:
            spoilt.setattr(house_papers, "print_card", refuse)
            done = publish(collection, computed, out)
        assert {mistake.place.path for mistake in done.stopped} == {"x.md"}
        assert {path.relative_to(out).as_posix() for path in done.written} == set(whole) - lost
        now = files(out)
        if not stood:
            assert done.old == ()
            assert set(now) == set(whole) - lost
            return
        assert set(done.old) == lost
        assert set(now) == set(whole)
        changed = {name for name in whole if now[name] != whole[name]}
        assert lost < changed
        assert all(name.endswith((".html", "/offline.js")) for name in changed - lost)
        for name in lost:
            with pikepdf.open(BytesIO(now[name])) as document:
                assert _crosses(now[name]) == len(document.pages)
            assert _crosses(whole[name]) == 0
        assert b"<strong>(old)</strong>" in now["staff/index.html"]
    if why == "stopped":
        publish(collection, computed, out)
        assert files(out) == whole
