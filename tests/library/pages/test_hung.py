import base64
import io
import re
from contextlib import closing

import pytest
from PIL import Image
from tests.library.pages_shop import reading, spectrum

from sprayout_library.hub.pages.arranged import hung_by_hand, moved, placed
from sprayout_library.record import Writer


def hanging(page):
    return re.findall(r'data-piece="([^"]+)"', page.text)


def test_places_told_are_places_got():
    assert placed("abcde", {"d": 1}) == list("dabce")
    assert placed("abcde", {"a": 5}) == list("bcdea")
    assert placed("abcde", {"a": 3, "b": 2, "c": 3, "d": 4, "e": 5}) == list("bcade")
    assert placed("abc", {"a": 900}) == list("bca")
    assert moved("abc", "a", -1) == list("abc") and moved("abc", "a", 1) == list("bac")
    assert hung_by_hand("cxa", "abcd") == list("cabd")


def test_the_wall_is_hung_by_hand_without_scripts_and_stays_so(own, built):
    visitor, _ = own
    first = hanging(visitor.get("/look?order=hand"))
    assert len(first) == 6
    page = visitor.fill("/look", {"move": f"{first[0]} 1"})
    assert hanging(page) == [first[1], first[0], *first[2:]]
    page = visitor.fill("/look", {f"place-{first[5]}": "1", f"place-{first[2]}": "3"})
    assert hanging(page) == [first[5], first[1], first[0], *first[2:5]]
    assert hanging(visitor.get("/look?order=hand")) == hanging(page)
    for wrong in ({"move": "none 1"}, {"move": f"{first[0]} 9"}, {f"place-{first[0]}": "-1"}):
        assert visitor.fill("/look", wrong).status_code == 422
    assert hanging(visitor.get("/look?order=hand")) == hanging(page)


def test_pieces_of_one_recipe_are_moved_among_themselves(own, built):
    visitor, _ = own
    whole = hanging(visitor.get("/look?order=hand"))
    some = hanging(visitor.get(f"/look?order=hand&recipe={built.kelp_fade.id}"))
    page = visitor.fill("/look", {"move": f"{some[0]} 1", "recipe": built.kelp_fade.id})
    assert hanging(page) == [some[1], some[0], *some[2:]]
    after = hanging(visitor.get("/look?order=hand"))
    others = [one for one in whole if one not in some]
    assert [one for one in after if one not in some] == others
    assert [whole.index(one) for one in others] == [after.index(one) for one in others]


def test_an_order_that_is_damaged_is_passed_over(own, tmp_path):
    visitor, _ = own
    before = hanging(visitor.get("/look?order=hand"))
    visitor.fill("/look", {"move": f"{before[0]} 1"})
    (path,) = (tmp_path / "home" / "walls").iterdir()
    for content in (b"{", b"[1, 2, null]", b'"x"', b"\xff"):
        path.write_bytes(content)
        assert hanging(visitor.get("/look?order=hand")) == before


def test_a_new_reading_is_on_the_wall_at_once(own, built):
    visitor, store = own
    panel = built.panels["DV-2"]
    assert "not measured" in visitor.get("/look").text
    writer = Writer(store, "ada")
    writer.save([reading(writer, panel, [("45:0", spectrum(0.3, 600))])], "measured")
    assert "not measured" not in visitor.get("/look").text


def test_the_wall_shows_the_colours_that_the_readings_have(visitor, made):
    from sprayout_library.hub.pages.known import Known
    from sprayout_library.hub.pages.pieces import piece_of
    from sprayout_library.hub.pages.rack import Looked
    from sprayout_library.record import colours_of
    from sprayout_library.record.between import views_of
    from sprayout_library.record.evidence import evidence_for
    from sprayout_library.store import Store

    def seen_in(readings, view):
        return [
            Looked(one.spot.zone, one.spot.step, one.spot.stage, one.spot.grade,
                   {at: tuple(map(float, seen.lab)) for at, seen in one.seen.items()})
            for one in colours_of(readings, view)
        ]  # fmt: skip

    with Store.open(made.folder) as store, closing(Known()) as known:
        seen = known.of(store)
        whole = evidence_for(store)
        (view,) = views_of(store, [])
        rack = seen.rack(store).read
        assert set(rack) == set(whole.panels)
        for name, piece in seen.pieces(store, whole.panels).items():
            plain = piece_of(rack[name], seen_in(whole.readings.get(name, []), view), seen.names, view)
            assert [band.name for band in piece.bands] == [band.name for band in plain.bands]
            for one, other in zip(piece.bands, plain.bands, strict=True):
                for facet, same in zip(one.facets, other.facets, strict=True):
                    assert facet.geometry == same.geometry and facet.lab == pytest.approx(same.lab, abs=1e-9)
        hanging_there = [one for one in rack if rack[one].id in seen.lightness(store)]
        for name in hanging_there:
            (piece,) = seen.pieces(store, [name]).values()
            assert seen.lightness(store)[name] == pytest.approx(piece.lightness, abs=1e-9)


def test_what_panels_show_is_gathered_as_if_everything_were_read(made):
    from sprayout_library.hub.pages.known import evidence_about
    from sprayout_library.record.evidence import evidence_for
    from sprayout_library.store import Store

    with Store.open(made.folder) as store:
        whole = evidence_for(store)
        found = evidence_about(store, whole.panels)
        assert found.panels == whole.panels
        for kind in ("readings", "judgements", "pictures"):
            mine, all_of = getattr(found, kind), getattr(whole, kind)
            assert {k: {d.id for d in v} for k, v in mine.items() if v} == {
                k: {d.id for d in v} for k, v in all_of.items() if v
            }


