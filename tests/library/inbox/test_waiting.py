"""Readings without a panel: they wait with all their data, find it later, and are never taken twice."""

import pytest

from sprayout_library.inbox import place_waiting
from sprayout_library.record import Writer
from sprayout_library.record.placing import SpotNotFound, Spots


def place(shop, told):
    store = shop.store()
    writer = Writer(store, "ada")
    inbox = shop.inbox()
    with inbox.turn():
        return place_waiting(writer, inbox, Spots(store), told)


def test_a_panel_recorded_later_finds_its_readings(shop):
    shop.put("a.csv", shop.table(("KF-1", 10), ("KF-9", 20)))
    watch = shop.watch()
    assert shop.sorts(shop.run(watch)) == [("taken", "a.csv", 1, 0, 1)]
    (waiting,) = shop.inbox().rows.values()
    assert (waiting.label, waiting.line) == ("KF-9", 3) and "no panel is called 'KF-9'" in waiting.reason
    data = shop.inbox().data(waiting)
    assert data.values[0] == 0.2 and data.conditions.geometry == "45:0"
    shop.panel("KF-9")
    assert shop.sorts(shop.run(watch, 4)) == [("placed", 1)]
    assert shop.readings() == [("line 2", 0.1), ("line 3", 0.2)]
    assert not shop.inbox().rows
    assert shop.run(shop.watch()) == []


def test_rows_wait_once_though_their_file_grows_or_is_copied(shop):
    path = shop.put("a.csv", shop.table(("sample 1", 10)))
    watch = shop.watch()
    shop.run(watch)
    with path.open("a", encoding="utf-8") as file:
        file.write(shop.row("sample 2", 20))
    shop.run(watch)
    shop.put("b.csv", shop.table(("sample 2", 20), ("sample 1", 10)))
    shop.run(watch)
    assert sorted(row.label for row in shop.inbox().rows.values()) == ["sample 1", "sample 2"]


def test_what_was_placed_by_hand_is_known_when_its_file_grows(shop):
    path = shop.put("a.csv", shop.table(("sample 1", 10)))
    watch = shop.watch()
    shop.run(watch)
    (key,) = shop.inbox().rows
    assert list(place(shop, {key: "KF-2"})) == [key]
    with path.open("a", encoding="utf-8") as file:
        file.write(shop.row("KF-1", 20))
    shop.panel("sample 1")
    assert shop.sorts(shop.run(watch)) == [("taken", "a.csv", 1, 1, 0)]
    assert len(shop.readings()) == 2, "a panel of that name recorded later does not get it a second time"


def test_identical_rows_are_replicates_each_once(shop):
    shop.put("a.csv", shop.table(("KF-9", 10), ("KF-9", 10), ("KF-9", 30)))
    watch = shop.watch({**shop.options, "repeats": "replicates"})
    assert shop.sorts(shop.run(watch)) == [("taken", "a.csv", 0, 0, 3)]
    shop.panel("KF-9")
    assert shop.sorts(shop.run(watch, 4)) == [("placed", 3)]
    assert [value for _, value in shop.readings()] == [0.1, 0.1, 0.3]
    shop.put("b.csv", shop.table(("KF-9", 10), ("KF-9", 30), ("KF-9", 10)))
    assert shop.sorts(shop.run(watch)) == [("taken", "b.csv", 0, 3, 0)]


def test_dropped_rows_stay_dropped(shop):
    path = shop.put("a.csv", shop.table(("white tile", 90)))
    watch = shop.watch()
    shop.run(watch)
    inbox = shop.inbox()
    with inbox.turn():
        inbox.note(placed={next(iter(inbox.rows)): ""})
    with path.open("a", encoding="utf-8") as file:
        file.write(shop.row("KF-1", 20))
    assert shop.sorts(shop.run(watch)) == [("taken", "a.csv", 1, 0, 0)]
    assert not shop.inbox().rows


def test_steps_and_zones_are_found_after_a_stroke(shop):
    shop.panel("KF-5", steps={"0": 0, "2": 2}, zones=["over_black"])
    shop.put("a.csv", shop.table(("KF-5/2", 10), ("KF-5/over black", 20), ("KF-5/7", 30)))
    assert shop.sorts(shop.run(shop.watch())) == [("taken", "a.csv", 2, 0, 1)]
    (waiting,) = shop.inbox().rows.values()
    assert "no step or zone '7'" in waiting.reason
    with pytest.raises(SpotNotFound):
        place(shop, {waiting.key: "KF-5/8"})
    assert len(shop.inbox().rows) == 1
    place(shop, {waiting.key: "KF-5/2"})
    assert not shop.inbox().rows


def test_a_bare_number_is_never_taken_for_the_end_of_an_id(shop):
    store = shop.store()
    identity = next(iter(store.documents("panel"))).id
    spots = Spots(store)
    with pytest.raises(SpotNotFound):
        spots.find(identity[-6:])
    assert spots.find("…" + identity[-6:]).panel == identity
    assert spots.find(identity).panel == identity


def test_two_panels_of_one_name_are_asked_about(shop):
    shop.panel("KF-7")
    shop.panel("kf-7")
    shop.put("a.csv", shop.table(("KF-7", 10)))
    assert shop.sorts(shop.run(shop.watch())) == [("taken", "a.csv", 0, 0, 1)]
    assert "could be" in next(iter(shop.inbox().rows.values())).reason


def test_the_file_name_tells_the_panel(shop):
    shop.put("KF-1.csv", shop.table(("white", 10), ("KF-2", 20)))
    shop.put("KF-8.csv", shop.table(("white", 30)))
    watch = shop.watch(names="{panel}.csv")
    assert shop.sorts(shop.run(watch)) == [("taken", "KF-1.csv", 1, 0, 1), ("taken", "KF-8.csv", 0, 0, 1)]
    assert sorted(row.named for row in shop.inbox().rows.values()) == ["KF-1", "KF-8"]
    assert any("the row says 'KF-2', the file's name 'KF-1'" in row.reason for row in shop.inbox().rows.values())
    shop.panel("KF-8")
    assert shop.sorts(shop.run(watch, 4)) == [("placed", 1)]


def test_one_content_under_the_names_of_two_panels_is_refused(shop):
    text = shop.table(("white", 10))
    shop.put("KF-1.csv", text)
    shop.put("KF-2.csv", text)
    told = shop.run(shop.watch(names="{panel}.csv"))
    assert shop.sorts(told) == [("taken", "KF-1.csv", 1, 0, 0), ("refused", "KF-2.csv")] or shop.sorts(told) == [
        ("refused", "KF-2.csv"), ("taken", "KF-1.csv", 1, 0, 0),
    ]  # fmt: skip
    assert len(shop.readings()) == 1
