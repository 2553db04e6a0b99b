"""Sync with a tap: at a shop's own machine, asked first where much or anything private would leave."""

from datetime import UTC, datetime

import pytest
from tests.library.pages.conftest import Visitor

from sprayout_library.record import Writer
from sprayout_library.store import Store
from sprayout_library.sync import clone, join_remote, leaving, remotes, set_private, sync

NOW = datetime(2026, 5, 5, 12, tzinfo=UTC)


@pytest.fixture
def shared(tmp_path, monkeypatch):
    """A shop's library, shared through a folder: (visitor, its store, the other shop's store)."""
    monkeypatch.setenv("SPRAYOUT_HOME", str(tmp_path / "home"))
    with Store.create(tmp_path / "lib", NOW) as store:
        visitor = Visitor(tmp_path / "lib")
        visitor.fill("/begin", {"title": "Reed yard", "light": "D65"})
        store.refresh()
        join_remote(store, "co-op", str(tmp_path / "shared"), NOW)
        other, _ = clone(tmp_path / "other", str(tmp_path / "shared"), NOW)
        yield visitor, store, other
        other.close()


def written(store, name):
    writer = Writer(store, "ben")
    made = writer.new("material", {"title": name, "role": "dye"})
    writer.save([made], name)
    return made


def test_what_is_new_goes_out_and_comes_in_with_one_tap(shared):
    visitor, store, other = shared
    mine, theirs = written(store, "plum"), written(other, "fern")
    sync(other, remotes(other)["hub"], NOW)
    assert "Sync now" in visitor.get("/share").text
    told = visitor.fill("/share/sync")
    assert told.status_code == 200 and "<h1>In sync</h1>" in told.text and "1 sent, 1 taken in." in told.text
    assert f'/thing/{theirs.id}">fern</a>' in told.text
    store.refresh()
    assert store.get(theirs.id) is not None
    sync(other, remotes(other)["hub"], NOW)
    assert other.get(mine.id) is not None


def test_what_is_private_is_asked_about_before_it_leaves(shared):
    visitor, store, _ = shared
    written(store, "plum")
    set_private(store, "a customer's own")
    told = visitor.fill("/share/sync").text
    assert "1 document would leave, and this library is marked private" in told and "plum" in told
    assert len(leaving(store, remotes(store)["co-op"]).documents) == 1  # nothing went
    assert "1 sent, 0 taken in." in visitor.fill("/share/sync", {"sure": "yes"}).text
    assert leaving(store, remotes(store)["co-op"]).documents == []


def test_a_place_that_cannot_be_reached_is_told_and_changes_nothing(shared, tmp_path):
    visitor, store, _ = shared
    (tmp_path / "shared").rename(tmp_path / "gone")
    head = store.newest()
    told = visitor.fill("/share/sync")
    assert "Not everything went through" in told.text and "sprayout " not in told.text.partition("<main")[2]
    assert store.newest() == head


def test_a_library_that_is_not_shared_says_so(own):
    visitor, _ = own
    told = visitor.fill("/share/sync")
    assert told.status_code == 422 and "not shared yet" in told.text
    assert "Sync now" not in visitor.get("/share").text


def test_a_hub_does_not_sync_for_a_shop(built, monkeypatch):
    from starlette.applications import Starlette
    from starlette.testclient import TestClient

    from sprayout_library.hub.pages import Serving, routes

    monkeypatch.setenv("SPRAYOUT_HOME", str(built.shop.folder / "home"))
    serving = Serving(lambda _: Store.open(built.folder), lambda _, store: Writer(store, "ada"), lambda _: "token")
    hub = TestClient(Starlette(routes=routes(serving)))
    assert hub.post("/share/sync", data={"csrf": "token"}).status_code == 404
    assert hub.post("/share/sync", data={"csrf": "wrong"}).status_code == 403
    serving.known.close()
