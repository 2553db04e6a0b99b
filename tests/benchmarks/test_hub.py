"""How fast pages and the API answer over a large library, and that many shops and readers at once lose nothing.

Sizes by SPRAYOUT_PANELS: 10,000 panels are 120,050 documents. Times within the server: from the request's names to the
bytes of the answer; "ready" is the same page put together from data that is at hand already.
"""

import http.client
import json
import os
import re
import subprocess
import sys
import threading
import time
from datetime import UTC, datetime
from importlib import import_module

import pytest
from tests.benchmarks.large_library import documents, imported, name

from sprayout_core.documents.identity import reading_id
from sprayout_library.hub import Hub
from sprayout_library.hub.accounts import Visitor
from sprayout_library.hub.api import Call, compare, document, history
from sprayout_library.hub.api import documents as listed
from sprayout_library.hub.app import Service
from sprayout_library.hub.pages import Asked, Known, Visit
from sprayout_library.hub.pages.frame import rendered
from sprayout_library.hub.telling import Telling
from sprayout_library.index import Index

pytestmark = pytest.mark.benchmark
PANELS = int(os.environ.get("SPRAYOUT_PANELS", "200"))
AT = f"at {PANELS:,} panels"
TIMES = 40
CODE = "from sprayout_library.cli.main import main; main()"


def p95(times):
    return 1e3 * sorted(times)[int(0.95 * len(times))]


@pytest.fixture(scope="module")
def home(tmp_path_factory):
    with pytest.MonkeyPatch.context() as patched:
        folder = tmp_path_factory.mktemp("large")
        patched.setenv("SPRAYOUT_HOME", str(folder / "home"))
        yield folder


@pytest.fixture(scope="module")
def hub(home):
    """A hub with one large library, its index made."""
    made = Hub.create(home / "hub")
    made.add_library("co-op", datetime.now(UTC))
    with made.store("co-op") as store:
        imported(store, many())
        Index.open(store).close()
    made.accounts.add("rae", "reader")
    yield made
    made.close()


def many():
    """The large library, with the readings of those panels that pages are asked for under the ids of their facts."""
    asked = {name(kind, place(number)) for kind in ("p",) for number in range(TIMES + 3)}
    for kind, identity, text in documents(PANELS):
        if kind == "reading":
            facts = json.loads(text)
            if facts["panel"] in asked:
                identity = reading_id(facts)
                text = text.replace(facts["id"].encode(), identity.encode())
        yield kind, identity, text


def place(number):
    return number * 37 % PANELS


def panel(number):
    return name("p", place(number))


def pages():
    """What each page is asked, by number."""
    return {
        "today": ("today", lambda _: Asked()),
        "the wall, light to dark": ("wall", lambda n: Asked(query={"page": [str(n + 1)]})),
        "the wall, newest first": ("wall", lambda n: Asked(query={"order": ["new"], "page": [str(n + 1)]})),
        "the wall, by words": ("wall", lambda n: Asked(query={"words": [f"p{n}"]})),
        "one panel": ("thing", lambda n: Asked(parts={"id": panel(n)})),
        "one mix": ("thing", lambda n: Asked(parts={"id": name("f", place(n))})),
        "two panels compared": ("compare", lambda n: Asked(query={"piece": [panel(n), panel((n + 7) % (TIMES + 3))]})),
        "found by words": ("find", lambda n: Asked(query={"words": [f"kelp {n}"]})),
        "found by colour": ("find", lambda n: Asked(query={"near": [f"P{place(n)}"]})),
        "the stock wall": ("stock", lambda n: Asked(query={"over": [f"dye {n}"]})),
        "share": ("share", lambda _: Asked()),
    }


