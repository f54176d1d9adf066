"""Several tagged PDFs bound into one: pages, tags, named places, bookmarks and page labels.

Belongs here: what one document needs that its parts had each for themselves. Does not belong here:
setting a part (typeset.py), which parts there are and how they are numbered (spec_book.py).

A link of one part to a place in any is written as the address `to:NAME`; it becomes a link to that
place. See ISO 32000-1 §12.3.2.3 (named destinations), §12.4.2 (page labels), §14.7.4 (the parent
tree, by which a page finds the tags of its contents).
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from io import BytesIO
from typing import Any, Final

TO: Final = "to:"


@dataclass(frozen=True, slots=True)
class BoundPart:
    """A part that was set: its bytes, how many pages, and on which (from 0) each name stands."""

    pdf: bytes
    pages: int
    names: Mapping[str, int]


def inspect_part(pdf: bytes) -> BoundPart:
    """What is asked of a part before it is bound."""
    import pikepdf

    with pikepdf.open(BytesIO(pdf)) as document:
        order = {page.objgen: number for number, page in enumerate(document.pages)}
        names = {name: order[place[0].objgen] for name, place in _places(document.Root)}
    return BoundPart(pdf, len(order), names)


def bind(pdfs: Sequence[bytes], roman: int, below: Collection[int] = ()) -> bytes:
    """Several tagged PDFs (≥ 1) as one; the first `roman` (≥ 1) have pages labelled i, ii, iii …

    `below` are the places of those (from 0) whose bookmarks belong below the last of the first
    rank. Title, language, colour profile and metadata are those of the first. The same parts give
    the same bytes. Raises KeyError for a link to a name that no part has.
    """
    import pikepdf

    first, *others = pdfs
    with pikepdf.open(BytesIO(first)) as document:
        places = dict(_places(document.Root))
        marks = [*_marks(document.Root)]
        before = len(document.pages)
        for at, part in enumerate(others, start=1):
            with pikepdf.open(BytesIO(part)) as more:
                added = _add(document, more)
            if at < roman:
                before = len(document.pages)
            places |= dict(_places(added))
            for depth, title, place in _marks(added):
                marks.append((depth + (at in below), title, place))
        _lead(pikepdf, document, places)
        root = document.Root
        root.Names = pikepdf.Dictionary(Dests=document.make_indirect(_tree(pikepdf, places)))
        root.Outlines = _outline(pikepdf, document, marks)
        styles = [pikepdf.Dictionary(S=style) for style in (pikepdf.Name.r, pikepdf.Name.D)]
        labels = pikepdf.Array([0, styles[0], before, styles[1]])
        root.PageLabels = pikepdf.Dictionary(Nums=labels)
        out = BytesIO()
        document.save(
            out, deterministic_id=True, object_stream_mode=pikepdf.ObjectStreamMode.generate
        )
    return out.getvalue()


def _add(document: Any, more: Any) -> Any:
    """Append all of `more` to `document`, tags too; returns its catalogue as it stands there."""
    import pikepdf

    first = len(document.pages)
    document.pages.extend(more.pages)
    # Copied after its pages, so that whatever leads to a page leads to the copy.
    wanted = {key: more.Root[key] for key in ("/StructTreeRoot", "/Names", "/Outlines")
              if key in more.Root}  # fmt: skip
    added = document.copy_foreign(more.make_indirect(pikepdf.Dictionary(wanted)))
    tags, others = document.Root.StructTreeRoot, added.StructTreeRoot
    (whole,), (part,) = list(tags.K), list(others.K)  # one Document each
    for kid in part.K:
        kid.P = whole
        whole.K.append(kid)
    held = tags.ParentTree.Nums
    offset = max(int(n) for n in list(held)[::2]) + 1 if len(held) else 0
    numbers = list(others.ParentTree.Nums)
    for number, parents in zip(numbers[::2], numbers[1::2], strict=True):
        held.append(int(number) + offset)
        held.append(parents)
    for page in document.pages[first:]:
        for thing, key in ((page, "/StructParents"), *((a, "/StructParent") for a in _notes(page))):
            if key in thing:
                thing[key] = int(thing[key]) + offset
    return added


def _notes(page: Any) -> list[Any]:
    return list(page.get("/Annots", []))


def _places(root: Any) -> Iterator[tuple[str, Any]]:
    """Each name of a document and where it leads."""
    names = list(root.Names.Dests.Names) if "/Names" in root else []
    for name, place in zip(names[::2], names[1::2], strict=True):
        yield str(name), place


def _marks(root: Any) -> Iterator[tuple[int, str, Any]]:
    """Each bookmark in reading order: how deep (from 0), its title, where it leads."""

    def below(node: Any, depth: int) -> Iterator[tuple[int, str, Any]]:
        mark = node.get("/First")
        while mark is not None:
            yield depth, str(mark.Title), mark.Dest
            yield from below(mark, depth + 1)
            mark = mark.get("/Next")

    if "/Outlines" in root:
        yield from below(root.Outlines, 0)


def _lead(pikepdf: Any, document: Any, places: Mapping[str, Any]) -> None:
    for page in document.pages:
        for note in _notes(page):
            address = str(note.A.URI) if "/A" in note and "/URI" in note.A else ""
            if address.startswith(TO):
                name = address.removeprefix(TO)
                if name not in places:
                    raise KeyError(name)
                del note.A
                note.Dest = note.Contents = pikepdf.String(name)


def _tree(pikepdf: Any, places: Mapping[str, Any]) -> Any:
    names = pikepdf.Array()
    for name in sorted(places, key=lambda name: bytes(pikepdf.String(name))):
        names.append(pikepdf.String(name))
        names.append(places[name])
    return pikepdf.Dictionary(Names=names)


def _outline(pikepdf: Any, document: Any, marks: Sequence[tuple[int, str, Any]]) -> Any:
    """Bookmarks as a tree of linked lists (ISO 32000-1 §12.3.3); those below a chapter closed."""
    root = document.make_indirect(pikepdf.Dictionary(Type=pikepdf.Name.Outlines, Count=0))
    line = [root]  # the last mark of each depth, below its parent
    for depth, title, place in marks:
        del line[min(depth, len(line) - 1) + 1 :]
        parent = line[-1]
        mark = document.make_indirect(
            pikepdf.Dictionary(Title=pikepdf.String(title), Dest=place, Parent=parent)
        )
        if "/Last" in parent:
            mark.Prev = parent.Last
            parent.Last.Next = mark
        else:
            parent.First = mark
        parent.Last = mark
        if parent.objgen == root.objgen:
            parent.Count = int(parent.Count) + 1
        else:
            parent.Count = int(parent.get("/Count", 0)) - 1
        line.append(mark)
    return root
