"""Only what depends on a change is worked out and rendered again; what is kept never shows."""

from __future__ import annotations

import json
import shutil
from concurrent.futures import Future, ProcessPoolExecutor
from functools import partial
from pathlib import Path
from typing import Any

import pytest
from anthocard.cli import main
from anthocard.diagnostics.diagnostic import AuthorError
from anthocard.engine.compute import compute
from anthocard.engine.optics import sight
from anthocard.engine.results import Computed
from anthocard.house.reader import read_house
from anthocard.press.build import recipe_cache, worker
from anthocard.press.build.fingerprint import RECORD
from anthocard.press.build.recipe_cache import keys_of, known_or_worked_out, work_out
from anthocard.press.data.recipe_json import as_json
from anthocard.press.data.values import read, written
from anthocard.press.data.worked import as_worked
from anthocard.press.paper.job import Outcome
from anthocard.press.store.key import key as key_of
from anthocard.press.store.store import Store

from tests.benchmarks.houses import make_house

DEMO = Path(__file__).parents[2] / "recipes"


@pytest.fixture
def each_set_once(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What one build had set within its limits is not set again for the next, which is made from
    nothing all the same: asked here is what is made of what, not how a page is set.
    """
    kept = tmp_path / "set"
    kept.mkdir()

    class Keeping(ProcessPoolExecutor):
        def submit(self, make: Any, /, *given: Any, **named: Any) -> Future[Any]:
            if make is not worker.set_within:
                return super().submit(make, *given, **named)
            at = kept / key_of(repr(given))
            if at.exists():
                done: Future[Any] = Future()
                done.set_result(Outcome(at.read_bytes()))
                return done
            asked = super().submit(make, *given, **named)
            asked.add_done_callback(partial(keep, at))
            return asked

    def keep(at: Path, asked: Future[Outcome]) -> None:
        if not asked.cancelled() and asked.exception() is None and not asked.result().trouble:
            at.write_bytes(asked.result().pdf)

    monkeypatch.setattr(worker, "ProcessPoolExecutor", Keeping)


@pytest.fixture
def house(tmp_path: Path) -> Path:
    return make_house(tmp_path / "house", 4)


def published(
    house: Path, capsys: pytest.CaptureFixture[str], *more: str, papers: bool = False
) -> dict[str, Any]:
    out = house.parent / "out"
    words = ["publish", "--house", str(house), "--out", str(out), "--json", *more]
    words += [] if papers else ["--no-paper"]
    assert main([*words, "--cache", str(house.parent / "cache")]) == 0
    told: dict[str, Any] = json.loads(capsys.readouterr().out)
    return told


def rewrite(path: Path, old: str, new: str) -> None:
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new), encoding="utf-8")


def files(folder: Path) -> dict[str, bytes]:
    """What was made; not the record of it, which tells times and inodes."""
    found = (path for path in folder.rglob("*") if path.is_file())
    made = (path for path in found if path.name != RECORD)
    return {str(path.relative_to(folder)): path.read_bytes() for path in made}


def test_one_changed_recipe_is_all_that_is_made(
    house: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """One drink off the menus: one recipe worked out; its page, its figures and its piece of the
    search made, no other, and
    a picture's maps only for a level that no other drink has.
    The build is the same, byte for byte, as one from nothing."""
    monkeypatch.setenv("XDG_CACHE_HOME", str(house.parent / "own"))
    first = published(house, capsys)
    assert first["anew"]["recipes"] == 9
    drink = house / "drinks" / "light-00003.md"
    rewrite(drink, "15 ml plain syrup", "20 ml plain syrup")
    told = published(house, capsys)
    assert told["anew"] == {"recipes": 1, "pages": 9, "papers": 0}
    kept = files(house.parent / "out")
    for name in ("own", "cache"):
        shutil.rmtree(house.parent / name, ignore_errors=True)
    published(house, capsys, "--again")
    assert files(house.parent / "out") == kept


@pytest.mark.usefixtures("each_set_once")
def test_one_changed_recipe_sets_its_own_papers(
    house: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Front and back of its card and both margins of its sheet; of the book the cover, the drinks
    at a glance, its own part and what changed; no more. Of its pictures four are for paper alone.
    The build is the same, byte for byte, as one from nothing."""
    monkeypatch.setenv("XDG_CACHE_HOME", str(house.parent / "own"))
    published(house, capsys, papers=True)
    drink = house / "drinks" / "light-00003.md"
    rewrite(drink, "15 ml plain syrup", "16 ml plain syrup")
    told = published(house, capsys, papers=True)
    assert told["anew"] == {"recipes": 1, "pages": 12, "papers": 8}
    kept = files(house.parent / "out")
    for name in ("own", "cache"):
        shutil.rmtree(house.parent / name, ignore_errors=True)
    published(house, capsys, "--again", papers=True)
    assert files(house.parent / "out") == kept


#: What an author may change, in a house whose menu offers First Light and one more. Each third is
#: followed by a look: what changes much stands first, so that no later one makes good what it left.
CHANGES = {
    "what the house is called": ("house.yaml", "name: My Bar", "name: Our Bar"),
    "what a menu says": ("menus/tonight.md", "name: Tonight", "name: Tomorrow"),
    "a drink on no menu": ("drinks/light-00001.md", "15 ml plain syrup", "20 ml plain syrup"),
    "a syrup": ("syrups/plain-syrup.md", "500 g", "520 g"),
    "a drink on the menu": ("drinks/first-light.md", "50 ml", "45 ml"),
    "its price": ("drinks/first-light.md", "price: 12", "price: 13"),
}


@pytest.mark.usefixtures("each_set_once")
def test_whatever_changes_the_build_is_that_from_nothing(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """One change after another, papers and all: what is taken over unread is never out of date. A
    build from nothing, which takes long, is held to it after every third.
    """
    house = make_house(tmp_path / "house", 2)
    monkeypatch.setenv("XDG_CACHE_HOME", str(house.parent / "own"))
    out, fresh = house.parent / "out", house.parent / "fresh"
    published(house, capsys, papers=True)
    for number, (what, (file, old, new)) in enumerate(CHANGES.items()):
        rewrite(house / file, old, new)
        if number % 3 < 2:
            published(house, capsys, papers=True)
            continue
        shutil.rmtree(fresh, ignore_errors=True)
        shutil.copytree(out, fresh)  # the editions, which a build goes on from
        published(house, capsys, papers=True)
        with monkeypatch.context() as elsewhere:
            elsewhere.setenv("XDG_CACHE_HOME", str(house.parent / "none" / what))
            again = ["--again", "--cache", str(house.parent / "none" / what / "papers")]
            words = ["publish", "--house", str(house), "--out", str(fresh), "--quiet", *again]
            assert main(words) == 0
        assert files(out) == files(fresh), what


def test_a_page_is_taken_over_unread_unless_it_was_touched(
    house: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """A page nobody touched is the same file, even where the cache has lost it; one that was
    written over is made again."""
    monkeypatch.setenv("XDG_CACHE_HOME", str(house.parent / "own"))
    published(house, capsys)
    before = files(house.parent / "out")
    same, touched = (house.parent / "out" / "staff" / f"light-0000{n}.html" for n in (1, 2))
    inode = same.stat().st_ino
    touched.write_text("by hand")
    shutil.rmtree(house.parent / "cache")
    rewrite(house / "drinks" / "light-00003.md", "15 ml plain syrup", "20 ml plain syrup")
    published(house, capsys)
    assert same.stat().st_ino == inode
    after = files(house.parent / "out")
    changed = {path for path in before if before[path] != after.get(path)}
    assert {"staff/light-00003.html", "staff/data/light-00003.json"} <= changed
    assert "staff/light-00002.html" not in changed


def test_what_is_made_takes_along_what_it_is_poured_in(
    house: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """A syrup that changes: it and every drink with it are worked out, and no other recipe."""
    monkeypatch.setenv("XDG_CACHE_HOME", str(house.parent / "own"))
    published(house, capsys)
    bare = house / "drinks" / "light-00002.md"
    rewrite(bare, "  - 15 ml plain syrup\n", "")
    assert published(house, capsys)["anew"]["recipes"] == 1
    before = keys_of(read_house(house))
    rewrite(house / "syrups" / "plain-syrup.md", "500 g", "520 g")
    after = keys_of(read_house(house))
    same = {slug for slug in after if after[slug] == before[slug]}
    assert "light-00002" in same
    assert {"plain-syrup", "first-light", "light-00003"}.isdisjoint(same)
    assert published(house, capsys)["anew"]["recipes"] == len(after) - len(same)


@pytest.mark.parametrize("file", ["house.yaml", "drinks/first-light.md", "infusions/blue-gin.md"])
def test_every_cause_has_its_part_in_the_key(house: Path, file: str) -> None:
    """A drink's key changes with its own text, with the house, and with what it is poured from."""
    before = keys_of(read_house(house))["first-light"]
    path = house / file
    text = path.read_text(encoding="utf-8")
    path.write_text(f"{text}\n# a note\n" if file == "house.yaml" else f"{text}\nMore.\n")
    assert keys_of(read_house(house))["first-light"] != before


def test_what_is_cached_is_what_was_worked_out(tmp_path: Path) -> None:
    """The whole demo house: figures, words and warnings come back as they were."""
    collection, cache = read_house(DEMO), Store(tmp_path)
    fresh, told = compute(collection)
    work_out(collection, cache)
    worked, warnings = work_out(collection, cache)
    assert [*worked.anew] == []
    assert warnings == told
    plain = as_worked(collection.house, fresh)
    for slug in worked:
        assert as_json(worked[slug]) == as_json(fresh[slug])
        assert worked.card(slug) == plain.card(slug)
        assert worked.row(slug) == plain.row(slug)


def test_a_question_of_the_shift_works_nothing_out(
    house: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where all is known the engine is not run at all; where one recipe changed it is."""
    collection, store = read_house(house), Store(tmp_path / "store")
    whole = work_out(collection, store)[0]
    with monkeypatch.context() as patched:
        patched.setattr(recipe_cache, "computing", None)
        known = known_or_worked_out(collection, store)
        assert {slug: as_json(one) for slug, one in known.items()} == {
            slug: as_json(one) for slug, one in whole.items()
        }
    rewrite(house / "drinks" / "light-00003.md", "15 ml plain syrup", "20 ml plain syrup")
    assert known_or_worked_out(read_house(house), store).anew == ("light-00003",)


def test_figures_that_were_let_go_of_are_worked_out_again(house: Path, tmp_path: Path) -> None:
    """A record whose figures are gone, as a cache that shrinks leaves it: they come out the same."""
    collection, cache = read_house(house), Store(tmp_path / "own")
    fresh, _ = work_out(collection, cache)
    keys, recipes = set(cache), len(fresh)
    sights = 2 * 2  # two glasses, each from the side and from above
    assert len(keys) == 2 * recipes + sights
    for key in keys:
        kept = cache.folder / key[:2] / key[2:]
        if b'"model"' in kept.read_bytes():  # the figures, with the recipe they are of
            kept.unlink()
    assert len(set(cache)) == recipes + sights
    worked, _ = work_out(collection, cache)
    assert [*worked.anew] == []
    assert as_json(worked["light-00003"]) == as_json(compute(collection)[0]["light-00003"])
    assert [*worked.anew] == ["light-00003"]
    assert len(set(cache)) == recipes + sights + 1


def test_a_mistake_late_in_the_house_loses_nothing(house: Path, tmp_path: Path) -> None:
    """One drink that cannot be worked out: those before it are known to the next run."""
    cache, last = Store(tmp_path / "own"), house / "drinks" / "light-00003.md"
    rewrite(last, "  amount: 7.5 ml\n", "  until: pH 1.2\n")
    with pytest.raises(AuthorError):
        work_out(read_house(house), cache)
    rewrite(last, "  until: pH 1.2\n", "  amount: 6 ml\n")
    assert [*work_out(read_house(house), cache)[0].anew] == ["light-00003", "slow-morning"]


RUBBISH = {
    "nothing": b"",
    "no JSON": b"rubbish",
    "a pickle that would run": b"cposix\nsystem\n(S'touch trap'\ntR.",
    "of another version": b"[1,2]",
    "nested for ever": b"[" * 100_000,
    "a number for a text": b"[[1,2,3,4,5,6,7,8,9,10,11],[],[]]",
}


@pytest.mark.parametrize("what", RUBBISH)
def test_a_record_that_is_none_is_worked_out_anew(house: Path, tmp_path: Path, what: str) -> None:
    """Rubbish, another version's record, or one that would call something: it is not there."""
    collection, cache = read_house(house), Store(tmp_path / "own")
    work_out(collection, cache)
    for key in [*cache]:
        cache.put(key, RUBBISH[what])
    worked, _ = work_out(collection, cache)
    assert len(worked.anew) == 9
    assert not Path("trap").exists()


def test_a_record_with_one_value_of_another_type_is_none(house: Path, tmp_path: Path) -> None:
    """Each figure of a drink in turn made a text, a list or nothing: what is read back is of the
    type it should be, or it is not read."""
    collection, cache = read_house(house), Store(tmp_path / "own")
    worked, _ = work_out(collection, cache)
    content = written(worked["first-light"])
    recipe = collection.drinks["First Light"]
    assert written(read(Computed, content, recipe)) == content
    plain = json.loads(content)
    for at in range(len(plain)):
        for wrong in ({"x": 1}, [[[]]], "text", 1e999):
            spoilt = [*plain[:at], wrong, *plain[at + 1 :]]
            try:
                found = read(Computed, json.dumps(spoilt).encode(), recipe)
            except (ValueError, TypeError):
                continue
            assert isinstance(found, Computed)
            assert written(found) != content


def test_a_house_that_is_moved_keeps_every_key(
    house: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Its folder renamed, then copied elsewhere: no recipe, page or paper is made again."""
    monkeypatch.setenv("XDG_CACHE_HOME", str(house.parent / "own"))
    published(house, capsys, papers=True)
    before = keys_of(read_house(house))
    other = house.rename(house.parent / "another name")
    assert keys_of(read_house(other)) == before
    assert published(other, capsys, papers=True)["unchanged"]
    copied = Path(shutil.copytree(other, house.parent / "deeper" / "copy"))
    (house.parent / "cache").rename(copied.parent / "cache")
    told = published(copied, capsys, papers=True)
    assert told["anew"] == {"recipes": 0, "pages": 0, "papers": 0}


def test_a_build_that_is_copied_stands(
    house: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Copied with other inodes and times: its contents tell that nothing has changed."""
    monkeypatch.setenv("XDG_CACHE_HOME", str(house.parent / "own"))
    published(house, capsys)
    out = house.parent / "out"
    shutil.copytree(out, house.parent / "copy", copy_function=shutil.copyfile)
    shutil.rmtree(out)
    (house.parent / "copy").rename(out)
    assert published(house, capsys)["unchanged"]
    (out / "staff" / "index.html").write_text("by hand")
    assert not published(house, capsys)["unchanged"]


def test_light_is_traced_once_for_a_glass(house: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A changed drink in a glass known from a run before traces no way of light again, and comes
    out as from nothing."""
    store = house.parent / "store"
    work_out(read_house(house), Store(store))
    rewrite(house / "drinks" / "light-00003.md", "price: 12", "price: 13")
    sight._rows.cache_clear()
    anew = compute(read_house(house))[0]
    sight._rows.cache_clear()
    monkeypatch.setattr(sight, "quantiles", None)  # whoever asks for it fails
    worked, _ = work_out(read_house(house), Store(store))
    assert as_json(worked["light-00003"]) == as_json(anew["light-00003"])