@pytest.mark.parametrize("what", list(pages()))
def test_a_page(hub, figure, what):
    module, asked = pages()[what]
    shows = getattr(import_module(f"sprayout_library.hub.pages.{module}"), module)
    known, whole, ready = KNOWN, [], []
    for number in range(TIMES + 3):
        began = time.perf_counter()
        with hub.store("co-op") as store:
            visit = Visit(asked(number), store, known.of(store), "/l/co-op", "0" * 64, known=known)
            reply = shows(visit)
            if reply.template:
                rendered(reply, visit, "/")
        done = time.perf_counter()
        if reply.template:
            rendered(reply, visit, "/")
        again = time.perf_counter()
        if number >= 3:  # the first load what it takes
            whole.append(done - began)
            ready.append(again - done)
    beside = f"ready {p95(ready):.1f} ms" if reply.template else ""
    figure(f"page of {what} {AT}, p95", p95(whole), "ms", beside, "at most 50")
    if reply.template:
        ratio = sorted(whole)[TIMES // 2] / sorted(ready)[TIMES // 2]
        figure(f"page of {what} {AT}, median", ratio, "times the same from ready data", "", "at most 3")


KNOWN = Known()


@pytest.mark.parametrize("what", ["list", "list by words", "document", "history", "compare"])
def test_a_call_of_the_api(hub, figure, what):
    service = SERVICES.setdefault(hub.folder, Service(hub, Telling(None)))
    visitor = Visitor("rae", "", {"*": "reader"})
    answers, parts, query = {
        "list": (listed, {}, lambda n: {"kind": "panel", "after": panel(n), "limit": "100"}),
        "list by words": (listed, {}, lambda n: {"words": f"kelp {n}"}),
        "document": (document, {"id": 0}, lambda _: {}),
        "history": (history, {"id": 0}, lambda _: {}),
        "compare": (compare, {}, lambda n: {"one": f"P{place(n)}", "other": f"P{place((n + 7) % (TIMES + 3))}"}),
    }[what]
    times = []
    for number in range(TIMES + 3):
        named = {"library": "co-op", **({"id": panel(number)} if parts else {})}
        began = time.perf_counter()
        answers(Call(service, visitor, named, query(number)))
        times.append(time.perf_counter() - began)
    figure(f"API {what} {AT}, p95", p95(times[3:]), "ms", "", "at most 50")


SERVICES = {}


def fetched(port, path, token):
    line = http.client.HTTPConnection("127.0.0.1", port, timeout=120)
    line.request("GET", path, headers={"authorization": f"Bearer {token}"})
    answer = line.getresponse()
    body = answer.read()
    line.close()
    return answer.status, body


def test_the_first_page_after_a_start(hub, figure):
    token = hub.accounts.issue("rae")[1]
    for what, path in (("Today", "/l/co-op/"), ("the wall", "/l/co-op/look")):
        began = time.perf_counter()
        served = subprocess.Popen(
            [sys.executable, "-c", CODE, "hub", "serve", "--hub", str(hub.folder), "--port", "0"],
            stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True, env={**os.environ, "PYTHONUNBUFFERED": "1"},
        )  # fmt: skip
        try:
            port = int(re.search(r"http://[\d.]+:(\d+)", served.stdout.readline())[1])
            listens = time.perf_counter()
            status, _ = fetched(port, path, token)
            done = time.perf_counter()
            assert status == 200
        finally:
            served.terminate()
            served.wait(30)
            served.stdout.close()
        beside = f"{done - listens:.1f} s after it listens"
        figure(f"first page after a start, {what}, at {PANELS:,} panels", done - began, "s", beside, "at most 2")


def test_eight_shops_sync_while_fifty_readers_browse(tmp_path, monkeypatch, figure):
    from tests.library.hub.conftest import Live, Shops

    live = Live(tmp_path)
    shops = Shops(tmp_path, monkeypatch, live)
    stores = []
    first, _ = shops.at_hub("first", "cal")
    shops.save(first, *(shops.material(first, f"dye {number}") for number in range(200)))
    shops.sync(first)
    live.person("all", "keeper")  # one token for every shop of this machine: a keeper sends for others
    shops.as_("all")
    for number in range(8):
        store, _ = shops.at_hub(f"s{number}", "all")
        stores.append(store)
    faults, seen, ends = [], [], threading.Event()
    paths = ("/l/co-op/", "/l/co-op/look", "/l/co-op/find?words=dye", "/api/v1/libraries/co-op/documents?limit=50")

    def browses(place):
        line = http.client.HTTPConnection("127.0.0.1", live.port, timeout=60)
        while not ends.is_set():
            path = paths[place % len(paths)]
            place += 1
            began = time.perf_counter()
            line.request("GET", path, headers={"authorization": f"Bearer {live.tokens['rae']}"})
            answer = line.getresponse()
            answer.read()
            seen.append(time.perf_counter() - began)
            if answer.status not in (200, 303):
                faults.append((path, answer.status))
        line.close()

    readers = [threading.Thread(target=browses, args=(place,)) for place in range(50)]
    for one in readers:
        one.start()
    began, pushes, wanted = time.perf_counter(), 0, 200

    def works(store, number):
        nonlocal pushes
        for turn in range(4):
            shops.save(store, store_material(shops, store, f"shop {number} dye {turn}"))
            report = shops.sync(store)
            pushes += report.at_remote

    workers = [threading.Thread(target=works, args=pair) for pair in zip(stores, range(8), strict=True)]
    for one in workers:
        one.start()
    for one in workers:
        one.join(500)
    took = time.perf_counter() - began
    ends.set()
    for one in readers:
        one.join(60)
    for store in (*stores, *stores):
        shops.sync(store)
    wanted += 32
    with live.hub.store("co-op") as store:
        kept = sum(1 for _ in store.blobs("material"))
        heads = {one.head for one in stores} | {store.head}
    told = "while 8 shops sync and 50 readers browse"
    figure(f"errors {told}", len(faults), f"of {len(seen)} pages", str(faults[:3]) if faults else "", "at most 0")
    figure(f"saves lost {told}", wanted - kept, "of 32", f"{pushes} pushes", "at most 0")
    figure(f"heads after {told}", len(heads), "heads", f"{took:.1f} s", "at most 1")
    figure(f"a page {told}, p95", p95(seen), "ms", f"{len(seen) / took:.0f} pages a second")
    shops.close()
    live.stop()


def store_material(shops, store, title):
    with LOCK:
        return shops.material(store, title)


LOCK = threading.Lock()
