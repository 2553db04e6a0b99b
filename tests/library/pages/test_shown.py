import re

import pytest

from sprayout_core.compare import Put
from sprayout_library.hub.pages import HEADERS
from sprayout_library.record import Names, Writer

PAGES = ("/", "/mix", "/pour", "/spray", "/look", "/look/readings", "/look/grid", "/find", "/share", "/share/answers")


@pytest.mark.parametrize("path", PAGES)
def test_every_door_opens(visitor, path):
    reply = visitor.get(path)
    assert reply.status_code == 200
    assert reply.text.count("<h1>") == 1
    assert 'lang="en"' in reply.text


@pytest.mark.parametrize("path", [*PAGES, "/nothing", "/static/pages.css", "/thing/none"])
def test_nothing_is_loaded_from_elsewhere(visitor, path):
    reply = visitor.get(path)
    if path != "/nothing":
        assert reply.headers["content-security-policy"] == HEADERS["content-security-policy"]
        assert reply.headers["x-content-type-options"] == "nosniff"
    assert not re.search(r"""(?:src|href|action)=["'](?:https?:)?//""", reply.text)
    assert " style=" not in reply.text and "<style" not in reply.text and " onclick=" not in reply.text


def test_links_of_all_pages_lead_somewhere(visitor, made):
    seen, waiting = {"/"}, ["/"]
    while waiting:
        reply = visitor.get(waiting.pop())
        # what rests on a mix with two answers cannot be predicted before somebody chose
        assert reply.status_code == 200 or "/look/grid" in reply.url.path, reply.url
        for found in re.findall(r'href="(/[^"#]*)"', reply.text):
            path = found.replace("&amp;", "&")
            if path not in seen and not path.startswith("/share/packet"):
                seen.add(path)
                waiting.append(path)
    assert {f"/thing/{panel.id}" for panel in made.panels.values()} <= seen
    assert f"/share/answers/{made.kelp.id}" in seen


def test_today_begins_with_what_waits(visitor):
    told = visitor.get("/").text
    assert told.index("Two answers waiting") < told.index("Cups on the bench") < told.index("Sprayed lately")
    assert "110 ml left" in told and "DV-2" in told


def test_the_wall_hangs_from_light_to_dark_and_the_unmeasured_last(visitor):
    told = visitor.get("/look").text
    order = [told.index(f'class="tape">{label}<') for label in ("KF-1", "KF-2", "KF-3", "DV-2")]
    assert order == sorted(order)


def test_a_piece_of_several_angles_runs_from_face_to_flop(visitor, made):
    told = visitor.get(f"/thing/{made.panels['DV-1'].id}").text
    stops = re.findall(r'stop-color="#([0-9a-f]{6})"', told)
    assert len(stops) == 5
    light = [sum(int(stop[place : place + 2], 16) for place in (0, 2, 4)) for stop in stops]
    assert light == sorted(light, reverse=True)
    assert "at the face (15°)" in told and "at the flop (110°)" in told


def test_a_step_card_is_striped(visitor, made):
    told = visitor.get(f"/thing/{made.panels['SC-1'].id}").text
    assert "bare ground" in told and "6 coats" in told
    assert "In several lights" in told and "tungsten" in told


def test_a_recipe_shows_its_stack_and_evidence(visitor, made):
    told = visitor.get(f"/thing/{made.kelp_fade.id}").text
    assert "clear: two-pack gloss" in told and "5 coats of Kelp glass bodied" in told
    assert "not to scale" in told
    assert "A stranger would have to guess" in told
    assert "isocyanate" in told and "data sheet" in told


def test_words_stand_before_numbers(visitor, made):
    pair = {"piece": [made.panels["KF-1"].id, made.panels["KF-3"].id]}
    told = visitor.get("/look/compare", params=pair).text
    assert "darker" in told
    assert told.index("darker") < told.index("In numbers") < told.index("dE00")
    assert "<details><summary>In numbers" in told


def test_pieces_of_other_ways_of_measuring_are_not_held_together(visitor, made):
    pair = {"piece": [made.panels["KF-1"].id, made.panels["DV-2"].id]}
    told = visitor.get("/look/compare", params=pair).text
    assert "unknown, no readings" in told and "Nothing measured can be held side by side" in told


@pytest.mark.parametrize("query", ["", "piece=one", "piece=a&piece=a", "one=nothing"])
def test_comparing_what_is_not_there_is_told(visitor, query):
    assert visitor.get(f"/look/compare?{query}").status_code in (404, 422)


def test_two_answers_stand_side_by_side(visitor, made):
    told = visitor.get(f"/share/answers/{made.kelp.id}").text
    assert "8\u00a0weak teal" in told and "7\u00a0weak teal" in told
    assert "never sprayed" in told


def test_the_grid_is_predicted_from_the_step_card(visitor):
    reply = visitor.get("/look/grid", params={"mix": "3 weak teal : 1 strong teal", "coats": "2,4"})
    assert reply.status_code == 200
    assert "predicted, not sprayed" in reply.text and "±" in reply.text


def test_a_pour_list_is_ticked_off(visitor, made):
    told = visitor.get("/pour", params={"mix": made.dusk.id, "amount": "50 ml"}).text
    assert "40 ml" in told and "violet dye" in told
    assert visitor.get("/pour", params={"mix": made.bodied.id, "amount": "99 ml"}).status_code == 422
    assert visitor.get("/pour", params={"mix": made.dusk.id, "amount": "much"}).status_code == 422


