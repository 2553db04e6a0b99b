"""Many ready documents in one version: the same as saving them, nothing where it breaks off."""

import os
import signal
import sys

import pytest
from tests.library.shops import text

from sprayout_core.compare import Put, edit
from sprayout_core.documents import made, write
from sprayout_library.store import Author, FullDiskError, StaleError, Store, StoreError, Written, path_of, repair
from sprayout_library.store import inflow as room

MANY = 700


def readings(bench, store, count, start=0):
    provenance = {"at": text(bench.now), "tool": "tests", "by": "ada"}
    for number in range(start, start + count):
        facts = {
            "panel": "01926f3a-7c1e-7b52-9a41-5d0c8e2f7a10", "stage": {"surface": "bare"}, "grade": "typed",
            "measured": [{"geometry": "45:0", "coordinates":
                          {"lab": [number / 10, 1.5, -2.5], "illuminant": "D65", "observer": 10}}],
        }  # fmt: skip
        yield made("reading", facts, copy=store.copy_id, provenance=provenance)


def how(bench, message="many"):
    return Written("edit", message, Author("ada", bench.now))


def given(store, bench, documents):
    with store.inflow() as flowing:
        for document in documents:
            flowing.add(path_of(document.kind, document.id), write(document))
        return flowing.finish(how(bench)).commit


def rooms(store):
    there = store.folder / "incoming"
    return list(there.iterdir()) if there.is_dir() else []


@pytest.mark.parametrize("count", [3, MANY])
def test_it_is_what_saving_them_gives(bench, count):
    one, two = bench.shop("a"), bench.shop("b")
    first = bench.material(one, "Weak teal")
    for store in (one, two):
        bench.save(store, first)
    documents = list(readings(bench, one, count))
    given(one, bench, documents)
    bench.save(two, *documents)
    trees = [store.git.text("rev-parse", f"{store.head}^{{tree}}") for store in (one, two)]
    assert trees[0] == trees[1]
    assert one.git.text("rev-parse", "main", f"shops/{one.copy_id}").split() == [one.head] * 2
    assert one.git.text("log", "-1", "--format=%B").startswith("many\n\nSprayout: edit rules=")
    assert one.git.text("rev-list", "--count", "main") == "2"
    one.git.run("fsck", "--strict", "--full")
    assert dict(one.raw("reading")) == {document.id: write(document) for document in documents}
    assert rooms(one) == []


def test_into_an_empty_library_and_a_second_time(bench):
    store = bench.shop("a")
    documents = list(readings(bench, store, MANY))
    first = given(store, bench, documents)
    assert given(store, bench, documents) == first  # what stands there is not written again
    more = list(readings(bench, store, 5, start=MANY))
    assert given(store, bench, documents + more) != first
    assert len(list(store.raw("reading"))) == MANY + 5


def test_what_was_let_go_of_is_not_saved(bench):
    store = bench.shop("a")
    documents = list(readings(bench, store, MANY))
    with store.inflow() as flowing:
        for number, document in enumerate(documents):
            flowing.add(path_of("reading", document.id), write(document))
            if number == 599:
                kept = len(flowing)
        flowing.back_to(kept)
        flowing.finish(how(bench))
    assert {name for name, _ in store.raw("reading")} == {document.id for document in documents[:600]}


@pytest.mark.parametrize("count", [3, MANY])
def test_given_twice_is_refused_and_nothing_saved(bench, count):
    store = bench.shop("a")
    documents = list(readings(bench, store, count))
    with pytest.raises(StoreError, match="given twice"):
        given(store, bench, [*documents, documents[0]])
    assert store.newest() is None
    assert rooms(store) == []


def test_an_edit_goes_in_and_what_is_none_is_refused(bench):
    store = bench.shop("a")
    teal = bench.material(store, "Weak teal")
    bench.save(store, teal)
    edited = edit(teal, store.copy_id, [Put("title", "Weaker teal")], text(bench.tick()))
    others = list(readings(bench, store, MANY))
    given(store, bench, [*others, edited])
    assert store.get(teal.id).title == "Weaker teal"
    before = store.head
    with pytest.raises(StaleError, match="was not edited from"):
        given(store, bench, [*readings(bench, store, MANY, start=MANY), teal])
    assert store.newest() == before
    assert rooms(store) == []


def test_changed_by_another_command_meanwhile(bench):
    store = bench.shop("a")
    teal = bench.material(store, "Weak teal")
    bench.save(store, teal)
    mine = edit(teal, store.copy_id, [Put("title", "Mine")], text(bench.tick()))
    with store.inflow() as flowing:
        for document in [*readings(bench, store, MANY), mine]:
            flowing.add(path_of(document.kind, document.id), write(document))
        with Store.open(store.folder) as other:
            bench.edit(other, teal.id, Put("title", "Theirs"))
            newest = other.head
        with pytest.raises(StaleError, match="in the meantime"):
            flowing.finish(how(bench))
    assert store.newest() == newest


@pytest.mark.skipif(sys.platform == "win32", reason="signals as POSIX has them")
def test_git_killed_on_the_way_is_told_and_changes_nothing(bench):
    store = bench.shop("a")
    bench.save(store, bench.material(store, "Weak teal"))
    before = store.head
    with pytest.raises(StoreError), store.inflow() as flowing:
        for number, document in enumerate(readings(bench, store, MANY)):
            flowing.add(path_of("reading", document.id), write(document))
            if number == 650:
                os.kill(flowing._stream.process.pid, signal.SIGKILL)
                flowing._stream.process.wait()
        flowing.finish(how(bench))
    assert store.newest() == before
    assert rooms(store) == []
    assert not list(store.folder.glob("fast_import_crash*"))


@pytest.mark.skipif(sys.platform == "win32", reason="limits as POSIX has them")
def test_a_full_disk_is_told_and_changes_nothing(bench, monkeypatch):
    """A git that says what it says where the disk is full."""
    store = bench.shop("a")
    said = 'import sys; sys.stderr.write("fatal: unable to write pack file: No space left on device\\n"); sys.exit(128)'

    def full(self, *words, said=None, **rest):
        import subprocess

        return subprocess.Popen([sys.executable, "-c", script], stdin=-1, stdout=-1, stderr=said)

    script = said
    monkeypatch.setattr(room.Git, "start", full)
    with pytest.raises(FullDiskError), store.inflow() as flowing:
        for document in readings(bench, store, MANY):
            flowing.add(path_of("reading", document.id), write(document))
        flowing.finish(how(bench))
    monkeypatch.undo()
    assert rooms(store) == []


def test_a_repair_leaves_an_inflow_that_goes_on_alone(bench):
    store = bench.shop("a")
    documents = list(readings(bench, store, MANY))
    with store.inflow() as flowing:
        for document in documents[:650]:
            flowing.add(path_of("reading", document.id), write(document))
        for path in [*rooms(store), *(rooms(store)[0] / "objects").iterdir()]:
            os.utime(path, (1, 1))
        with Store.open(store.folder) as other:
            assert repair(other) == []
        for document in documents[650:]:
            flowing.add(path_of("reading", document.id), write(document))
        flowing.finish(how(bench))
    assert len(list(store.raw("reading"))) == MANY
