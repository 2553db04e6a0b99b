"""Who may reach what: every route by every role, and what is no request of ours."""

import contextlib
import http.client
import json
import re
import socket

import pytest

from sprayout_library.hub.door import csrf_of

NOBODY, READER, CONTRIBUTOR, KEEPER = None, "rae", "cal", "kit"
ID = "019c1c38-a401-7370-8261-796f75747710"
DIGEST = "0" * 64
PUSH = {"content_type": "application/x-git-receive-pack-request"}
FETCH = {"content_type": "application/x-git-upload-pack-request"}

# A reader may begin a push and is refused by name at the gate (test_sharing): so their sync takes in, and says why
# nothing went out. Method, path, headers; the status for nobody, a reader, a contributor, a keeper
TABLE = [
    ("GET", "/health", {}, 200, 200, 200, 200),
    ("GET", "/metrics", {}, 401, 403, 403, 200),
    ("GET", "/", {}, 303, 200, 200, 200),
    ("GET", "/sign-in", {}, 200, 200, 200, 200),
    ("POST", "/sign-in", {}, 415, 415, 415, 415),
    ("POST", "/sign-out", {}, 415, 415, 415, 415),
    ("GET", "/l/co-op/", {}, 303, 200, 200, 200),
    ("GET", "/l/none/", {}, 303, 404, 404, 404),
    ("GET", "/l/co-op/look", {}, 303, 200, 200, 200),
    ("HEAD", "/l/co-op/live", {}, 303, 200, 200, 200),
    ("HEAD", "/l/none/live", {}, 303, 404, 404, 404),
    ("POST", "/l/co-op/mix", {}, 401, 403, 403, 403),
    ("GET", "/static/pages.css", {}, 200, 200, 200, 200),
    ("GET", "/static/..pages.css", {}, 404, 404, 404, 404),
    ("GET", f"/card/{DIGEST[:48]}", {}, 404, 404, 404, 404),
    ("GET", "/co-op", {}, 303, 303, 303, 303),
    ("GET", "/co-op/info/refs?service=git-upload-pack", {}, 401, 200, 200, 200),
    ("GET", "/co-op/info/refs?service=git-receive-pack", {}, 401, 200, 200, 200),
    ("GET", "/co-op/info/refs", {}, 404, 404, 404, 404),
    ("GET", "/none/info/refs?service=git-upload-pack", {}, 401, 404, 404, 404),
    ("POST", "/co-op/git-upload-pack", FETCH, 401, 200, 200, 200),
    ("POST", "/co-op/git-receive-pack", PUSH, 401, 200, 200, 200),
    ("POST", "/co-op/git-receive-pack", {}, 401, 415, 415, 415),
    ("GET", "/co-op/HEAD", {}, 405, 405, 405, 405),
    ("GET", "/co-op/config", {}, 405, 405, 405, 405),
    ("GET", "/co-op/objects/info/packs", {}, 404, 404, 404, 404),
    ("GET", "/api/v1/openapi.json", {}, 200, 200, 200, 200),
    ("GET", "/api/v1/libraries", {}, 401, 200, 200, 200),
    ("GET", "/api/v1/libraries/co-op/documents", {}, 401, 200, 200, 200),
    ("GET", f"/api/v1/libraries/co-op/documents/{ID}", {}, 401, 404, 404, 404),
    ("GET", f"/api/v1/libraries/co-op/documents/{ID}/history", {}, 401, 404, 404, 404),
    ("GET", f"/api/v1/libraries/co-op/documents/{ID}/packet", {}, 401, 404, 404, 404),
    ("GET", "/api/v1/libraries/co-op/compare?one=teal", {}, 401, 404, 404, 404),
    ("POST", "/api/v1/libraries/co-op/packets", {}, 401, 403, 422, 422),
    ("GET", f"/api/v1/libraries/co-op/sources/{DIGEST}", {}, 401, 404, 404, 404),
    ("PUT", f"/api/v1/libraries/co-op/sources/{DIGEST}", {}, 401, 403, 422, 422),
]


def _row(line):
    return f"{line[0]} {line[1][:50]}"