def test_find_goes_straight_to_the_only_one(visitor, made):
    reply = visitor.get("/find", params={"words": "dv-1"})
    assert reply.url.path == f"/thing/{made.panels['DV-1'].id}"
    told = visitor.get("/find", params={"words": "dusk viol"}).text  # and the recipes it is in
    assert f"/thing/{made.dusk.id}" in told and f"/thing/{made.dusk_fade.id}" in told
    assert "Nothing goes by these words" in visitor.get("/find", params={"words": "nosuchname"}).text


def test_a_packet_leaves_as_a_file(visitor, made):
    reply = visitor.get(f"/share/packet/{made.dusk_fade.id}")
    assert reply.status_code == 200
    assert reply.headers["content-disposition"] == 'attachment; filename="Dusk-fade.packet"'


@pytest.mark.parametrize("page", ["0", "-1", "99999999999", "²", "9999"])
def test_a_page_of_the_wall_that_is_not_there_is_the_nearest(visitor, page):
    assert visitor.get("/look", params={"page": page}).status_code == 200


def test_a_standard_that_is_a_step_is_shown_with_it(own, built):
    visitor, store = own
    writer = Writer(store, "ada")
    step = Put(f"standards/{built.grounds[0]}", {"panel": built.panels["SC-1"].id, "step": "4"})
    writer.save([writer.edited(store.get(built.kelp_fade.id), [step])], "a step stands for it")
    told = visitor.get(f"/thing/{built.kelp_fade.id}").text
    assert ">SC-1/4</a>" in told


def test_two_versions_that_the_same_pieces_show_are_told_as_alike(own, built):
    """A new standard changes no colour: nothing is held against itself, panel by panel."""
    visitor, store = own
    writer = Writer(store, "ada")
    changed = Put(f"standards/{built.grounds[0]}", {"panel": built.panels["KF-1"].id})
    writer.save([writer.edited(store.get(built.kelp_fade.id), [changed])], "a standard")
    told = visitor.get("/look/compare", params={"one": built.kelp_fade.id}).text
    assert "no difference: the same pieces show both" in told and "against" not in told.partition("</nav>")[2]
    assert "Nothing measured can be held side by side" not in told
    assert "KF-1 is the standard over bright aluminium now" in told


def test_what_is_held_against_what_it_is_not_is_told_in_the_words_of_the_trade(visitor, made):
    told = visitor.get("/look/compare", params={"one": made.kelp.id, "other": made.cup.id})
    assert told.status_code == 422 and "a mix is not held against a cup" in told.text.casefold()


def test_what_was_seen_and_measured_is_called_by_what_it_is_and_hangs_with_its_pieces(visitor, made):
    names = Names(made.shop.store)
    reading = next(one for one in names.of_kind("reading") if made.shop.store.get(one.id).step == "2")
    told = visitor.get(f"/thing/{reading.id}").text
    assert (
        "<h1>Measured</h1>" in told
        and "SC-1/2" in told
        and "45:0" in told
        and f"/thing/{made.panels['SC-1'].id}" in told
    )


def test_no_line_of_a_label_ends_between_a_number_and_its_name(own, built):
    visitor, _ = own
    page = visitor.fill("/pour", {"mix": built.dusk.id, "amount": "50 ml"})
    told = visitor.get(f"/thing/{page.url.path.rpartition('/')[2]}/label").text
    assert "4\u00a0violet dye" in told and "1\u00a0strong teal" in told


def test_a_strainer_is_told_in_micrometres_with_the_mesh_beside():
    from sprayout_library.hub.pages.units import strainer

    assert strainer("125") == "125 µm (120 mesh)"  # ASTM E11, No. 120
    assert strainer("190") == "190 µm (about 80 mesh)"


def test_what_was_put_in_order_by_eye_hangs_in_that_order(own, built):
    visitor, store = own
    order = [built.panels[name].id for name in ("KF-3", "KF-1", "DV-1", "KF-2")]
    facts = {
        "way": "order",
        "quality": "lighter",
        "pieces": [[{"panel": one}] for one in order],
        "light": "D65",
        "by": "ada",
    }
    writer = Writer(store, "ada")
    seen = writer.new("judgement", facts)
    writer.save([seen], "seen")
    told = visitor.get(f"/thing/{seen.id}").text
    assert "<h1>Seen by eye</h1>" in told
    assert re.findall(r'<li class="hanging">\s*<a href="/thing/([^"]+)"', told) == order


def test_a_step_card_tells_its_steps_and_no_one_number_of_coats(visitor, made):
    told = visitor.get(f"/thing/{made.panels['SC-1'].id}").text
    assert "bare ground, 2 coats, 4 coats, 6 coats" in told and "5 coats of" not in told
    assert "5 coats of Kelp glass bodied" in visitor.get(f"/thing/{made.panels['KF-1'].id}").text


def test_coats_are_counted_as_people_say_them():
    from sprayout_library.hub.pages.told import coats_of, coats_said

    assert [coats_said(one) for one in ("1", "about 1", "5", "4 to 5", "until covered")] == [
        "1 coat", "about 1 coat", "5 coats", "4 to 5 coats", "until covered"]  # fmt: skip
    assert coats_of("1", "Kelp") == "1 coat of Kelp" and coats_of("until covered", "Kelp") == "Kelp until covered"
