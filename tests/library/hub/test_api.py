"""The API says what the library holds, refuses what it cannot take, and its description is kept in docs."""

import json
import re
from pathlib import Path

import pytest
from tests.library.shops import Put, state

from sprayout_library.hub.openapi import described

ROOT = next(up for up in Path(__file__).parents if (up / "pyproject.toml").exists())
P = "/api/v1/libraries/co-op"


@pytest.fixture
def stocked(shops):
    a, _ = shops.at_hub("a", "cal")
    shops.teal = shops.material(a, "Weak teal")
    shops.save(a, shops.teal, shops.material(a, "Strong teal"), shops.formula(a, "Kelp glass", {shops.teal.id: 1}))
    shops.edit(a, shops.teal.id, Put("title", "Pale teal"))
    assert shops.sync(a).at_remote
    shops.a = a
    return shops


def test_the_description_in_docs_is_the_one_that_is_served(shared):
    kept = (ROOT / "docs" / "hub-api.json").read_text(encoding="utf-8")
    assert kept == json.dumps(described(), indent=2, sort_keys=True) + "\n", "write it anew: see docs/hub.md"
    assert shared.ask("GET", "/api/v1/openapi.json").json == described()


def test_the_description_names_every_route_and_what_every_answer_needs(shared):
    told = described()
    assert told["openapi"].startswith("3.1")
    routes = {route.path for route in shared.app.routes if getattr(route, "path", "").startswith("/api/v1/lib")}
    assert set(told["paths"]) == routes
    named = set(re.findall(r'"#/components/schemas/(\w+)"', json.dumps(told)))
    assert named <= set(told["components"]["schemas"])


def test_lists_documents_history_and_comparison(stocked):
    live = stocked.live
    page = live.ask("GET", f"{P}/documents?limit=2", "rae").json
    assert page["count"] == 3 and page["after"] == page["documents"][-1]["id"]
    rest = live.ask("GET", f"{P}/documents?limit=2&after={page['after']}", "rae").json
    assert len(rest["documents"]) == 1 and rest["after"] == ""
    assert [one["name"] for one in live.ask("GET", f"{P}/documents?words=pale", "rae").json["documents"]] == [
        "Pale teal"
    ]
    held = live.ask("GET", f"{P}/documents/{stocked.teal.id}", "rae")
    assert held.body == stocked.a.content(stocked.teal.id)
    told = live.ask("GET", f"{P}/documents/{stocked.teal.id}/history", "rae").json
    assert [one["version"] for one in told] == [2, 1]
    earlier = live.ask("GET", f"{P}/documents/{stocked.teal.id}?version={told[1]['commit']}", "rae").json
    assert earlier["title"] == "Weak teal"
    both = live.ask("GET", f"{P}/compare?one=Pale%20teal", "rae").json
    assert any("teal" in change["text"] for change in both["changes"])


def test_a_packet_goes_from_one_library_into_another_and_twice_is_nothing(stocked):
    live = stocked.live
    live.hub.add_library("other")
    name = stocked.teal.id
    packet = live.ask("GET", f"{P}/documents/{name}/packet", "rae").body
    taken = live.ask("POST", "/api/v1/libraries/other/packets", "cal", packet).json
    assert taken["documents"] == [name] and taken["commit"]
    assert live.ask("POST", "/api/v1/libraries/other/packets", "cal", packet).json == {"documents": [], "commit": ""}
    with live.hub.store("other") as store:
        assert set(state(store)) == {name}


def test_sources_are_kept_by_digest_and_nothing_else(stocked):
    import hashlib

    live, content = stocked.live, b"wavelength;value\n"
    digest = hashlib.sha256(content).hexdigest()
    assert live.ask("PUT", f"{P}/sources/{'0' * 64}", "cal", content).status == 422
    assert live.ask("PUT", f"{P}/sources/{digest}", "rae", content).status == 403
    assert live.ask("PUT", f"{P}/sources/{digest}", "cal", content).status == 204
    assert live.ask("GET", f"{P}/sources/{digest}", "rae").body == content


BAD = [
    "documents?kind=paint",
    "documents?limit=0",
    "documents?limit=99999",
    "documents?limit=%C2%B2",
    "documents?after=x",
    "documents?words=%00",
    f"documents?words={'x' * 400}",
    "compare",
    "compare?one=%0a",
    "compare?one=Pale%20teal&light=../x.csv",
    "compare?one=Pale%20teal&other=Kelp%20glass",
    "compare?one=Pale%20teal@9",
    "documents/x?version=HEAD",
    "documents/%2d%2dhelp",
]


def test_bad_questions_get_four_hundreds_with_a_fault(stocked):
    for asked in BAD:
        answer = stocked.live.ask("GET", f"{P}/{asked}", "rae")
        assert answer.status in {404, 422}, asked
        assert answer.json["faults"][0]["problem"], asked


@pytest.mark.parametrize("body", [b"", b"{", b"[]", b"null", b"\xff", b"{" * 100_000, b'{"packet": 1}', b'{"a":1e999}'])
def test_bad_packets_get_four_hundreds(shared, body):
    assert shared.ask("POST", f"{P}/packets", "cal", body).status == 422
