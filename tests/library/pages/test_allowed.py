import pytest
from starlette.testclient import TestClient
from tests.library.pages.conftest import PORT, Visitor

from sprayout_library.hub.pages import Serving, routes
from sprayout_library.store import Store

POSTS = (
    "/mix",
    "/look",
    "/pour",
    "/pour/cup/none",
    "/pour/cup/none/colour",
    "/pour/shelf",
    "/share/sync",
    "/thing/none/facts",
    "/spray/new",
    "/spray/none",
    "/look/readings",
    "/share/answers/none",
)


def test_without_the_secret_nobody_comes_in(visitor, made):
    stranger = TestClient(visitor.app, base_url=f"http://127.0.0.1:{PORT}")
    for path in ("/", "/look", "/static/pages.css", "/?key=wrong", "/?key="):
        assert stranger.get(path).status_code == 403
    assert stranger.post("/mix", data={"csrf": visitor.alone.csrf}).status_code == 403


def test_the_secret_becomes_a_cookie_that_scripts_and_other_places_do_not_get(visitor):
    fresh = TestClient(visitor.app, base_url=f"http://127.0.0.1:{PORT}", follow_redirects=False)
    reply = fresh.get("/", params={"key": visitor.alone.key})
    assert reply.status_code == 303 and reply.headers["location"] == "/"
    cookie = reply.headers["set-cookie"].lower()
    assert "httponly" in cookie and "samesite=strict" in cookie


@pytest.mark.parametrize("host", ["evil.example", "127.0.0.1:1", "", "127.0.0.1.evil.example:8470"])
def test_another_name_of_this_machine_is_refused(visitor, host):
    assert visitor.get("/", headers={"host": host}).status_code == 421


@pytest.mark.parametrize("path", POSTS)
@pytest.mark.parametrize("token", [None, "", "wrong", "é"])
def test_a_form_without_its_token_changes_nothing(visitor, made, path, token):
    head = made.shop.store.newest()
    reply = visitor.post(path, data={} if token is None else {"csrf": token})
    assert reply.status_code == 403
    assert made.shop.store.newest() == head


def test_a_token_in_the_address_does_not_count(visitor):
    assert visitor.post(f"/mix?csrf={visitor.alone.csrf}", data={"do": "material"}).status_code == 403


@pytest.mark.parametrize("path", POSTS)
def test_who_only_reads_changes_nothing(made, path):
    from starlette.applications import Starlette

    serving = Serving(lambda _: Store.open(made.folder), lambda *_: None, lambda _: "token")
    reader = TestClient(Starlette(routes=routes(serving)))
    head = made.shop.store.newest()
    full = {"csrf": "token", "do": "mix", "line": "A = 1 weak teal : 1 strong teal", "mix": made.dusk.id,
            "amount": "20 ml", "recipe": made.dusk_fade.id}  # fmt: skip
    assert reader.post(path, data=full).status_code in (403, 404, 422)
    assert reader.post("/mix", data=full).status_code == 403
    assert made.shop.store.newest() == head
    assert '<form method="post"' not in reader.get("/mix").text
    serving.known.close()


@pytest.mark.parametrize(
    "path",
    ["/thing/..%2f..%2fetc%2fpasswd", "/thing/%00", "/static/..%2falone.py", "/static/%2e%2e/alone.py", "/static/.css",
     "/static/pages.css%00", "/thing/" + "a" * 5000, "/share/packet/none", "/share/answers/none", "/spray/none"],
)  # fmt: skip
def test_addresses_that_lead_nowhere(visitor, path):
    assert visitor.get(path).status_code == 404


def test_an_address_of_nothing_is_a_page_with_doors_behind_the_same_guards(visitor):
    for reply, status in ((visitor.get("/nowhere"), 404), (visitor.post("/look/stock"), 405)):
        assert reply.status_code == status and "There is no such page" in reply.text
        assert 'href="/pour"' in reply.text and "default-src 'none'" in reply.headers["content-security-policy"]


def test_too_large_a_body_is_refused(own, monkeypatch):
    visitor, _ = own
    monkeypatch.setattr("sprayout_library.hub.pages.routing.MOST_BYTES", 1000)
    reply = visitor.fill("/look/readings", files={"file": ("a.csv", b"x" * 2000)})
    assert reply.status_code == 413


def test_a_broken_form_is_refused(visitor):
    reply = visitor.post("/mix", content=b"--x\r\nbroken", headers={"content-type": "multipart/form-data; boundary=x"})
    assert 400 <= reply.status_code < 500


def test_many_fields_are_refused(visitor):
    fields = {f"f{number}": "x" for number in range(900)}
    assert 400 <= visitor.fill("/mix", fields).status_code < 500


def test_two_visitors_do_not_see_each_others_drops(made):
    from sprayout_core.errors import SprayoutError
    from sprayout_library.hub.pages.drops import Drops, Upload

    drops = Drops()
    token = drops.keep("one", Upload("a.csv", b"1"))
    assert drops.get("one", token).content == b"1"
    with pytest.raises(SprayoutError):
        drops.get("two", token)


__all__ = ["Visitor"]
