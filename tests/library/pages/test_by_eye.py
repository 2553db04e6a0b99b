from tests.library.pages.test_hung import jpeg
from tests.library.pages.test_tapped import begun, settle, tap

from sprayout_core.documents import Judgement, Picture


def sprayed(visitor, built):
    settle(visitor, built)
    return tap(visitor, begun(visitor, built, "P1", "P2", "P3"), "all")


def test_what_was_seen_on_the_way_is_saved_with_the_panels(own, built):
    visitor, store = own
    page = sprayed(visitor, built)
    ranks = {"rank-0": "2", "ranked-0": "P1", "rank-1": "1", "ranked-1": "P2", "rank-2": "2", "ranked-2": "P3"}
    page = tap(visitor, page, "order", light="shop LED", quality="warmer", where="flop", **ranks)
    assert "warmer first: P2, P1 = P3 (in shop LED, at the flop; ada)" in page.text
    page = tap(visitor, page, "pair", light="D65", piece=["P1", "P3"])
    assert "closest: P1 and P3 (in D65; ada)" in page.text
    data = {"taps": taps_of(page), "do": "shot", "piece": ["P1", "P2"], "light": "direct sun", "tilt": "-15"}
    page = visitor.fill(page.url.path, data, files={"shot": ("a.jpg", jpeg(size=(90, 60)), "image/jpeg")})
    assert "P1, P2, in direct sun, tilted -15°" in page.text
    tap(visitor, page, "finish", stage="bare")
    store.refresh()
    assert sorted(one.way for one in store.documents("judgement") if isinstance(one, Judgement)) == ["order", "pair"]
    (shot,) = [one for one in store.documents("picture") if isinstance(one, Picture)]
    assert visitor.get(f"/picture/{shot.id}").content[:3] == b"\xff\xd8\xff"


def taps_of(page):
    import re

    return re.search(r'name="taps" value="(\d+)"', page.text)[1]


def test_what_cannot_be_told_is_refused_and_keeps_nothing(own, built):
    visitor, _ = own
    page = sprayed(visitor, built)
    ranks = {"rank-0": "2", "ranked-0": "P1", "rank-1": "1", "ranked-1": "P2"}
    for wrong in (
        ("order", {"light": "", "quality": "warmer", **ranks}),
        ("order", {"light": "D65", "quality": "nicer", **ranks}),
        ("order", {"light": "D65", "quality": "warmer", **ranks, "rank-1": ""}),
        ("order", {"light": "D65", "quality": "warmer", **ranks, "rank-1": "first"}),
        ("pair", {"light": "D65", "piece": ["P1"]}),
        ("shot", {"piece": ["P1"]}),
    ):
        refused = tap(visitor, page, wrong[0], **wrong[1])
        assert refused.status_code == 422 and taps_of(refused) == taps_of(page), wrong
    data = {"taps": taps_of(page), "do": "shot", "piece": ["P1"]}
    refused = visitor.fill(page.url.path, data, files={"shot": ("a.svg", b"<svg/>", "image/svg+xml")})
    assert refused.status_code == 422 and "is no JPEG, PNG or TIFF" in refused.text
    assert "Seen so far" not in refused.text
