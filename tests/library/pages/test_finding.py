import re

import pytest

from sprayout_core.light import VIEWS


def tapes(told):
    return re.findall(r'class="tape">([^<]*)<', told)


def test_words_find_what_is_in_a_mix_and_say_why(visitor, made):
    told = visitor.get("/find", params={"words": "violet dye"}).text
    assert f"/thing/{made.dusk.id}" in told and "what is in it" in told
    told = visitor.get("/find", params={"uses": "violet dye", "kind": "formula"}).text
    assert f"/thing/{made.dusk.id}" in told and f"/thing/{made.kelp.id}" not in told.split("<form class")[1]
    assert "80 % violet dye by" in told


def test_the_end_of_an_id_finds(visitor, made):
    reply = visitor.get("/find", params={"words": f"…{made.cup.id[-9:]}"})
    assert reply.url.path == f"/thing/{made.cup.id}"


@pytest.mark.parametrize(("state", "hits"), [("no-reading", ["DV-2"]), ("two-answers", ["Kelp glass"])])
def test_by_evidence(visitor, made, state, hits):
    told = visitor.get("/find", params={"state": state}).text
    for hit in hits:
        assert f">{hit}<" in told or f">{hit}," in told or hit in told.split('<ul class="rows">')[1].split("</ul>")[0]


def test_the_pieces_nearest_to_a_piece_hang_in_order(visitor):
    told = visitor.get("/find", params={"near": "KF-2"}).text
    far = [float(one) for one in re.findall(r"<strong>([\d.]+)</strong> away", told)]
    assert far == sorted(far) and len(far) >= 2
    assert "KF-2" not in tapes(told)
    assert {"KF-1", "KF-3"} <= set(tapes(told))


def test_typed_numbers_ask_for_the_angle_and_then_find(visitor):
    asked = visitor.get("/find", params={"near": "60 -30 10"})
    assert asked.status_code == 422 and "Say at which the colour was read" in asked.text
    assert "<option>45as15</option>" in asked.text
    found = visitor.get("/find", params={"near": "60 -30 10", "at": "45:0"})
    assert found.status_code == 200 and tapes(found.text)
    assert "<strong>45:0 L* 60 a* -30 b* 10</strong>" in found.text


def test_every_light_offered_is_known(visitor):
    offered = re.findall(r"<option>([^<]+)</option>", visitor.get("/find").text)
    assert {"daylight"} <= set(offered) <= set(VIEWS)
    for light in offered:
        assert visitor.get("/find", params={"near": "KF-1", "light": light}).status_code == 200
    assert visitor.get("/find", params={"near": "KF-1", "light": "moonlight"}).status_code == 422


ODD = ["near=x", "near=1e9+0+0", "near=DV-2", "near=KF-1&at=none", "uses=none", "words=%C2%A0", "words=...",
       "kind=none", "state=none", "near=" + "9" * 500, "words=%00"]  # fmt: skip


@pytest.mark.parametrize("query", ODD)
def test_what_cannot_be_looked_for_is_told(visitor, query):
    assert visitor.get(f"/find?{query}").status_code in (200, 422)


def test_the_stock_wall_asks_for_its_grounds(visitor):
    told = visitor.get("/look/stock").text
    assert "Over which grounds?" in told and 'value="bright aluminium"' in told


def test_the_stock_wall_shows_what_nobody_sprayed(visitor):
    told = visitor.get("/look/stock", params={"over": ["bright aluminium", "bronze"]}).text
    assert "0 of 6 places hang" in told
    assert told.count("not sprayed yet") == 6
    assert "/mix?line=violet%20dye%20neat%20%3D%201%20violet%20dye" in told
    assert visitor.get("/look/stock", params={"over": "nothing such"}).status_code == 422


def test_a_neat_piece_hangs_on_the_stock_wall(own):
    from tests.library.pages_shop import reading, spectrum

    from sprayout_core.mix import parse_line
    from sprayout_library.record import Names, Writer, mix_from_line, panel_facts, recipe_facts

    visitor, store = own
    writer, names = Writer(store, "ada"), Names(store)
    neat = writer.new(
        "formula", {"title": "Violet neat", "mix": mix_from_line(parse_line("Violet neat = 1 violet dye"), names)}
    )
    writer.save([neat], "x")
    recipe = writer.new("recipe", recipe_facts("Violet neat wall", ["bronze"], ["3 Violet neat"], None, Names(store)))
    writer.save([recipe], "x")
    ground = names.find("bronze", "material").id
    panel = writer.new("panel", panel_facts(recipe, ground, store.find, label="NW-1", title="NW-1",
                                            sprayed_at="2026-03-04T09:00:00Z", stage={"surface": "bare"}))  # fmt: skip
    writer.save([panel, reading(writer, panel, [("45:0", spectrum(0.2, 440))])], "x")
    told = visitor.get("/look/stock", params={"over": "bronze"}).text
    assert "1 of 3 places hang" in told and "NW-1" in tapes(told)
