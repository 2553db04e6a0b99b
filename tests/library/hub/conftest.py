"""Gives tests a live hub on a free port of this machine, and shops that share through it."""

import http.client
import io
import json
import threading
from datetime import UTC, datetime
from urllib.parse import urlencode

import pytest
import uvicorn
from tests.library.shops import Bench

from sprayout_library.hub import Bounds, Hub, Settings
from sprayout_library.hub.app import build
from sprayout_library.hub.serving import server
from sprayout_library.hub.telling import Telling
from sprayout_library.machine import tokens


class Answer:
    def __init__(self, got):
        self.status, self.headers, self.body = got.status, got.headers, got.read()

    @property
    def json(self):
        return json.loads(self.body)


class Live:
    """A hub that serves, with one library `co-op` and one person of every role."""

    def __init__(self, folder, **bounds):
        self.hub = Hub.create(
            folder / "hub", Settings(bounds=Bounds(**{"requests_per_second": 1e6, "burst": 10**6, **bounds}))
        )
        self.library = self.hub.add_library("co-op", datetime.now(UTC))
        self.log = io.StringIO()
        self.tokens = {}
        for name, role in (("rae", "reader"), ("cal", "contributor"), ("kit", "keeper")):
            self.person(name, role)
        self.app = build(self.hub, Telling(self.log))
        config = uvicorn.Config(
            self.app, host="127.0.0.1", port=0, log_config=None, ws="none", loop="asyncio", http="h11",
            timeout_graceful_shutdown=5,
        )  # fmt: skip
        self.server = server(config)
        self.thread = threading.Thread(target=self.server.run, daemon=True)
        self.thread.start()
        while not self.server.started and self.thread.is_alive():
            self.thread.join(0.01)
        self.port = self.server.servers[0].sockets[0].getsockname()[1]

    @property
    def address(self):
        return f"http://127.0.0.1:{self.port}/co-op"

    def person(self, name, role, library="*", shop=""):
        self.hub.accounts.add(name, role, library, shop)
        self.tokens[name] = self.hub.accounts.issue(name)[1]
        return self.tokens[name]

    def ask(self, method, path, who=None, body=None, cookie=None, **headers):
        headers = {name.replace("_", "-"): value for name, value in headers.items()}
        if who:
            headers["authorization"] = f"Bearer {self.tokens.get(who, who)}"
        if cookie:
            headers["cookie"] = cookie
        if isinstance(body, dict):
            body = urlencode(body)
            headers.setdefault("content-type", "application/x-www-form-urlencoded")
        line = http.client.HTTPConnection("127.0.0.1", self.port, timeout=120)
        try:
            line.request(method, path, body, headers)
            return Answer(line.getresponse())
        finally:
            line.close()

    def signed_in(self, who):
        """Sign in as a browser does; returns the cookie."""
        form = self.ask("GET", "/sign-in")
        word = form.headers["set-cookie"].partition("=")[2].partition(";")[0]
        said = {"form": word, "token": self.tokens[who], "next": "/"}
        done = self.ask("POST", "/sign-in", body=said, cookie=f"sprayout-form={word}")
        assert done.status == 303, done.body
        return done.headers["set-cookie"].partition(";")[0]

    def stop(self):
        self.server.should_exit = True
        self.thread.join(60)
        assert not self.thread.is_alive()


class Shops(Bench):
    """Shops of one machine whose remote is the live hub; `as_` says with whose token they send."""

    def __init__(self, folder, monkeypatch, live):
        super().__init__(folder, monkeypatch)
        self.live = live

    def at_hub(self, name, who):
        from sprayout_library.sync import join_remote

        store = self.shop(name)
        self.as_(who)
        return store, join_remote(store, "hub", self.live.address, self.now)

    def as_(self, who):
        tokens().put(self.live.address, self.live.tokens[who])


@pytest.fixture(scope="module")
def shared(tmp_path_factory):
    """One hub for tests that leave it as it was."""
    with pytest.MonkeyPatch.context() as patched:
        folder = tmp_path_factory.mktemp("hub")
        patched.setenv("SPRAYOUT_HOME", str(folder / "home"))
        live = Live(folder, guesses=10_000)
        yield live
        live.stop()


@pytest.fixture
def fresh(tmp_path, monkeypatch):
    """A hub of this test's own."""
    monkeypatch.setenv("SPRAYOUT_HOME", str(tmp_path / "home"))
    made = []

    def make(**bounds):
        made.append(Live(tmp_path, **bounds))
        return made[-1]

    yield make
    for live in made:
        live.stop()


@pytest.fixture
def shops(tmp_path, monkeypatch, fresh):
    bench = Shops(tmp_path, monkeypatch, fresh())
    yield bench
    bench.close()
