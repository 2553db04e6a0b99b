def test_ways_to_a_colour_are_found_and_can_be_written(visitor, made):
    page = visitor.get("/look/reach", params={"piece": made.panels["KF-1"].id, "coats": "2 to 4"})
    assert page.status_code == 200 and "Towards KF-1" in page.text
    assert "/mix?line=%20%3D%20" in page.text and "coats over bright aluminium" in page.text
    typed = {"L": "60,5", "a": "-20", "b": "2", "coats": "2,3", "but": "a little lighter"}
    assert "Towards" in visitor.get("/look/reach", params=typed).text
    for wrong in ({"but": "nicer"}, {"L": "much"}, {"coats": "all"}):
        assert visitor.get("/look/reach", params={**typed, **wrong}).status_code == 422
    assert visitor.get("/look/reach").status_code == 200


def test_a_piece_is_held_beside_another_and_what_to_change_is_told(visitor, made):
    path = f"/thing/{made.panels['KF-1'].id}/missed"
    alone = visitor.get(path)
    assert alone.status_code == 200 and "has no standard over bright aluminium" in alone.text
    page = visitor.get(path, params={"against": made.panels["SC-1"].id})
    assert page.status_code == 200
    assert visitor.get(f"/thing/{made.kelp.id}/missed").status_code == 404


def test_a_blend_is_shown_before_it_is_sprayed(visitor, made):
    page = visitor.get(f"/thing/{made.kelp_fade.id}/repair", params={"coats": "4"})
    assert page.status_code in (200, 422)
    page = visitor.get(f"/thing/{made.dusk.id}/repair")
    assert "half a build lies somewhere" in page.text
    assert visitor.get(f"/thing/{made.dusk.id}/repair", params={"coats": "x"}).status_code == 422
    assert visitor.get(f"/thing/{made.panels['KF-1'].id}/repair").status_code == 404


def test_the_piece_worth_spraying_is_told_when_asked(visitor, made):
    said = {"mix": "3 weak teal : 1 strong teal", "coats": "2,4", "worth": "yes"}
    assert "These would tell most" in visitor.get("/look/grid", params=said).text


def test_a_new_bottle_is_held_beside_the_old_lot(visitor, made):
    from sprayout_library.record import Names

    dye = Names(made.shop.store).find("weak teal").id
    path = f"/thing/{dye}/bottle"
    assert "Lots differ" in visitor.get(path).text
    page = visitor.get(path, params={"new": made.panels["DV-2"].id, "mix": made.dusk.id})
    assert page.status_code == 422 and 'role="alert"' in page.text
    assert visitor.get(f"/thing/{made.kelp.id}/bottle").status_code == 404
