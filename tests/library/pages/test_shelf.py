import re

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from starlette.testclient import TestClient

from sprayout_library.hub.pages import Serving, routes
from sprayout_library.machine import shop_facts
from sprayout_library.record import Names
from sprayout_library.store import Store


def key(built, name):
    return Names(built.shop.store).find(name, "material").id


def have(visitor, built, name, **more):
    return visitor.fill("/pour/shelf", {"do": "have", "material": key(built, name), **more})


def test_an_empty_shelf_says_what_it_is_for(own, built):
    visitor, _ = own
    page = visitor.get("/pour/shelf").text
    assert "Nothing stands here" in page and "seldom as strong" in page
    assert 'href="/pour/shelf"' in visitor.get("/pour").text
    assert "Put it on my shelf" in visitor.get(f"/thing/{key(built, 'violet dye')}").text


def test_a_bottle_is_put_there_used_and_taken_off_when_it_is_empty(own, built):
    visitor, store = own
    head = store.newest()
    page = have(visitor, built, "violet dye", lot="L42", strength="2", give="0.1")
    assert page.url.path == "/pour/shelf" and "lot L42" in page.text and "<strong>2.00 ± 0.10</strong>" in page.text
    # 4 violet dye : 1 strong teal, from a bottle twice as strong: half of it
    told = visitor.get("/pour/shelf", params={"for": built.dusk.id}).text
    assert "1\u00a0strong teal : 2\u00a0violet dye" in told and "not on my shelf" in told
    poured = visitor.get("/pour", params={"mix": built.dusk.id, "amount": "50 ml"}).text
    assert "40 ml" in poured and "From your own bottles" in poured
    assert "1\u00a0strong teal : 2\u00a0violet dye" in poured
    assert "2.00 ± 0.10" in visitor.get(f"/thing/{key(built, 'violet dye')}").text
    page = visitor.fill("/pour/shelf", {"do": "empty", "material": key(built, "violet dye")})
    assert "Nothing stands here" in page.text
    assert visitor.fill("/pour/shelf", {"do": "empty", "material": key(built, "violet dye")}).status_code == 422
    assert store.newest() == head  # the library never heard of it


def test_a_strength_that_was_never_checked_counts_as_equal_and_says_so(own, built):
    visitor, _ = own
    page = have(visitor, built, "violet dye", product="another violet").text
    assert "another violet" in page and "never checked: counts as equal" in page
    poured = visitor.get("/pour", params={"mix": built.dusk.id, "amount": "50 ml"}).text
    assert "From your own bottles" not in poured


@pytest.mark.parametrize(
    "form",
    [{"strength": "99"}, {"strength": "nan"}, {"strength": "1", "give": "2"}, {"give": "0.1"}, {"strength": "-1"},
     {"strength": "one"}, {"strength": "1e999"}, {"strength": "1", "give": "inf"}],
)  # fmt: skip
def test_what_is_no_strength_puts_nothing_there(own, built, form):
    visitor, _ = own
    reply = have(visitor, built, "violet dye", **form)
    assert reply.status_code == 422 and not shop_facts().get("shelf")


@pytest.mark.parametrize("form", [{}, {"do": "x"}, {"do": "have", "material": "none"}, {"do": "empty"}])
def test_what_was_not_asked_for_properly_changes_nothing(own, form):
    visitor, _ = own
    assert visitor.fill("/pour/shelf", form).status_code == 422
    assert not shop_facts().get("shelf")


def test_a_comma_is_a_decimal_sign_too(own, built):
    visitor, _ = own
    assert "1.15 ± 0.08" in have(visitor, built, "violet dye", strength="1,15", give="0,08").text


def test_where_several_shops_are_served_no_shelf_stands(built, monkeypatch):
    """A hub's pages never show nor offer a shelf: it is a shop's own."""
    from starlette.applications import Starlette

    monkeypatch.setenv("SPRAYOUT_HOME", str(built.shop.folder / "home"))
    serving = Serving(lambda _: Store.open(built.folder), lambda *_: None, lambda _: "token")
    hub = TestClient(Starlette(routes=routes(serving)))
    assert hub.get("/pour/shelf").status_code == 404
    assert hub.post("/pour/shelf", data={"csrf": "token", "do": "have"}).status_code in (403, 404)
    for path in ("/pour", f"/pour?mix={built.dusk.id}&amount=50+ml", f"/thing/{key(built, 'violet dye')}", "/"):
        assert not re.search("my shelf|pour/shelf", hub.get(path).text, re.IGNORECASE), path
    serving.known.close()


def test_a_bottle_held_against_the_old_lot_can_be_put_there(own, built):
    visitor, _ = own
    page = visitor.fill("/pour/shelf", {"do": "have", "material": key(built, "violet dye"), "strength": "0.8512",
                                        "give": "0.0400", "how": "checked on NB-1, NB-2"})  # fmt: skip
    assert "0.85 ± 0.04" in page.text and "checked on NB-1, NB-2" in page.text


def test_nothing_typed_for_a_bottle_becomes_markup(own, built):
    visitor, _ = own
    bad = "<script>alert(1)</script>\"'><img src=x onerror=alert(1)>"
    have(visitor, built, "violet dye", product=bad, lot=bad, strength="1.5", give="0.1", how=bad)
    for path in ("/pour/shelf", f"/pour/shelf?for={built.dusk.id}", f"/thing/{key(built, 'violet dye')}"):
        told = visitor.get(path).text
        assert "&lt;script&gt;" in told and "<script>alert" not in told and "<img src=x" not in told, path


FIELDS = ("do", "material", "product", "lot", "strength", "give", "how")
SAID = st.sampled_from(["have", "empty", "1.15", "1e9", "nan", "\u0664", "<script>alert(1)</script>", ""]) | st.text(
    max_size=30
)


@pytest.mark.long
@settings(max_examples=150, suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow])
@given(said=st.dictionaries(st.sampled_from(FIELDS), SAID), sound=st.booleans())
def test_whatever_is_said_of_a_bottle_is_answered_and_the_shelf_can_be_read(own, built, said, sound):
    visitor, _ = own
    known = {"do": "have", "material": key(built, "violet dye")} if sound else {}
    assert visitor.fill("/pour/shelf", {**said, **known}).status_code in (200, 404, 422)
    told = visitor.get("/pour/shelf", params={"for": built.dusk.id, **said})
    assert told.status_code in (200, 422) and "<script>alert" not in told.text