@pytest.mark.parametrize("line", TABLE, ids=_row)
def test_every_route_answers_every_role_as_intended(shared, line):
    method, path, headers, *wanted = line
    body = b"0000" if "git-" in path and method == "POST" else b"{}" if method in {"POST", "PUT"} else None
    got = [shared.ask(method, path, who, body, **headers).status for who in (NOBODY, READER, CONTRIBUTOR, KEEPER)]
    assert got == wanted


def test_the_table_misses_no_route(shared):
    known = {"/static/front.css", "/favicon.ico"}
    asked = {(method, path.partition("?")[0]) for method, path, *_ in TABLE}
    for route in shared.app.routes:
        if not hasattr(route, "path_regex") or route.path in known:
            continue
        hit = [method for method, path in asked if route.path_regex.match(path) and method in route.methods]
        assert hit, route.path


def pages_of(live):
    """Every page of a library: path with something in its places, methods."""
    from sprayout_library.hub.pages import Serving, routes

    for route in routes(Serving(None, None, None)):
        yield "/l/co-op" + re.sub(r"{(\w+)}", ID, route.path), route.methods - {"HEAD"}


def test_every_page_answers_every_role_as_intended(shared):
    """Nobody is sent to the door; who reads sees; what changes something takes a contributor's form and its token."""
    reader, contributor = shared.signed_in("rae"), shared.signed_in("cal")
    token = csrf_of(contributor.partition("=")[2])
    wrong = []
    for path, methods in pages_of(shared):
        if "GET" in methods:
            method = "HEAD" if path.endswith("/live") else "GET"
            nobody = shared.ask(method, path).status
            seen = [shared.ask(method, path, cookie=cookie).status for cookie in (reader, contributor)]
            if nobody != (401 if "/static/" in path else 303) or not set(seen) <= {200, 303, 404, 422}:
                wrong.append((method, path, nobody, seen))
        if "POST" in methods:
            own = csrf_of(reader.partition("=")[2])
            got = [
                shared.ask("POST", path, body={}).status,
                shared.ask("POST", path, "cal", body={"csrf": token}).status,
                shared.ask("POST", path, body={"csrf": own}, cookie=reader).status,
                shared.ask("POST", path, body={}, cookie=contributor).status,
                shared.ask("POST", path, body={"csrf": own}, cookie=contributor).status,
                shared.ask("POST", path, body={"csrf": token}, cookie=contributor, origin="http://evil.example").status,
            ]
            may = shared.ask("POST", path, body={"csrf": token}, cookie=contributor).status
            readers = 303 if path.endswith("/units") else 403  # kept in their own browser
            if got != [401, 403, readers, 403, 403, 403] or may not in {200, 303, 404, 422}:
                wrong.append(("POST", path, got, may))
    assert wrong == []


def test_a_role_in_another_library_opens_nothing_here(shared):
    shared.hub.add_library("other")
    shared.person("oto", "keeper", "other")
    assert shared.ask("GET", "/api/v1/libraries/co-op/documents", "oto").status == 404
    assert shared.ask("GET", "/co-op/info/refs?service=git-upload-pack", "oto").status == 404
    assert shared.ask("GET", "/l/co-op/", "oto").status == 404
    assert shared.ask("GET", "/metrics", "oto").status == 403
    assert [one["name"] for one in shared.ask("GET", "/api/v1/libraries", "oto").json["libraries"]] == ["other"]


@pytest.mark.parametrize(
    "path",
    [
        "/co-op/../accounts/people.json", "/..%2faccounts/people.json", "/co-op/%2e%2e/config", "//co-op/info/refs",
        "/l/..%5c..%5cco-op/", "/co-op%00/info/refs", "/l/co-op/static/..%2f..%2fapp.py", "/static/%2e%2e/app.py",
        "/co-op/./info/refs?service=git-upload-pack", "/CO-OP/info/refs?service=git-upload-pack",
        "/l/co-op/" + "x" * 1500,
        "/api/v1/libraries/..%2f..%2faccounts/documents", "/api/v1/libraries/co-op/sources/..%2f..%2fconfig",
        "/l/%ff%fe/",
    ],
)  # fmt: skip
def test_paths_that_climb_lead_nowhere(shared, path):
    answer = shared.ask("GET", path, "kit")
    assert answer.status in {404, 422}
    assert b"digest" not in answer.body and b"[core]" not in answer.body


