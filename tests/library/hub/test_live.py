"""Streams of news over a real socket: what is told, to whom, how many at once, and that they end."""

import http.client
import json
import time
from collections import Counter
from concurrent.futures import ThreadPoolExecutor

import pytest


class Stream:
    def __init__(self, live, who=None, cookie=None, since="", path="/l/co-op/live"):
        headers = {"authorization": f"Bearer {live.tokens[who]}"} if who else {"cookie": cookie}
        self.line = http.client.HTTPConnection("127.0.0.1", live.port, timeout=60)
        self.line.request("GET", f"{path}?since={since}", headers=headers)
        self.answer = self.line.getresponse()
        self.status = self.answer.status

    def next(self):
        """The next message as its members; None where the stream ended."""
        found = {}
        while line := self.answer.readline().decode():
            if line == "\n":
                return found
            name, _, value = line.rstrip("\n").partition(": ")
            found[name] = value
        return None

    def news(self):
        while (found := self.next()) is not None and found.get("event") != "news":
            pass
        return found

    def close(self):
        self.line.close()


@pytest.fixture
def streams():
    made = []

    def listen(*words, **more):
        made.append(Stream(*words, **more))
        return made[-1]

    yield listen
    for one in made:
        one.close()


def mark(live, who="rae"):
    page = live.ask("GET", "/l/co-op/", who).body.decode()
    return page.partition('data-mark="')[2].partition('"')[0]


def material(live, name):
    from sprayout_library.record import Writer

    with live.hub.store("co-op") as store:
        writer = Writer(store, "cal")
        writer.save([writer.new("material", {"title": name, "role": "dye"})], "x")


def test_news_are_told_to_who_listens_and_to_who_came_late(fresh, streams):
    live = fresh(beat_seconds=0.2)
    first = mark(live)
    heard = streams(live, "rae", since=first)
    assert heard.status == 200 and heard.answer.headers["content-type"].startswith("text/event-stream")
    assert heard.next() == {"retry": "5000"}
    assert heard.next() == {"": "still here"}
    material(live, "weak teal")
    told = heard.news()
    assert json.loads(told["data"]) == {"words": "something changed"}  # from nothing at all to a first save
    second = told["id"]
    assert second == mark(live) != first
    material(live, "strong teal")
    assert json.loads(heard.news()["data"]) == {"words": "1 material"}
    late = streams(live, "rae", since=second)
    assert json.loads(late.news()["data"]) == {"words": "1 material"}


@pytest.mark.parametrize("since", ["", "x", "-", "%0d%0aevent:%20x", "0" * 40 + "-" + "0" * 12, "f" * 500])
def test_any_mark_at_all_is_answered_with_the_mark_of_now(shared, streams, since):
    now = mark(shared)
    told = streams(shared, "rae", since=since).news()
    assert told["id"] == now and set(told) == {"id", "event", "data"}


def test_who_may_not_look_hears_nothing(shared, streams):
    shared.hub.accounts.add("una", "reader", "elsewhere")
    shared.tokens["una"] = shared.hub.accounts.issue("una")[1]
    assert streams(shared, "una").status == 404
    assert streams(shared, cookie="sprayout=" + "0" * 64).status == 303


def test_a_stream_ends_when_its_token_is_withdrawn(fresh, streams):
    live = fresh(beat_seconds=0.1)
    cookie = live.signed_in("rae")
    heard = streams(live, cookie=cookie, since=mark(live))
    assert heard.next() and heard.next()
    live.hub.accounts.withdraw("rae")
    while heard.next() is not None:
        pass
    material(live, "weak teal")
    assert heard.next() is None


def test_streams_are_few_for_one_and_bounded_for_all(fresh, streams):
    live = fresh(streams=4, streams_each=2)
    cookies = [live.signed_in(who) for who in ("rae", "cal", "kit")]
    seats = [streams(live, cookie=cookies[place]) for place in (0, 0, 0, 1, 1, 2)]
    assert [one.status for one in seats] == [200, 200, 503, 200, 200, 503]
    assert int(seats[2].answer.headers["retry-after"]) > 0
    seats[0].close()
    seats[0].answer.close()
    ends = time.monotonic() + 60
    while live.app.state.live.streams > 3 and time.monotonic() < ends:
        live.ask("GET", "/health")
    assert live.app.state.live.streams == 3
    assert streams(live, cookie=cookies[0]).status == 200


def test_streams_asked_for_at_the_same_moment_are_no_more_than_allowed(fresh, streams):
    live = fresh(streams_each=3)
    cookie = live.signed_in("rae")
    with ThreadPoolExecutor(12) as many:
        seats = list(many.map(lambda _: streams(live, cookie=cookie), range(12)))
    assert Counter(one.status for one in seats) == {200: 3, 503: 9}


def test_the_server_stops_although_pages_listen(fresh, streams):
    live = fresh()
    live.server.config.timeout_graceful_shutdown = 600
    heard = [streams(live, "rae", since=mark(live)) for _ in range(3)]
    for one in heard:
        one.next()
    live.stop()  # waits less long for the server than the server waits for visitors that do not go
    assert all(one.news() is None for one in heard)
    assert live.app.state.live.streams == 0
    assert live.app.state.live.full("anybody")


def test_a_push_is_told_with_its_kinds(shops, streams):
    live = shops.live
    store, _ = shops.at_hub("kelp", "cal")
    shops.save(store, shops.material(store, "Weak teal"))
    shops.sync(store)
    heard = streams(live, "rae", since=mark(live))
    shops.save(store, shops.material(store, "Strong teal"), shops.material(store, "Moss dye"))
    shops.sync(store)
    told = heard.news()
    assert json.loads(told["data"]) == {"words": "2 materials"}
    assert told["id"].startswith(f"{store.head}-")