def jpeg(colour=(10, 120, 110), size=(60, 40)):
    held = io.BytesIO()
    Image.new("RGB", size, colour).save(held, "JPEG", comment=b"not to be served")
    return held.getvalue()


def shot(store, panel, light, thumbnail, image="a" * 64):
    writer = Writer(store, "ada")
    facts = {"image": f"sha256:{image}", "media": "image/jpeg", "bytes": 10, "shows": [{"panel": panel.id}],
             "light": light, "thumbnail": base64.b64encode(thumbnail).decode()}  # fmt: skip
    made = writer.new("picture", facts)
    writer.save([made], "picture")
    return made


def test_pictures_hang_by_light_and_are_written_anew_before_they_are_served(own, built):
    visitor, store = own
    first = shot(store, built.panels["KF-1"], "direct sun", jpeg())
    shot(store, built.panels["KF-2"], "shop LED", jpeg((90, 20, 120)), "b" * 64)
    page = visitor.get("/look/pictures").text
    assert page.index("direct sun") < page.index("shop LED") and "KF-1" in page
    assert visitor.get("/look/pictures?light=direct+sun").text.count("<img") == 1
    reply = visitor.get(f"/picture/{first.id}")
    assert reply.headers["content-type"] == "image/jpeg" and reply.headers["x-content-type-options"] == "nosniff"
    assert reply.content[:3] == b"\xff\xd8\xff" and b"not to be served" not in reply.content
    assert visitor.get(f"/picture/{first.id}").content == reply.content
    assert f'<img src="/picture/{first.id}"' in visitor.get(f"/thing/{built.panels['KF-1'].id}").text


@pytest.mark.parametrize("content", [b"<svg onload='alert(1)'/>", b"\xff\xd8\xff<script>", b"GIF89a", b"<html>"])
def test_what_is_no_picture_is_never_served(own, built, content):
    visitor, store = own
    bad = shot(store, built.panels["KF-1"], "direct sun", content)
    reply = visitor.get(f"/picture/{bad.id}")
    assert reply.status_code == 404 and content not in reply.content
    assert visitor.get(f"/picture/{built.kelp.id}").status_code == 404


def test_how_many_coats_a_typed_colour_is(visitor, made):
    card = visitor.get(f"/thing/{made.panels['SC-1'].id}").text
    rows = re.findall(
        r'<th scope="row">([^<]+)</th><td>[^<]*</td><td>([-\d.]+)</td><td>([-\d.]+)</td><td>([-\d.]+)', card
    )
    four = next(row for row in rows if row[0] == "4 coats")
    path = f"/thing/{made.kelp_fade.id}/coats"
    said = {"card": made.panels["SC-1"].id, "L": four[1].replace(".", ","), "a": four[2], "b": four[3]}
    page = visitor.get(path, params=said)
    assert "what you typed: 4.0 coats" in page.text and "own coats, 95 times in 100" in page.text
    page = visitor.get(path, params={"piece": made.panels["KF-1"].id})
    # its invented spectrum is not that of the card: no count is told as if it were
    assert "KF-1 looks like no step of this card" in page.text and "own coats" not in page.text
    for wrong in ({"L": "much", "a": "1", "b": "1"}, {"L": "50", "a": "", "b": ""}, {"L": "nan", "a": "0", "b": "0"}):
        assert visitor.get(path, params={**said, **wrong}).status_code == 422
    assert visitor.get(path, params={"card": "none", "L": "50", "a": "0", "b": "0"}).status_code == 422
    assert visitor.get(f"/thing/{made.kelp.id}/coats").status_code == 404


def test_a_recipe_shows_its_card_measured_and_how_it_was_foretold(visitor, made):
    page = visitor.get(f"/thing/{made.kelp_fade.id}").text
    assert "Step card over bright aluminium: bare ground, measured L*" in page
    assert 'class="stack"' in page and "in several lights" in page and "How many coats is this?" in page


def test_a_mix_of_two_is_slid_from_one_to_the_other_without_scripts(visitor, made):
    line = "3 weak teal : 1 strong teal"
    page = visitor.get("/look/grid", params={"mix": line, "coats": "1 to 3"})
    assert page.status_code == 200 and 'type="range"' in page.text and 'max="11" value="3"' in page.text
    more = re.search(r'href="([^"]+slide=4)"', page.text)[1].replace("&amp;", "&")
    page = visitor.get(more)
    assert 'value="8 weak teal : 4 strong teal"' in page.text
    typed = visitor.get("/look/grid", params={"mix": "1 weak teal : 1 strong teal", "was": line, "slide": "3"})
    assert 'value="1 weak teal : 1 strong teal"' in typed.text and 'value="6"' in typed.text
    assert 'type="range"' not in visitor.get("/look/grid", params={"mix": "weak teal"}).text


def test_ratios_of_two_stand_side_by_side(visitor, made):
    said = {"first": "weak teal", "second": "strong teal", "over": "bright aluminium", "count": "2"}
    page = visitor.get("/look/grid", params=said)
    assert page.status_code == 200 and '<th scope="col">3:1</th>' in page.text
    assert visitor.get("/look/grid", params={**said, "first": "none of these"}).status_code == 422
    assert visitor.get("/look/grid", params={**said, "over": ""}).status_code == 422
