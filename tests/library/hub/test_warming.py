"""What a server works out before anybody asks, and that it stops with the server."""

import threading
from contextlib import closing
from datetime import UTC, datetime
from functools import partial

import pytest

from sprayout_core.errors import SprayoutError
from sprayout_library.hub.open_stores import OpenStores
from sprayout_library.hub.pages import Known
from sprayout_library.hub.warming import warming
from sprayout_library.record import Writer
from sprayout_library.store import Store

NOW = datetime(2026, 5, 4, 8, 0, tzinfo=UTC)


@pytest.fixture
def folders(tmp_path, monkeypatch):
    monkeypatch.setenv("SPRAYOUT_HOME", str(tmp_path / "home"))
    found = []
    for number in range(6):
        with Store.create(tmp_path / f"lib{number}", NOW) as store:
            if number != 1:  # one is empty still
                writer = Writer(store, "ada")
                writer.save([writer.new("material", {"title": f"dye {number}", "role": "dye"})], "begun")
            found.append(store.folder)
    return found


def test_libraries_are_known_before_anybody_asks(folders, tmp_path):
    done = threading.Event()

    def gone():
        raise SprayoutError("this library was taken away", "Its neighbours are warmed all the same.")

    def last():
        done.set()
        gone()

    with closing(OpenStores()) as stores, closing(Known()) as known:
        opens = [partial(stores.store, folder) for folder in folders]
        with warming(known, [gone, *opens, last]):
            assert done.wait(600)
        assert len({state[0] for state in known._seen}) == 2  # the first few, but for the empty one
    assert len(list((tmp_path / "home" / "index").glob("*/seal.json"))) == 5


def test_it_ends_with_the_server(folders):
    begun, going = threading.Event(), threading.Event()

    def slow():
        begun.set()
        going.wait(600)
        raise SprayoutError("too late", "")

    with warming(Known(), [slow, slow]):
        assert begun.wait(600)
        going.set()
    for one in threading.enumerate():
        if one.name == "warming":  # a very busy machine: it was not waited for
            one.join(300)
            assert not one.is_alive()
