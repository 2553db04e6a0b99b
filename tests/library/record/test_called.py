"""Names by the index are the names by reading everything, for every way of asking."""

import pytest
from tests.library.index.test_index import reading

from sprayout_core.compare import Put, edit, join
from sprayout_core.errors import SprayoutError
from sprayout_library.record import Names, called, names_in


@pytest.fixture
def shop(bench):
    store = bench.shop("a")
    weak = bench.material(store, "Weak teal", aliases=["pale teal"])
    kelp = bench.formula(store, "Kelp glass", {weak.id: 1})
    panel = bench.made(store, "panel", {"label": "KF-1"})
    readings = [reading(bench, store, panel, level) for level in (0.2, 0.3)]
    bench.save(store, weak, kelp, panel, *readings)
    one = edit(kelp, "aaaaaa", [Put("title", "Kelp one")], "2026-03-02T09:11:00Z")
    bench.saved(store, join(one, edit(kelp, "bbbbbb", [Put("title", "Kelp two")], "2026-03-02T09:12:00Z")))
    bench.withdraw(store, readings[0].id)
    return store, readings, [weak, kelp, panel, *readings]


@pytest.fixture
def both(shop, monkeypatch):
    store, _, _ = shop
    monkeypatch.setattr(called, "_MANY", -1)
    large = names_in(store)
    assert large._readings is not None
    return Names(store), large


def test_what_is_asked_by_name_by_id_and_by_kind_is_the_same(shop, both):
    plain, large = both
    documents = shop[2]
    ends = [document.id[-length:] for document in documents for length in (4, 6, 12, 36)]
    for text in ("weak teal", "pale teal", "PALE  teal", "kf-1", "nothing", "…abcd", *ends):
        assert large.matching(text) == plain.matching(text)
        for kind in ("panel", "reading", "formula"):
            assert large.matching(text, kind) == plain.matching(text, kind)
    assert [large.label(one.id) for one in documents] == [plain.label(one.id) for one in documents]
    assert large.in_question() == plain.in_question()
    assert len(large.in_question()) == 2
    assert large.near("weak tael") == plain.near("weak tael") == ["Weak teal"]


def test_readings_are_listed_when_they_are_asked_for(both):
    plain, large = both
    assert list(large.of_kind("panel")) == list(plain.of_kind("panel"))
    assert len([entry for entry in large.entries.values() if entry.kind == "reading"]) == 1  # the withdrawn one
    assert list(large.of_kind("reading")) == list(plain.of_kind("reading"))
    assert list(large.of_kind()) == list(plain.of_kind())


def test_a_reading_is_called_after_its_panel_though_it_is_not_at_hand(shop, both):
    _, large = both
    assert large.label(shop[1][1].id) == "reading of KF-1"
    with pytest.raises(SprayoutError):
        large.find("0123456789ab")


def test_a_small_library_and_a_machine_that_keeps_no_index_are_read_whole(shop, monkeypatch):
    store, _, _ = shop
    assert names_in(store)._readings is None

    def refused(*_):
        raise PermissionError("read-only")

    monkeypatch.setattr(called, "_MANY", -1)
    monkeypatch.setattr(called, "asking", refused)
    assert names_in(store)._readings is None
