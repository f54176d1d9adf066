"""The site: whole or not at all, the same twice, and nothing of the back bar on the front."""

import re
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from anthocard.diagnostics.diagnostic import AuthorError, Mistake, Place
from anthocard.disk import exchange
from anthocard.disk.folder import Folder
from anthocard.disk.listing import LIST
from anthocard.engine.results import Caution, Computed, Source
from anthocard.press.build.plan import publish
from anthocard.press.paper import house_papers


def files(folder: Path) -> dict[str, bytes]:
    """Every file but the lists of what is ours."""
    found = (p for p in sorted(folder.rglob("*")) if p.is_file() and p.name != LIST)
    return {str(p.relative_to(folder)): p.read_bytes() for p in found}


def test_every_file_is_where_it_is_promised(
    collection: Any, computed: dict[str, Computed], tmp_path: Path
) -> None:
    """The folders of the module's own docstring; a card for each drink, data for each recipe."""
    written, _ = publish(collection, computed, tmp_path / "build")
    found = files(tmp_path / "build")
    assert {str(p.relative_to(tmp_path / "build")) for p in written} == set(found)
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
    }
    assert {name for name in found if name.endswith(".json")} == {
        "staff/editions.json",
        *(f"staff/data/{slug}.json" for slug in computed),
    }
    assert list(tmp_path.iterdir()) == [tmp_path / "build"]


def test_the_way_in_leads_to_every_paper_for_staff(
    collection: Any, computed: dict[str, Computed], tmp_path: Path
) -> None:
    """Book, sheets and menu by name, each card beside its drink; without papers there is no link."""
    with_papers = {str(path) for path in publish(collection, computed, tmp_path / "with")[0]}
    publish(collection, computed, tmp_path / "without", papers=False)
    page = (tmp_path / "with" / "staff" / "index.html").read_text(encoding="utf-8")
    links = re.findall(r'href="([^"]+\.pdf)"', page)
    assert sorted(links) == sorted(
        path.partition("/staff/")[2] for path in with_papers if re.search(r"/staff/.*\.pdf$", path)
    )
    assert ">Spec book<" in page
    bare = (tmp_path / "without" / "staff" / "index.html").read_text(encoding="utf-8")
    assert ".pdf" not in bare


def test_the_same_book_is_the_same_bytes(
    collection: Any, computed: dict[str, Computed], tmp_path: Path
) -> None:
    """Published twice: not a byte of any file differs."""
    publish(collection, computed, tmp_path / "one")
    publish(collection, computed, tmp_path / "two")
    assert files(tmp_path / "one") == files(tmp_path / "two")


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
        sources=(Source("SECRET-WHAT", "SECRET-WHERE", "read"),),
        defaults=("SECRET-DEFAULT",),
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


@pytest.mark.parametrize("broken", ["card", "swap"])
def test_a_failing_build_leaves_the_old_one(
    broken: str,
    collection: Any,
    computed: dict[str, Computed],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """A card that does not fit, or a disk that fails between the two folders: nothing has moved."""
    out = tmp_path / "build"
    publish(collection, computed, out, papers=False)
    (out / ".keep").write_text("mine")
    before = files(out)
    changed = {slug: replace(one, edition="NEW") for slug, one in computed.items()}
    if broken == "card":

        async def refuse(*_: object) -> bytes:
            raise AuthorError([Mistake("card-too-full", "too full", Place("x.md"))])

        monkeypatch.setattr(house_papers, "print_card", refuse)
        error: type[Exception] = AuthorError
    else:
        put = exchange.put

        def fail_on_staff(scratch: Folder, name: str, to: Folder) -> None:
            if name == "staff":
                raise OSError("no room left")
            put(scratch, name, to)

        monkeypatch.setattr(exchange, "put", fail_on_staff)
        error = OSError
    with pytest.raises(error):
        publish(collection, changed, out, papers=broken == "card")
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


def test_a_paper_that_was_stopped_is_not_linked(tmp_path: Path) -> None:
    """A link to it would lead nowhere; links to papers that are there stay, in the same folder."""
    from anthocard.disk.swap import scratch_beside
    from anthocard.press.build.plan import _unlink_stopped

    page = '<p><a class="paper" href="cards/one.pdf">card</a> <a href="cards/two.pdf">card</a></p>'
    (tmp_path / "build").mkdir()
    with scratch_beside(tmp_path / "build") as scratch:
        scratch.write("staff/index.html", page.encode())
        _unlink_stopped(scratch, ["staff/index.html"], ["staff/cards/one.pdf", "guest/menu.pdf"])
        assert scratch.read("staff/index.html") == b'<p> <a href="cards/two.pdf">card</a></p>'
