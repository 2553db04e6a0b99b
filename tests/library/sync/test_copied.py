"""A library that was copied or restored: both guard steps, and what happens where one of them is missing."""

import shutil

import pytest
from tests.library.shops import Add, Put, git, state

from sprayout_library.sync import RemoteError
from sprayout_library.sync.remote import remote_at


@pytest.fixture
def shops(bench):
    bench.a = bench.joined("a")
    bench.teal, bench.violet = (bench.material(bench.a, title) for title in ("Teal", "Violet"))
    bench.save(bench.a, bench.teal, bench.violet)
    bench.sync(bench.a)
    bench.b, _ = bench.clone("b")
    bench.sync(bench.a)
    return bench


def restored(bench):
    """Put the backup back into the folder itself, which keeps its device and inode."""
    bench.a.close()
    bench.copy_inside(bench.folder / "backup", bench.folder / "a")
    bench.a = bench.open("a")
    return bench.a


def settled(bench, *stores):
    for _ in range(2):
        for store in stores:
            assert bench.sync(store).refused == []
    assert len({store.head for store in stores}) == 1


def test_step_one_a_copied_folder_is_another_copy(shops):
    shops.edit(shops.a, shops.teal.id, Add("tags", "unpublished"))
    shutil.copytree(shops.folder / "a", shops.folder / "twin")
    twin = shops.open("twin")
    shops.remote(twin, "hub", shops.folder / "hub")
    shops.edit(shops.a, shops.teal.id, Put("title", "Teal of a"))
    shops.edit(twin, shops.teal.id, Put("title", "Teal of the twin"))
    shops.edit(twin, shops.violet.id, Put("title", "Violet of the twin"))
    settled(shops, shops.a, twin, shops.b)
    teal = shops.b.get(shops.teal.id)
    assert {answer.value for answer in teal.questions["title"].values()} == {"Teal of a", "Teal of the twin"}
    assert list(teal.tags.values()) == ["unpublished"]
    assert shops.b.get(shops.violet.id).title == "Violet of the twin"


def test_step_two_behind_what_was_published_goes_forward(shops):
    shutil.copytree(shops.folder / "a", shops.folder / "backup")
    shops.edit(shops.a, shops.teal.id, Put("title", "Later"))
    shops.sync(shops.a)
    copy = shops.a.copy_id
    store = restored(shops)
    assert store.get(shops.teal.id).title == "Teal"
    [note] = shops.sync(store).notes
    assert "restored" in note
    assert (store.get(shops.teal.id).title, store.copy_id) == ("Later", copy)
    shops.edit(store, shops.teal.id, Put("title", "Later still"))
    settled(shops, store, shops.b)
    assert shops.b.get(shops.teal.id).title == "Later still"


def test_step_two_beside_what_was_published_goes_on_under_a_new_id(shops):
    shutil.copytree(shops.folder / "a", shops.folder / "backup")
    shops.edit(shops.a, shops.teal.id, Put("title", "Published"))
    shops.sync(shops.a)
    copy = shops.a.copy_id
    store = restored(shops)
    moss = shops.material(store, "Moss")
    shops.save(store, moss)
    shops.edit(store, shops.teal.id, Put("title", "After the restore"))
    shops.edit(store, shops.violet.id, Add("notes", {"text": "a remark"}))
    [note] = shops.sync(store).notes
    assert "is a copy" in note
    assert store.copy_id != copy
    settled(shops, store, shops.b)
    teal = shops.b.get(shops.teal.id)
    assert {answer.value for answer in teal.questions["title"].values()} == {"Published", "After the restore"}
    assert shops.b.get(moss.id).made == f"{store.copy_id}.1"
    [note] = shops.b.get(shops.violet.id).notes.values()
    assert note.text == "a remark"
    shops.edit(store, shops.violet.id, Put("title", "On it goes"))
    settled(shops, store, shops.b)
    assert shops.b.get(shops.violet.id).title == "On it goes"


def test_step_two_where_the_twin_is_met_on_anothers_branch(shops):
    """The hub lost our own branch, but another shop has folded it already."""
    shutil.copytree(shops.folder / "a", shops.folder / "backup")
    shops.edit(shops.a, shops.teal.id, Put("title", "Published"))
    shops.sync(shops.a)
    shops.sync(shops.b)
    copy = shops.a.copy_id
    git(shops.folder / "hub", "update-ref", "-d", f"refs/heads/shops/{copy}")
    store = restored(shops)
    shops.edit(store, shops.teal.id, Put("title", "After the restore"))
    shops.sync(store)
    assert store.copy_id != copy
    settled(shops, store, shops.b)
    titles = {answer.value for answer in shops.b.get(shops.teal.id).questions["title"].values()}
    assert titles == {"Published", "After the restore"}


def test_stopped_in_the_middle_of_going_on_it_goes_on_again(shops, monkeypatch):
    shutil.copytree(shops.folder / "a", shops.folder / "backup")
    shops.edit(shops.a, shops.teal.id, Put("title", "Published"))
    shops.sync(shops.a)
    store = restored(shops)
    shops.edit(store, shops.teal.id, Put("title", "After the restore"))
    from sprayout_library.machine import LibraryFacts

    def killed(self, copy, folder):
        raise KeyboardInterrupt

    with monkeypatch.context() as patched:
        patched.setattr(LibraryFacts, "drawn", killed)
        with pytest.raises(KeyboardInterrupt):
            shops.sync(store)
    again = shops.open("a")
    shops.edit(again, shops.violet.id, Put("title", "In between"))
    settled(shops, again, shops.b)
    titles = {answer.value for answer in shops.b.get(shops.teal.id).questions["title"].values()}
    assert titles == {"Published", "After the restore"}
    assert shops.b.get(shops.violet.id).title == "In between"


def test_without_the_guard_an_edit_is_lost(shops, monkeypatch):
    """The control: with step two switched off, the two hands write under one number and the fold cannot be made."""
    from sprayout_library.sync import receiving

    shutil.copytree(shops.folder / "a", shops.folder / "backup")
    shops.edit(shops.a, shops.teal.id, Put("title", "Published"))
    shops.sync(shops.a)
    store = restored(shops)
    shops.edit(store, shops.teal.id, Put("title", "After the restore"))
    monkeypatch.setattr(receiving, "_guard_own", lambda *_: None)
    assert shops.sync(store).refused
    assert state(store) != state(shops.b)


@pytest.mark.parametrize("name", ["", "Hub", "-x", "hub/..", "a" * 40, "hub\n"])
def test_remote_names_follow_a_grammar(name):
    with pytest.raises(RemoteError, match="no name for a remote"):
        remote_at(name, "/srv/shared")
