"""Anything at all is asked of the hub: of the API by its own description, of every page; nothing is our fault."""

import json
import re
from importlib.resources import files
from urllib.parse import quote, urlencode

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from tests.library.hub.test_links import written

from sprayout_library.hub.door import csrf_of
from sprayout_library.hub.openapi import described

pytestmark = pytest.mark.long

BOUNDS = settings(
    max_examples=150, deadline=None, database=None, derandomize=True,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow, HealthCheck.data_too_large],
)  # fmt: skip
OPERATIONS = [
    (method, path, told)
    for path, methods in described()["paths"].items()
    for method, told in methods.items()
]  # fmt: skip
ODD = st.one_of(
    st.text(max_size=40),
    st.sampled_from(["", " ", "\x00", "\r\nx: y", "../..", "%00", "-1", "1e999", "NaN", "9" * 400, "\ud7ff", "é" * 200,
                     "{{7*7}}",
                     "'; --", "<b>", "true", "null", "[]", "{}", "@1", "x@2", "…", "/", "\\", "0" * 40, "D65"]),
)  # fmt: skip
BEYOND = {307, 400, 404, 405, 414, 415, 421, 429}  # 307: an empty name led to the list


@pytest.fixture(scope="module")
def live(tmp_path_factory):
    from tests.library.hub.conftest import Live

    with pytest.MonkeyPatch.context() as patched:
        folder = tmp_path_factory.mktemp("fuzz")
        patched.setenv("SPRAYOUT_HOME", str(folder / "home"))
        made = Live(folder, guesses=100_000)
        with made.hub.store("co-op") as store:
            made.recipe = written(store)
            made.ids = [name for name, _ in store.blobs()]
            made.head = store.head
        made.packet = made.ask(
            "GET", f"/api/v1/libraries/co-op/documents/{made.recipe}/packet", "cal"
        ).body  # fmt: skip
        yield made
        made.stop()


def value(data, live, told):
    """Something for a parameter: as described, something real, or anything."""
    pattern = told["schema"].get("pattern")
    real = {"library": ["co-op"], "id": live.ids, "version": [live.head], "one": live.ids, "other": live.ids,
            "after": live.ids, "kind": ["recipe", "formula"], "limit": ["1", "500"], "sources": ["yes"]}  # fmt: skip
    choices = [ODD]
    if pattern:
        choices.append(st.from_regex(pattern, fullmatch=True))
    if told["name"] in real:
        choices += [st.sampled_from(real[told["name"]])] * 3
    return data.draw(st.one_of(choices))


def mutated(data, content):
    """A sound body with something wrong in it, or anything."""
    kind = data.draw(st.sampled_from(["bytes", "json", "cut", "swapped", "member"]))
    if kind == "bytes":
        return data.draw(st.binary(max_size=300))
    if kind == "json":
        leaf = st.none() | st.booleans() | st.floats() | st.integers() | st.text(max_size=20)
        return json.dumps(data.draw(st.recursive(leaf, lambda one: st.lists(one, max_size=4) | st.dictionaries(
            st.sampled_from(["packet", "documents", "about", "sent", "kind", "id", "edition", ""]), one, max_size=4),
            max_leaves=20))).encode()  # fmt: skip
    place = data.draw(st.integers(0, len(content) - 1))
    if kind == "cut":
        return content[:place]
    if kind == "swapped":
        return content[:place] + data.draw(st.binary(min_size=1, max_size=4)) + content[place + 1 :]
    tree = json.loads(content)
    node = tree
    while isinstance(node, dict) and node and data.draw(st.booleans()):
        name = data.draw(st.sampled_from(sorted(node)))
        if not isinstance(node[name], dict):
            node[name] = data.draw(st.none() | st.integers() | ODD | st.just([]) | st.just({}))
            break
        node = node[name]
    return json.dumps(tree).encode()


@pytest.mark.parametrize(("method", "path", "told"), OPERATIONS, ids=lambda one: one if isinstance(one, str) else "")
@BOUNDS
@given(data=st.data())
def test_whatever_is_asked_of_the_api_is_answered_as_described(live, method, path, told, data):
    drawn = {one["name"]: value(data, live, one) for one in told.get("parameters", ()) if one["in"] == "path"}
    address = re.sub(r"{(\w+)}", lambda hit: quote(drawn[hit[1]], safe=""), path)
    asked = [
        (one["name"], value(data, live, one))
        for one in told.get("parameters", ())
        if one["in"] == "query" and (one["required"] or data.draw(st.booleans()))
    ]
    body = mutated(data, live.packet) if "requestBody" in told else None
    headers = {"content_type": data.draw(st.sampled_from(["application/json", "text/plain", "application/x"]))}
    got = live.ask(method.upper(), f"{address}?{urlencode(asked)}", "cal", body, **(headers if body else {}))
    assert got.status < 500, got.body
    assert got.status in {int(one) for one in told["responses"]} | BEYOND
    if got.status >= 400:
        assert got.json["faults"], got.body
    assert got.headers["x-content-type-options"] == "nosniff"


def fields():
    """Every name a form of the pages has."""
    folder = files("sprayout_library.hub.pages") / "templates"
    found = set()
    for page in folder.iterdir():
        if page.name.endswith(".html"):
            found |= set(re.findall(r'\bname="([a-z0-9_-]+)"', page.read_text(encoding="utf-8")))
    return sorted(found - {"csrf", "viewport", "color-scheme", "robots", "file", "shot"})


def pages():
    from sprayout_library.hub.pages import Serving, routes

    return [
        (method, route.path)
        for route in routes(Serving(None, None, None))
        for method in sorted(route.methods - {"HEAD"})
        if route.path not in ("/live", "/static/{name}")
    ]


@pytest.mark.parametrize(("method", "path"), pages())
@BOUNDS
@given(data=st.data())
def test_whatever_is_said_to_a_page_is_answered(live, method, path, data):
    cookie = live.cookie = getattr(live, "cookie", None) or live.signed_in("cal")
    real = st.sampled_from(
        [*live.ids, "Kelp fade", "Kelp glass", "KF-secret", "mix", "recipe", "take", "make", "all", "60 ml"]
    )
    said = data.draw(st.lists(st.tuples(st.sampled_from(fields()), real | ODD), max_size=8))
    address = "/l/co-op" + re.sub(r"{\w+}", lambda _: quote(data.draw(real | ODD), safe=""), path)
    if method == "GET":
        got = live.ask("GET", f"{address}?{urlencode(said)}", cookie=cookie)
    else:
        body = urlencode([*said, ("csrf", csrf_of(cookie.partition("=")[2]))]).encode()
        kind = "application/x-www-form-urlencoded"
        got = live.ask("POST", address, body=body, cookie=cookie, content_type=kind)
    assert got.status < 500, (address, said, live.log.getvalue()[-600:])
    assert b"<script>alert" not in got.body
