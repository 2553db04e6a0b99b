"""Libraries kept open between requests: one request at a time, at the newest state, of the folder that stands there."""

import shutil
from contextlib import ExitStack, closing
from datetime import UTC, datetime

import pytest

from sprayout_core.errors import SprayoutError
from sprayout_library.hub.open_stores import OpenStores
from sprayout_library.record import Writer
from sprayout_library.store import Store

NOW = datetime(2026, 5, 4, 8, 0, tzinfo=UTC)


@pytest.fixture
def folder(tmp_path, monkeypatch):
    monkeypatch.setenv("SPRAYOUT_HOME", str(tmp_path / "home"))
    Store.create(tmp_path / "lib", NOW).close()
    return tmp_path / "lib"


def dye(store, title):
    writer = Writer(store, "ada")
    document = writer.new("material", {"title": title, "role": "dye"})
    writer.save([document], title)
    return document.id


def test_a_store_is_taken_again_and_reads_what_others_saved(folder):
    with closing(OpenStores()) as stores:
        with stores.store(folder) as first:
            assert first.head is None
        with Store.open(folder) as other:
            name = dye(other, "weak teal")
        with stores.store(folder) as second, stores.store(folder) as third:
            assert second is first and third is not first
            assert second.get(name).title == third.get(name).title == "weak teal"
        assert stores.waiting() == 2


def test_one_that_failed_is_not_taken_again(folder):
    with closing(OpenStores()) as stores:
        with pytest.raises(SprayoutError, match="out of dye"), stores.store(folder):
            raise SprayoutError("out of dye")
        assert stores.waiting() == 0


def test_another_library_at_the_same_place_is_noticed(folder, tmp_path):
    with closing(OpenStores()) as stores:
        with stores.store(folder) as store:
            name = dye(store, "weak teal")
        shutil.rmtree(folder)
        with pytest.raises(SprayoutError), stores.store(folder):
            pass
        Store.create(folder, NOW).close()
        with stores.store(folder) as store:
            assert store.head is None and store.get(name) is None
        assert stores.waiting() == 1


def test_few_wait_and_the_library_asked_for_least_lately_goes_first(folder, tmp_path):
    Store.create(tmp_path / "other", NOW).close()
    with closing(OpenStores(each=2, most=3)) as stores:
        for place, many in ((folder, 4), (tmp_path / "other", 2)):
            with ExitStack() as held:
                for _ in range(many):
                    held.enter_context(stores.store(place))
            assert stores.waiting() <= 3
        with stores.store(folder) as store:  # one is left
            assert stores.waiting() == 2
        assert store is not None


def test_closing_ends_those_that_wait_and_those_in_use(folder):
    stores = OpenStores()
    with stores.store(folder) as store:
        dye(store, "weak teal")
    with stores.store(folder) as again:
        assert again.get("0" * 8) is None and list(again.documents()) and again.content(dye(again, "moss"))
        child = again.reader._process
        stores.close()
        assert child.poll() is None
    assert child.poll() is not None and stores.waiting() == 0
