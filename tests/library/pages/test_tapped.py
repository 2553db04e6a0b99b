import re

import pytest
from tests.library.pages_shop import spectrum, table

from sprayout_core.documents import Formula, Panel
from sprayout_library.record import Names, Writer, panel_facts
from sprayout_library.record.evidence import evidence_for


def begun(visitor, made, *names):
    data = {"recipe": made.kelp_fade.id, "cup": made.cup.id}
    for place, name in enumerate(names, 1):
        data |= {f"piece-{place}": name, f"ground-{place}": made.grounds[(place - 1) % 3], f"shape-{place}": "flat"}
    return visitor.fill("/spray/new", data)


def settle(visitor, made):
    data = {"about": "mix", "answer": "a", "shown": dots(visitor, made), "because": "closer to the wall"}
    return visitor.fill(f"/share/answers/{made.kelp.id}", data)


def dots(visitor, made):
    return re.search(r'name="shown" value="([^"]*)"', visitor.get(f"/share/answers/{made.kelp.id}").text)[1]


def tap(visitor, page, does, **more):
    taps = re.search(r'name="taps" value="(\d+)"', page.text)[1]
    return visitor.fill(page.url.path, {"taps": taps, "do": does, **more})


def test_three_pieces_are_sprayed_and_hang_on_the_wall(own, built):
    visitor, store = own
    settle(visitor, built)
    page = begun(visitor, built, "P1", "P2", "P3")
    assert page.status_code == 200 and page.url.path.startswith("/spray/")
    page = tap(visitor, page, "all")
    assert page.text.count("Kelp glass bodied 1 of 5") == 3
    page = tap(visitor, page, "these", piece=["P2"])
    page = tap(visitor, page, "these", piece=["P2"])
    assert "Kelp glass bodied 3 of 5" in page.text
    page = tap(visitor, page, "undo")
    assert "Kelp glass bodied 2 of 5" in page.text
    page = tap(visitor, page, "note", piece=["P1"], words="a run at the edge")
    page = tap(visitor, page, "off", piece=["P3"])
    assert "Off the stand: P3" in page.text
    page = tap(visitor, page, "piece", **{"new-piece": "P4", "new-ground": built.grounds[2], "new-shape": "curved"})
    assert "P4 is curved" in page.text
    page = tap(visitor, page, "finish", stage="bare", **{"used-C1": "60 ml", "air_degc": "21,5"})
    assert page.url.path == "/look" and "P1" in page.text
    store.refresh()
    panels = {one.name: one for one in store.documents("panel") if isinstance(one, Panel)}
    assert panels["P2"].coats[0].count == "2" and panels["P1"].coats[0].count == "1" and "P4" not in panels
    assert "50 ml left" in visitor.get("/").text


def test_a_second_tap_of_one_touch_is_not_kept(own, built):
    visitor, _ = own
    settle(visitor, built)
    page = begun(visitor, built, "P1")
    tap(visitor, page, "all")
    again = tap(visitor, page, "all")
    assert again.status_code == 422 and "this tap was not kept" in again.text
    assert "Kelp glass bodied 1 of 5" in again.text


def test_what_was_filled_in_stands_again_when_it_is_refused(own, built):
    visitor, _ = own
    settle(visitor, built)
    page = visitor.fill("/spray/new", {"recipe": built.kelp_fade.id, "piece-1": "P<1>", "ground-1": built.grounds[1]})
    assert page.status_code == 422 and "No cup to spray from" in page.text
    assert 'value="P&lt;1&gt;"' in page.text
    assert f'<option value="{built.grounds[1]}" selected>' in page.text


def test_choosing_settles_it_and_keeps_why(own, built):
    visitor, store = own
    page = settle(visitor, built)
    assert page.url.path == f"/thing/{built.kelp.id}" and "closer to the wall" in page.text
    store.refresh()
    held = store.get(built.kelp.id)
    assert isinstance(held, Formula) and not held.is_open("mix")
    assert "Nothing is asked" in visitor.get("/share/answers").text


def test_a_piece_sprayed_after_the_choice_is_pointed_out(own, built):
    visitor, store = own
    settle(visitor, built)
    assert "new evidence" not in visitor.get("/share/answers").text
    store.refresh()
    writer = Writer(store, "ada")
    facts = panel_facts(built.kelp_fade, built.grounds[0], store.find, label="N-1", title="N-1")
    writer.save([writer.new("panel", facts)], "Panel N-1")
    page = visitor.get("/share/answers").text
    assert "Settled, with new evidence since" in page
    assert "N-1 was sprayed, of what was chosen" in page


