"""What pages keep between requests: never of another state, never of another visitor, never without bound."""

import re
import sys
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from tests.library.pages.conftest import Visitor
from tests.library.pages.test_tapped import begun
from tests.library.pages_shop import reading, spectrum

from sprayout_core.compare import Put
from sprayout_core.compare.editing import withdraw
from sprayout_library.hub.pages import Reply
from sprayout_library.hub.pages.views import Views
from sprayout_library.record import Writer, panel_facts


def paths(made):
    one, other = (made.panels[name].id for name in ("KF-1", "KF-2"))
    things = [one, made.panels["SC-1"].id, made.kelp.id, made.kelp_fade.id, made.dusk_fade.id, made.cup.id]
    return [
        "/", "/mix", "/look", "/look?order=new", "/look?order=ground", "/look?order=name", "/look?words=bronze",
        "/look?order=hand", "/look/stock?over=graphite", f"/look/compare?piece={one}&piece={other}", "/find?words=kelp",
        "/find?near=KF-1", "/share", "/look/pictures",
        "/look/compare?one=SC-1/4&other=KF-1", *(f"/thing/{name}" for name in things),
    ]  # fmt: skip


def plain(visitor, path):
    """A page without the token of its forms."""
    return visitor.get(path).text.replace(visitor.alone.csrf, "")


def changes(made, store):
    """What people do, one after the other; each changes other pages."""
    writer, panels = Writer(store, "ada"), made.panels
    find = store.find

    def sprayed():
        facts = panel_facts(find(made.dusk_fade.id), made.grounds[0], find, label="DV-9", title="DV-9",
                            sprayed_at="2026-05-05T05:05:05Z")  # fmt: skip
        panel = writer.new("panel", facts)
        writer.save([panel, reading(writer, panel, [("45:0", spectrum(0.3, 480))])], "sprayed")

    def renamed():
        fade, bronze = find(made.kelp_fade.id), find(made.grounds[1])
        standard = Put(f"standards/{made.grounds[0]}", {"panel": panels["KF-1"].id})
        writer.save([writer.edited(fade, [Put("title", "Wrack fade"), standard])], "renamed")
        writer.save([writer.edited(bronze, [Put("title", "A bronze")])], "renamed")

    def measured():
        gone = panels["KF-3"]
        writer.save([reading(writer, panels["DV-2"], [("45:0", spectrum(0.3, 600))])], "measured")
        writer.save([withdraw(find(gone.id), store.copy_id, "2026-05-05T06:05:05Z")], "withdrawn")

    def known_as():
        store.facts.put("shop", "0" * 8)

    return sprayed, renamed, measured, known_as


def test_whatever_changes_pages_show_what_a_server_begun_now_would(own, built):
    visitor, store = own
    asked = paths(built)
    first = [plain(visitor, path) for path in asked]
    assert [plain(visitor, path) for path in asked] == first
    shown = [first]
    for number, change in enumerate(changes(built, store)):
        change()
        shown.append([plain(visitor, path) for path in asked])
        if number % 2:
            fresh = Visitor(store.folder)
            for path, page in zip(asked, shown[-1], strict=True):
                assert page == plain(fresh, path), path
                assert "built-in method" not in page, path
    assert shown[0] != shown[1] != shown[2]


def test_nothing_of_a_visitor_is_kept(visitor, made):
    for path in paths(made):
        assert visitor.get(path).status_code == 200
    kept = visitor.app.state.kept.views
    assert len(kept) > 10
    told = repr(kept._kept)
    assert visitor.alone.csrf not in told and visitor.alone.key not in told and not re.search(r"csrf|0x", told)


def test_units_and_bases_are_kept_apart(visitor, made):
    path = f"/thing/{made.cup.id}"
    metric = visitor.get(path).text
    assert re.search(r"\sml\b", metric) and "US fl oz)" not in metric
    visitor.fill("/units", {"units": "us"})
    assert "US fl oz)" in visitor.get(path).text
    visitor.fill("/units", {"units": "metric"})
    assert plain(visitor, path) == metric.replace(visitor.alone.csrf, "")


def test_a_tap_is_seen_at_once(own, built):
    visitor, _ = own
    assert "On the stand" not in visitor.get("/").text
    assert begun(visitor, built, "DV-20").status_code == 200
    assert "On the stand" in visitor.get("/").text


def test_a_shelf_is_asked_each_time(own, built):
    visitor, store = own
    dye = next(one.id for one in store.documents("material") if one.title == "violet dye")
    assert "L42" not in visitor.get(f"/thing/{dye}").text + visitor.get(f"/thing/{dye}").text
    visitor.fill("/pour/shelf", {"do": "have", "material": dye, "lot": "L42"})
    assert "L42" in visitor.get(f"/thing/{dye}").text


def test_many_at_once_while_somebody_saves(own, built):
    """Every page is whole, and once nothing changes all see the last state."""
    visitor, store = own
    asked = [path for path in paths(built) if path != "/look?order=hand"][:10]
    visitor.get("/")

    def looks(number):
        return [visitor.get(path).status_code for path in asked[number % 3 :: 3] * 2]

    with ThreadPoolExecutor(6) as pool:
        looking = [pool.submit(looks, number) for number in range(6)]
        for change in changes(built, store)[:3]:
            change()
        assert {status for one in looking for status in one.result(600)} == {200}
    fresh = Visitor(store.folder)
    assert [plain(visitor, path) for path in asked] == [plain(fresh, path) for path in asked]


@pytest.mark.skipif(sys.platform != "linux", reason="counts open files in /proc")
def test_open_files_do_not_grow_and_are_given_back(own, built):
    visitor, store = own
    kept = visitor.app.state.kept

    def count():
        return sum(1 for _ in Path("/proc/self/fd").iterdir())

    before = count()
    for change in changes(built, store)[:2]:
        change()
        for path in paths(built)[::2]:
            visitor.get(path)
        assert count() < before + 20
    kept.close()
    assert count() <= before and not len(kept.views)


def test_the_room_for_views_is_bounded():
    views, made = Views(1000), []
    for number in range(50):
        views.keep(number, Reply("a.html", {"number": number}), 100)
    assert len(views) == 10 and views.size == 1000
    assert views.reply(39) is None and views.reply(40).shown == {"number": 40}
    views.keep(50, Reply("a.html"), 100)
    assert views.reply(40) is not None and views.reply(41) is None  # the one looked at least lately went
    views.keep(51, Reply("a.html"), 900)
    assert views.reply(51) is None  # one that would push out all others is not kept
    views.keep(50, Reply("a.html"), 200)
    assert views.size <= 1000
    large = Views()
    assert [large.once("a", lambda: made.append(1) or [1]) for _ in range(3)] == [[1]] * 3 and made == [1]
    large.clear()
    assert len(large) == large.size == 0
