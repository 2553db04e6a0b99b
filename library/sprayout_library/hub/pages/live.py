"""Live: what changed in a library is told to the pages that are open, as server-sent events; nothing rests on it.

An open page carries a mark of what it shows. A stream tells of another mark; the page then asks for itself anew, so
what is shown always comes by the one way that checks who may see it. (Server-sent events: WHATWG HTML, section 9.2.)
"""

from __future__ import annotations

import asyncio
import hashlib
import json
import os
import re
from collections import Counter
from collections.abc import AsyncIterator, Callable, Iterator
from contextlib import AbstractContextManager, contextmanager, suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

from sprayout_core.errors import SprayoutError
from sprayout_library.hub.pages.frame import counted
from sprayout_library.store import Store, place_of

if TYPE_CHECKING:
    from starlette.requests import Request
    from starlette.responses import Response
    from starlette.types import ASGIApp, Receive, Scope, Send

    from sprayout_library.hub.pages.routing import Serving

__all__ = ["Live", "News", "live_page", "mark_of", "news_since"]

_HEADERS = {"cache-control": "no-store", "x-content-type-options": "nosniff", "x-accel-buffering": "no"}
_MARK = re.compile(r"([0-9a-f]{40})?-[0-9a-f]{12}", re.ASCII)
_RETRY_MS = 5_000
_SAID = {"formula": ("mix", "mixes"), "batch": ("cup", "cups"), "panel": ("piece", "pieces")}
_FIRST = ("reading", "panel", "judgement", "picture", "batch", "recipe", "formula")
Opens = Callable[[], AbstractContextManager[Store]]


@dataclass(frozen=True, slots=True)
class News:
    """What a page hears: the mark of what there is now, and what is new in a few words."""

    mark: str
    words: str

    @property
    def event(self) -> bytes:
        """The news as one server-sent event."""
        return f"id: {self.mark}\nevent: news\ndata: {json.dumps({'words': self.words})}\n\n".encode()


def mark_of(store: Store) -> str:
    """Return the mark of what there is to see: the state a store reads, and the taps of this machine's spray days."""
    return f"{store.head or ''}-{_taps()}"


def _taps() -> str:
    from sprayout_library.session.spraying import folder

    seen = []
    with suppress(OSError):
        seen = sorted((entry.name, entry.stat().st_size) for entry in os.scandir(folder()))
    return hashlib.sha256(repr(seen).encode()).hexdigest()[:12]


def news_since(store: Store, mark: str) -> News:
    """Return what is new since a mark, whoever made it up."""
    now = mark_of(store)
    before, head = mark.partition("-")[0], now.partition("-")[0]
    if before == head:
        return News(now, "" if mark == now else "the spray day goes on")
    kinds: Counter[str] = Counter()
    if _MARK.fullmatch(mark) and before and head:
        from sprayout_library.store.trees import changed_between

        with suppress(SprayoutError):  # a commit that is not here
            kinds.update(place[0] for path in changed_between(store.git, before, head) if (place := place_of(path)))
    order = [*_FIRST, *sorted(set(kinds) - set(_FIRST))]
    told = [counted(kinds[kind], *_SAID.get(kind, (kind,))) for kind in order if kinds[kind]]
    return News(now, ", ".join(told) or "something changed")


@dataclass(eq=False, slots=True)
class Seat:
    """One open page: whose it is, and a bell that rings when there may be news."""

    whose: str
    bell: asyncio.Event = field(default_factory=asyncio.Event)


@dataclass(eq=False, slots=True)
class _Room:
    """The open pages of one library, and the one watcher they share."""

    folder: Path
    seats: set[Seat] = field(default_factory=set)
    watcher: asyncio.Task[None] | None = None