def test_choosing_both_keeps_the_other_as_a_mix_of_its_own(own, built):
    visitor, store = own
    visitor.fill(f"/share/answers/{built.kelp.id}", {"about": "mix", "answer": "both", "shown": dots(visitor, built)})
    store.refresh()
    assert sum(entry.name.startswith("Kelp glass (") for entry in Names(store).of_kind("formula")) == 1


@pytest.mark.parametrize(
    "data", [{"answer": "z"}, {"about": "title", "answer": "a"}, {"answer": "a", "shown": "old.1"}]
)
def test_an_answer_that_does_not_stand_is_refused(own, built, data):
    visitor, store = own
    held = {"about": "mix", "shown": dots(visitor, built)} | data
    assert visitor.fill(f"/share/answers/{built.kelp.id}", held).status_code == 422
    head = store.head
    store.refresh()
    assert store.head == head


def test_a_dropped_table_is_shown_asked_about_and_taken_in(own, built):
    visitor, store = own
    content = table([("DV-2", spectrum(0.3, 440)), ("XX-9", spectrum(0.2, 500))])
    page = visitor.fill("/look/readings", files={"file": ("march.csv", content)})
    assert page.status_code == 200 and "march.csv" in page.text
    store.refresh()
    assert store.head == built.shop.store.head
    token = re.search(r'name="drop" value="([^"]+)"', page.text)[1]
    answers = {"drop": token}
    for option in ("scale", "geometry", "stage", "illumination"):
        if f'name="set-{option}"' in page.text:
            answers[f"set-{option}"] = {"scale": "percent", "geometry": "45:0", "stage": "bare"}.get(option, "")
    page = visitor.fill("/look/readings", answers)
    assert "2 readings</strong> to take in" in page.text
    page = visitor.fill("/look/readings", answers | {"do": "take"})
    assert "1 reading taken in" in page.text and "1 wait until the panel is known" in page.text
    store.refresh()
    assert len(evidence_for(store).readings[built.panels["DV-2"].id]) == 1
    assert "1 reading waits" in visitor.get("/").text
    assert visitor.fill("/look/readings", answers | {"do": "take"}).status_code == 422


@pytest.mark.parametrize("content", [b"", b"\x00\xff\x00", b"hello", b"a,b\n<script>,2\n"])
def test_a_file_that_is_no_table_is_told(own, content):
    visitor, _ = own
    page = visitor.fill("/look/readings", files={"file": ("..\\..\\x<b>.csv", content)})
    assert page.status_code in (200, 422)
    assert "<b>" not in page.text and "<script>," not in page.text


def test_a_mix_is_written_and_unknown_names_are_asked_for(own):
    visitor, _ = own
    page = visitor.fill("/mix", {"do": "mix", "line": "Reed = 3 sun yellow : 1 weak teal"})
    assert page.status_code == 422 and "Not known yet" in page.text and "sun yellow" in page.text
    data = {"do": "mix", "line": "Reed = 3 sun yellow : 1 weak teal", "unknown": "sun yellow", "unknown-role": "dye"}
    page = visitor.fill("/mix", data)
    assert page.status_code == 200 and page.url.path.startswith("/thing/") and "75.0 %" in page.text
    assert visitor.fill("/mix", {"do": "mix", "line": "5:2:1"}).status_code == 422
    recipe = {"do": "recipe", "title": "Reed fade", "over": "bronze", "coats": "about 4 Reed, laid wet", "clear": ""}
    page = visitor.fill("/mix", recipe)
    assert "about 4 coats of Reed" in page.text


def test_a_cup_is_poured_with_what_really_went_in(own, built):
    visitor, store = own
    carrier = Names(store).find("clear carrier").id
    data = {"mix": built.dusk.id, "amount": "50 ml", f"lot-{Names(store).find('violet dye').id}": "L7"}
    page = visitor.fill("/pour", data)
    assert page.url.path.startswith("/pour/cup/") and "50 ml" in page.text
    page = visitor.fill("/pour", {**data, f"really-{Names(store).find('violet dye').id}": "lots"})
    assert page.status_code == 422 and 'value="lots"' in page.text
    assert carrier


def test_a_session_given_up_saves_nothing(own, built):
    visitor, store = own
    settle(visitor, built)
    store.refresh()
    head = store.head
    tap(visitor, begun(visitor, built, "P1"), "give-up")
    store.refresh()
    assert store.head == head
