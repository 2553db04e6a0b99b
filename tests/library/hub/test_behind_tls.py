"""Behind a proxy that speaks TLS: cookies bound to the host, told to browsers for good, and every answer guarded."""

import pytest

from sprayout_library.hub import Settings
from sprayout_library.hub.door import csrf_of

NAME = "paint.example"
GUARDS = ("content-security-policy", "x-content-type-options", "referrer-policy", "cross-origin-opener-policy")
ANYTHING = ["/", "/sign-in", "/nothing/at/all", "/l/co-op/", "/l/co-op/nothing", "/l/none/", "/api/v1/libraries",
            "/api/v1/nothing", "/health", "/metrics", "/card/x", "/static/nothing.css", "/co-op/info/refs",
            "/co-op/info/refs?service=git-upload-pack", "/..", "//", "/%00"]  # fmt: skip


@pytest.fixture
def behind(fresh, monkeypatch):
    """A hub that others reach as https://paint.example."""
    secure = Settings(address=f"https://{NAME}")
    monkeypatch.setattr("tests.library.hub.conftest.Settings", lambda bounds: Settings("Hub", secure.address, bounds))
    return fresh()


def signed_in(live):
    form = live.ask("GET", "/sign-in", host=NAME)
    word = form.headers["set-cookie"].partition("=")[2].partition(";")[0]
    said = {"form": word, "token": live.tokens["cal"], "next": "/"}
    return live.ask("POST", "/sign-in", body=said, cookie=f"sprayout-form={word}", host=NAME, origin=f"https://{NAME}")


def test_the_cookie_is_bound_to_the_host_and_sent_through_tls_only(behind):
    done = signed_in(behind)
    assert done.status == 303
    cookie = done.headers["set-cookie"]
    assert cookie.startswith("__Host-sprayout=") and "Path=/" in cookie and "Domain" not in cookie
    assert {"secure", "httponly", "samesite=strict"} <= {part.strip().lower() for part in cookie.split(";")}
    sent = cookie.partition(";")[0]
    assert behind.ask("GET", "/l/co-op/", cookie=sent, host=NAME).status == 200
    plain = sent.replace("__Host-sprayout", "sprayout")  # what a neighbour of the host could have set
    assert behind.ask("GET", "/l/co-op/", cookie=plain, host=NAME).status == 303


def test_forms_come_from_that_host_alone(behind):
    cookie = signed_in(behind).headers["set-cookie"].partition(";")[0]
    form = {"csrf": csrf_of(cookie.partition("=")[2]), "do": "material", "name": "Weak teal", "role": "dye"}
    for origin in ("https://evil.example", f"https://{NAME}.evil.example", "null", "https://127.0.0.1"):
        assert behind.ask("POST", "/l/co-op/mix", body=form, cookie=cookie, host=NAME, origin=origin).status == 403
    assert (
        behind.ask("POST", "/l/co-op/mix", body=form, cookie=cookie, host=NAME, origin=f"https://{NAME}").status == 303
    )
    assert behind.ask("GET", "/", host="evil.example").status == 421


@pytest.mark.parametrize("path", ANYTHING)
def test_every_answer_is_guarded_whatever_was_asked(behind, path):
    for who in (None, "kit"):
        answer = behind.ask("GET", path, who, host=NAME)
        assert answer.status < 500
        assert int(answer.headers["strict-transport-security"].partition("=")[2].partition(";")[0]) >= 31_536_000
        assert not [one for one in GUARDS if one not in answer.headers], path
        assert "default-src 'none'" in answer.headers["content-security-policy"]


@pytest.mark.parametrize("path", ANYTHING)
def test_and_so_it_is_on_one_machine(shared, path):
    answer = shared.ask("GET", path, "kit")
    assert answer.status < 500 and "strict-transport-security" not in answer.headers
    assert not [one for one in GUARDS if one not in answer.headers], path


@pytest.mark.parametrize(
    ("path", "words"), [("/nothing/at/all", "Nothing stands there"), ("/api/v1/nothing", '"faults"')]
)
def test_what_is_not_there_is_told_to_people_and_to_programs(shared, path, words):
    answer = shared.ask("GET", path, "kit")
    assert answer.status == 404 and words in answer.body.decode()
    assert answer.headers["content-type"].startswith("application/json" if "api" in path else "text/html")