class Live:
    """The streams of one server; bounded, and ended together.

    most      streams at once; `each` for one visitor
    beat      seconds between heartbeats; at each it is asked anew whether the visitor may still look
    look      seconds between looks at the library's files
    """

    def __init__(self, most: int = 200, each: int = 12, beat: float = 15.0, look: float = 0.5) -> None:
        self._most, self._each, self._beat, self._look = most, each, beat, look
        self._seats: set[Seat] = set()
        self._rooms: dict[Path, _Room] = {}
        self._ended = False

    @property
    def streams(self) -> int:
        """How many pages listen."""
        return len(self._seats)

    def full(self, whose: str) -> bool:
        """Say whether there is no seat for a visitor."""
        taken = sum(seat.whose == whose for seat in self._seats)
        return self._ended or len(self._seats) >= self._most or taken >= self._each

    @contextmanager
    def seat(self, whose: str) -> Iterator[Seat | None]:
        """Take a seat for a visitor, or None where there is none: counted before anything is answered."""
        seat = None if self.full(whose) else Seat(whose)
        if seat:
            self._seats.add(seat)
        try:
            yield seat
        finally:
            self._seats.discard(seat)

    def close(self) -> None:
        """End every stream: the server stops."""
        self._ended = True
        for seat in self._seats:
            seat.bell.set()

    async def listen(self, seat: Seat, opens: Opens, mark: str, still: Callable[[], bool]) -> AsyncIterator[bytes]:
        """Yield what a page hears, until it goes, may not look any more, or the server stops.

        seat   taken for the page
        opens  opens the library
        mark   of what the page shows
        still  says whether its visitor may still look
        """
        from starlette.concurrency import run_in_threadpool

        room = self._enter(seat, *await run_in_threadpool(_found, opens))
        try:
            yield f"retry: {_RETRY_MS}\n\n".encode()
            seat.bell.set()  # what came between drawing the page and listening
            while True:
                with suppress(TimeoutError):
                    await asyncio.wait_for(seat.bell.wait(), self._beat)
                if self._ended or not await run_in_threadpool(still):
                    return
                if not seat.bell.is_set():
                    yield b": still here\n\n"
                    continue
                seat.bell.clear()
                news = await run_in_threadpool(_news, opens, mark)
                if news.mark != mark:
                    mark = news.mark
                    yield news.event
        finally:
            self._leave(room, seat)

    def _enter(self, seat: Seat, folder: Path, stamp: tuple[object, ...]) -> _Room:
        room = self._rooms.setdefault(folder, _Room(folder))
        room.seats.add(seat)
        if room.watcher is None:
            room.watcher = asyncio.get_running_loop().create_task(self._watch(room, stamp))
        return room

    def _leave(self, room: _Room, seat: Seat) -> None:
        room.seats.discard(seat)
        if not room.seats:
            if room.watcher is not None:
                room.watcher.cancel()
            self._rooms.pop(room.folder, None)

    async def _watch(self, room: _Room, seen: tuple[object, ...]) -> None:
        """Look at a library's files now and then, and ring where they changed."""
        while True:
            await asyncio.sleep(self._look)
            now = await asyncio.to_thread(_stamp, room.folder)
            if now != seen:
                seen = now
                for seat in room.seats:
                    seat.bell.set()


def _found(opens: Opens) -> tuple[Path, tuple[object, ...]]:
    """Return a library's folder and its stamp."""
    with opens() as store:
        return store.folder, _stamp(store.folder)


def _news(opens: Opens, mark: str) -> News:
    with opens() as store:
        return news_since(store, mark)


def _stamp(folder: Path) -> tuple[object, ...]:
    """Return what changes with every save, fold and tap, without reading anything."""
    from sprayout_library.store.refs import MAIN

    seen: list[object] = [_taps()]
    for path in (folder / MAIN, folder / "packed-refs"):
        try:
            found = path.stat()
            seen.append((found.st_mtime_ns, found.st_size, found.st_ino))
        except OSError:
            seen.append(None)
    return tuple(seen)


def live_page(serving: Serving) -> Callable[[Request], object]:
    """Return the handler of the streams."""
    from starlette.responses import Response, StreamingResponse

    async def handle(request: Request) -> ASGIApp:
        if request.method == "HEAD":
            return Response(None, 200, _HEADERS, media_type="text/event-stream")
        live, whose = serving.live, serving.csrf_for(request)
        mark = request.headers.get("last-event-id") or request.query_params.get("since", "")

        async def answer(scope: Scope, receive: Receive, send: Send) -> None:
            with live.seat(whose) as seat:
                found: Response
                if seat is None:
                    found = Response("Too many pages listen.\n", 503, {"retry-after": "30"}, media_type="text/plain")
                else:
                    heard = live.listen(
                        seat, lambda: serving.open_store(request), mark[:60], lambda: serving.may_look(request)
                    )  # fmt: skip
                    found = StreamingResponse(heard, 200, _HEADERS, media_type="text/event-stream")
                await found(scope, receive, send)

        return answer

    return handle
