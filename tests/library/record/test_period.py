"""What changed between two days: what differs in each thing, by whom, and what was sprayed of it."""

from datetime import date, timedelta

import pytest
from tests.library.shops import Add, Put, mix, text

from sprayout_core.documents import proofs
from sprayout_core.errors import SprayoutError
from sprayout_library.record import Names
from sprayout_library.record.period import changed_in, day_of
from sprayout_library.record.sides import with_panels
from sprayout_library.record.versions import told_versions


@pytest.fixture
def days(bench):
    """Three days: made, sprayed and changed, changed twice and sprayed again; two shops, one panel each."""
    bench.now = bench.now.replace(hour=12)
    a = bench.joined("a")
    weak, strong = (bench.material(a, title) for title in ("Weak teal", "Strong teal"))
    kelp = bench.formula(a, "Kelp", {weak.id: 9, strong.id: 2})
    shop = bench.made(a, "shop", {"title": "Reed shop", "copies": {a.copy_id: {"name": "office"}}})
    bench.save(a, weak, strong, kelp, shop)
    bench.sync(a)
    b, _ = bench.clone("b")
    bench.kelp, bench.weak, bench.strong, bench.a, bench.b = kelp, weak, strong, a, b
    bench.days = [bench.now.date()]
    bench.tick(86_400)
    bench.days.append(bench.now.date())
    panel(bench, a, "KF-1")
    bench.edit(a, kelp.id, Put("mix", mix({weak.id: 7, strong.id: 2})))
    bench.sync(a)
    bench.sync(b)
    bench.tick(86_400)
    bench.days.append(bench.now.date())
    bench.edit(b, kelp.id, Put("mix", mix({weak.id: 5, strong.id: 2})))
    bench.edit(b, kelp.id, Add("notes", {"text": "cleaner at the flop"}))
    panel(bench, b, "KF-2")
    bench.sync(b)
    bench.sync(a)
    return bench


def panel(bench, store, label):
    kelp = store.get(bench.kelp.id)
    coats = [{"formula": kelp.id, "count": "3"}]
    facts = {
        "label": label,
        "sprayed_at": text(bench.now),
        "shape": "flat",
        "coats": coats,
        "proofs": proofs(kelp, store.find),
    }
    bench.save(store, bench.made(store, "panel", facts), message=f"Panel {label}")


def told(found):
    return {one.name: (one.is_new, [line.text for line in one.lines], list(one.panels)) for one in found.things}


def test_each_day_tells_what_differs_who_did_it_and_the_panels(days):
    names = Names(days.a)
    first = changed_in(days.a, names, days.days[0], days.days[0])
    assert told(first) == {
        "Kelp": (True, [], []), "Strong teal": (True, [], []), "Weak teal": (True, [], []),
        "Reed shop": (True, [], []),
    }  # fmt: skip
    second = changed_in(days.a, names, days.days[1], days.days[1])
    assert told(second)["Kelp"] == (
        False,
        [
            "Strong teal: 2 of 11 parts (18.2 %) before, 2 of 9 parts (22.2 %) now",
            "Weak teal: 9 of 11 parts (81.8 %) before, 7 of 9 parts (77.8 %) now",
        ],
        ["KF-1"],
    )
    assert [(act.by, act.shop) for act in second.things[0].acts] == [("ada", "Reed shop")]
    assert [one.name for one in second.evidence] == ["KF-1"]


def test_several_days_are_told_as_one_difference_with_everyone_who_took_part(days):
    found = changed_in(days.a, Names(days.a), days.days[1], None)
    is_new, lines, panels = told(found)["Kelp"]
    assert not is_new
    assert "Weak teal: 9 of 11 parts (81.8 %) before, 5 of 7 parts (71.4 %) now" in lines
    assert lines[-1] == "new note: cleaner at the flop"
    assert panels == ["KF-1", "KF-2"]
    assert [act.shop for act in found.things[0].acts] == ["Reed shop", *[f"copy {days.b.copy_id}"] * 2]


def test_what_shops_did_apart_is_told_without_the_joining(days):
    a, b, kelp = days.a, days.b, days.kelp.id
    days.tick(86_400)
    day = days.now.date()
    days.edit(a, kelp, Add("tags", "glass"))
    days.edit(b, kelp, Add("notes", {"text": "thin"}))
    for store in (a, b, a):
        days.sync(store)
    [one] = changed_in(a, Names(a), day, None).things
    assert len(one.acts) == 2
    assert {line.text for line in one.lines} == {"tags: glass is new", "new note: thin"}


def test_days_that_say_nothing_and_days_that_are_none(days):
    names = Names(days.a)
    before = days.days[0] - timedelta(days=9)
    nothing = changed_in(days.a, names, None, before)
    assert (nothing.things, nothing.evidence) == ([], [])
    with pytest.raises(SprayoutError, match="comes before"):
        changed_in(days.a, names, days.days[2], days.days[0])
    with pytest.raises(SprayoutError, match="is no day"):
        day_of("last week")
    assert day_of("2026-03-02") == date(2026, 3, 2)


def test_versions_tell_their_shop_and_the_panels_of_exactly_each(days):
    names = Names(days.a)
    versions = with_panels(days.a, told_versions(days.a, days.kelp.id, names.label))
    assert [one.number for one in versions] == [1, 2, 3, 4]
    assert [[names.label(panel) for panel in one.panels] for one in versions] == [["KF-1"], [], ["KF-2"], ["KF-2"]]
    assert [one.shop for one in versions][:2] == ["Reed shop", "Reed shop"]
    assert versions[0].data()["sprayed_as"] == list(versions[0].panels)