def test_foreign_hosts_long_questions_and_odd_methods_are_refused(shared):
    assert shared.ask("GET", "/health", host="evil.example").status == 421
    assert shared.ask("GET", "/health?" + "x" * 5000).status == 414
    for method in ("DELETE", "PATCH", "OPTIONS", "TRACE", "CONNECT", "BREW"):
        assert shared.ask(method, "/health").status == 405


def raw(live, sent):
    with socket.create_connection(("127.0.0.1", live.port), timeout=60) as line:
        got = b""
        with contextlib.suppress(OSError):  # a hub that has heard enough hangs up
            line.sendall(sent)
            line.shutdown(socket.SHUT_WR)
            while piece := line.recv(65536):
                got += piece
    return got


@pytest.mark.parametrize(
    "head",
    [
        b"GET /health HTTP/1.1\r\nHost: localhost\r\nX: " + b"y" * 200_000 + b"\r\n\r\n",
        b"GET /health HTTP/1.1\r\nHost: localhost\r\nContent-Length: 5\r\nTransfer-Encoding: chunked\r\n\r\n0\r\n\r\n",
        b"GET /health HTTP/1.1\r\nHost: localhost\r\nContent-Length: -1\r\n\r\n",
        b"GET /health HTTP/1.1\r\nHost: a\r\nHost: b\r\n\r\n",
        b"GET /health HTTP/1.1\r\n\r\n",
        b"\x16\x03\x01\x02\x00\x01\x00",
        b"GET /health HTTP/9.9\r\nHost: localhost\r\n\r\n",
    ],
)
def test_what_is_no_sound_request_gets_four_hundreds(shared, head):
    got = raw(shared, head)
    assert got == b"" or got.split(b" ")[1][:1] == b"4" or b"200 OK" in got.split(b"\r\n")[0]
    assert shared.ask("GET", "/health").status == 200


@pytest.mark.parametrize(
    "token", ["Bearer", "Bearer x", "Basic !!!", "Basic eA==", "Digest x", "Bearer spray-" + "0" * 64]
)
def test_what_is_no_token_opens_nothing(shared, token):
    for path in ("/api/v1/libraries", "/co-op/info/refs?service=git-upload-pack", "/l/co-op/"):
        assert shared.ask("GET", path, authorization=token).status == 401


def refused_or_cut(live, *words, **more):
    """Return the status; a server that stops listening may end the connection before its answer is read."""
    try:
        return live.ask(*words, **more).status
    except (ConnectionError, http.client.HTTPException):
        return "cut"


def test_a_body_beyond_the_bound_is_refused_with_and_without_a_stated_length(fresh):
    live = fresh(body_bytes=10_000, push_bytes=20_000)
    packets = ("POST", "/api/v1/libraries/co-op/packets", "cal")
    assert refused_or_cut(live, *packets, b"x" * 10_001) in {413, "cut"}
    assert refused_or_cut(live, *packets, iter([b"x" * 6_000] * 3)) in {413, "cut"}
    assert refused_or_cut(live, "POST", "/co-op/git-receive-pack", "cal", b"0" * 30_000, **PUSH) in {413, 200, "cut"}
    assert live.ask("POST", "/api/v1/libraries/co-op/packets", "cal", b"x" * 9_000).status != 413
    assert live.ask("GET", "/health").status == 200


def test_wrong_tokens_make_their_address_wait_and_right_ones_still_pass(fresh):
    live = fresh(guesses=5)
    wrong = "spray-" + "1" * 64
    statuses = [live.ask("GET", "/api/v1/libraries", wrong).status for _ in range(8)]
    assert statuses == [401] * 5 + [429] * 3
    slowed = live.ask("GET", "/api/v1/libraries", wrong)
    assert int(slowed.headers["retry-after"]) >= 1
    assert live.ask("GET", "/api/v1/libraries", "cal").status == 200


def test_too_much_at_once_waits(fresh):
    live = fresh(burst=5, requests_per_second=0.01)
    statuses = [live.ask("GET", "/health").status for _ in range(7)]
    assert statuses == [200] * 5 + [429] * 2


