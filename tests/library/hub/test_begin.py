"""An empty library of a hub is begun in a browser, once."""

from sprayout_library.hub.door import csrf_of


def test_an_empty_library_is_begun_once(fresh):
    live = fresh()
    cookie = live.signed_in("cal")
    form = {"csrf": csrf_of(cookie.partition("=")[2]), "title": "Reed yard", "light": "direct sun"}
    assert "Begin this library" in live.ask("GET", "/l/co-op/", cookie=cookie).body.decode()
    assert "Begin this library" not in live.ask("GET", "/l/co-op/", "rae").body.decode()
    assert live.ask("POST", "/l/co-op/begin", body={**form, "title": " "}, cookie=cookie).status == 422
    assert live.ask("POST", "/l/co-op/begin", body={**form, "light": "moon"}, cookie=cookie).status == 422
    assert live.ask("POST", "/l/co-op/begin", body=form, cookie=cookie).status == 303
    told = live.ask("GET", "/l/co-op/", cookie=cookie).body.decode()
    assert "<h1>Reed yard" in told and "Begin this library" not in told
    assert live.ask("POST", "/l/co-op/begin", body=form, cookie=cookie).status == 422
    with live.hub.store("co-op") as store:
        (manifest,) = store.documents("library")
    assert (manifest.illuminant, manifest.observer, manifest.difference) == ("D50", 10, "ciede2000")