def test_a_token_withdrawn_or_ended_opens_nothing_any_more(fresh):
    live = fresh()
    cookie = live.signed_in("cal")
    assert live.ask("GET", "/l/co-op/", cookie=cookie).status == 200
    held = next(token for token in live.hub.accounts.tokens() if token.person == "cal")
    live.hub.accounts.withdraw_token(held.id)
    assert live.ask("GET", "/api/v1/libraries", "cal").status == 401
    assert live.ask("GET", "/l/co-op/", cookie=cookie).status == 303
    live.hub.accounts.withdraw("kit")
    assert live.ask("GET", "/api/v1/libraries", "kit").status == 401


# ---- browsers ---------------------------------------------------------------------------------------------


def test_the_cookie_is_out_of_reach_of_scripts_and_other_sites(fresh):
    live = fresh()
    form = live.ask("GET", "/sign-in")
    word = form.headers["set-cookie"].partition("=")[2].partition(";")[0]
    done = live.ask(
        "POST",
        "/sign-in",
        body={"form": word, "token": live.tokens["cal"], "next": "//evil.example"},
        cookie=f"sprayout-form={word}",
    )
    assert done.headers["location"] == "/"
    assert "httponly" in done.headers["set-cookie"].lower() and "samesite=strict" in done.headers["set-cookie"].lower()
    assert "default-src 'none'" in form.headers["content-security-policy"]


def test_forms_from_elsewhere_change_nothing(fresh):
    live = fresh()
    token = live.tokens["cal"]
    assert live.ask("POST", "/sign-in", body={"form": "x", "token": token}).status == 403
    assert live.ask("POST", "/sign-in", body={"form": "", "token": token}, cookie="sprayout-form=").status == 403
    cookie = live.signed_in("cal")
    before = live.hub.store
    with before("co-op") as store:
        head = store.head
    form = {"line": "Kelp glass = 5 weak teal : 2 strong teal"}
    for headers in ({}, {"origin": "http://evil.example"}, {"sec_fetch_site": "cross-site"}, {"origin": "null"}):
        assert live.ask("POST", "/l/co-op/mix", body=form, cookie=cookie, **headers).status == 403
        assert live.ask("POST", "/sign-out", body={}, cookie=cookie, **headers).status == 403
    assert live.ask("POST", "/api/v1/libraries/co-op/packets", body=b"{}", cookie=cookie).status == 403
    honest = {**form, "csrf": csrf_of(cookie.partition("=")[2])}
    assert live.ask("POST", "/l/co-op/mix", body={**form, "csrf": "0" * 64}, cookie=cookie).status == 403
    assert live.ask("POST", "/l/co-op/mix", body=honest, cookie=cookie).status != 403
    with before("co-op") as store:
        assert store.head == head
    assert live.ask("GET", "/", cookie=cookie).status == 200


def test_signing_out_ends_it(fresh):
    live = fresh()
    cookie = live.signed_in("rae")
    done = live.ask("POST", "/sign-out", body={"csrf": csrf_of(cookie.partition("=")[2])}, cookie=cookie)
    assert done.status == 303
    assert live.ask("GET", "/", cookie=cookie).headers["location"] == "/sign-in"


def test_no_secret_is_in_the_log_or_in_any_file(fresh):
    live = fresh()
    cookie = live.signed_in("cal").partition("=")[2]
    live.ask("GET", "/api/v1/libraries?secret=swordfish", "cal")
    live.ask("GET", "/api/v1/libraries", "spray-" + "ab" * 32)
    said = live.log.getvalue()
    secrets = [*live.tokens.values(), cookie, "swordfish", "ab" * 32]
    assert "wrong-token" in said and not any(one in said for one in secrets)
    for line in said.splitlines():
        assert json.loads(line)["event"]
    for path in live.hub.folder.rglob("*"):
        if path.is_file():
            content = path.read_bytes()
            assert not any(one.encode() in content for one in secrets), path
    people = live.hub.folder / "accounts" / "people.json"
    assert people.stat().st_mode & 0o077 == 0
