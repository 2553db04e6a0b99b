"""The API, version 1: libraries, documents, history, comparison, packets, sources; JSON, described by OpenAPI."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import TYPE_CHECKING, TypeVar

import msgspec
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import BaseRoute, Route

from sprayout_core.errors import SprayoutError
from sprayout_library.hub.accounts import Visitor
from sprayout_library.hub.errors import HubError, NoSuchError, NotAllowedError
from sprayout_library.hub.rim import came_to, rim_reply
from sprayout_library.hub.wire import (
    ChangeShown,
    Compared,
    Libraries,
    LibraryShown,
    Listed,
    Page,
    Taken,
    VersionShown,
)

if TYPE_CHECKING:
    from sprayout_library.hub.app import Service
    from sprayout_library.packet import Packet
    from sprayout_library.record import Entry, Names
    from sprayout_library.store import Store

__all__ = ["Call", "routes"]

_MOST_LISTED = 500
_LONGEST = 300
_BYTES = "application/octet-stream"
Made = TypeVar("Made")
_PACKET = "application/vnd.sprayout.packet+json"


@dataclass(frozen=True, slots=True)
class Call:
    """One call: who asks, of which library, the names in its address, its questions, its body."""

    service: Service
    visitor: Visitor
    parts: dict[str, str]
    query: dict[str, str]
    body: bytes = b""

    @property
    def library(self) -> str:
        """The library asked for."""
        return self.parts["library"]

    @contextmanager
    def store(self, role: str) -> Iterator[Store]:
        """Open the library for somebody who has at least this role. Raises NoSuchError, NotAllowedError."""
        if not self.visitor.may(self.library, "reader"):
            raise NoSuchError("there is no such library here", "Ask a keeper of this hub.")
        if not self.visitor.may(self.library, role):
            raise NotAllowedError("you may look here, not change", "Ask a keeper of this hub.")
        with self.service.hub.store(self.library) as store:
            yield store

    def names(self, store: Store) -> Names:
        """Return what everything but readings is called; worked out once for each state of the library."""
        return self.service.known.of(store).names

    def once(self, store: Store, asked: tuple[str, ...], make: Callable[[], Made]) -> Made:
        """Return what is told to everybody who asks this in this state of the library, worked out once."""
        return self.service.known.views.once((self.service.known.of(store).state, "api", asked), make)

    def asked(self, name: str, default: str = "") -> str:
        """Return one question, bounded and printable. Raises HubError."""
        text = self.query.get(name, default)
        if len(text) > _LONGEST or (text and not text.isprintable()):
            raise HubError("is too long, or not printable", f"Up to {_LONGEST} letters.", place=name)
        return text


Answers = Callable[[Call], Response]


def _json(value: msgspec.Struct | list[VersionShown], headers: dict[str, str] | None = None) -> Response:
    return Response(msgspec.json.encode(value), 200, headers, media_type="application/json")


def libraries(call: Call) -> Response:
    """Tell which libraries a visitor may see."""
    found = []
    for name in call.service.hub.libraries():
        if call.visitor.may(name, "reader"):
            with call.service.hub.store(name) as store:
                found.append(LibraryShown(name, call.visitor.role(name), store.head or ""))
    return _json(Libraries(call.service.hub.settings.name, found))


def documents(call: Call) -> Response:
    """List documents by kind and name, some at a time."""
    from sprayout_library.store.layout import KINDS

    kind, words, after, limit = (
        call.asked("kind"),
        call.asked("words").casefold(),
        call.asked("after"),
        call.asked("limit"),
    )
    if kind and kind not in KINDS:
        raise HubError(f"{kind[:40]!r} is no kind", f"One of: {', '.join(KINDS)}.", place="kind")
    if limit and not (limit.isascii() and limit.isdecimal() and len(limit) < 4 and 0 < int(limit) <= _MOST_LISTED):
        raise HubError("is no such number", f"1 to {_MOST_LISTED}.", place="limit")
    with call.store("reader") as store:
        found = _entries(call, store, kind)
        if words:
            found = [one for one in found if words in one.name.casefold()]
        begin = next((place + 1 for place, one in enumerate(found) if one.id == after), None) if after else 0
        if begin is None:
            raise HubError("is no document of this list", "Begin again without it.", place="after")
        part = found[begin : begin + int(limit or 100)]
        listed = [Listed(one.id, one.kind, one.name, one.label, one.withdrawn, list(one.asked)) for one in part]
        more = part[-1].id if part and begin + len(part) < len(found) else ""
        return _json(Page(store.head or "", listed, len(found), more))


def _entries(call: Call, store: Store, kind: str) -> list[Entry]:
    """Return what may be listed: everything but readings, or the readings, which go by the name of their panel."""
    from sprayout_library.index import asking
    from sprayout_library.index.rows import text_of
    from sprayout_library.record import Entry

    names = call.names(store)
    if kind != "reading":
        return list(names.of_kind(*([kind] if kind else [])))
    query = "SELECT id, panel FROM sees WHERE kind = 'reading'"
    rows = asking(store, lambda index: sorted((text_of(raw), text_of(panel)) for raw, panel in index.rows(query)))
    return [
        Entry(name, "reading", names.label(panel), "", role="", aliases=(), withdrawn=False, asked=())
        for name, panel in rows
    ]


def document(call: Call) -> Response:
    """Give one document in its stored form; at an earlier version where one is named."""
    with call.store("reader") as store:
        version = call.asked("version")
        if version:
            from sprayout_core.documents import write

            content: bytes | None = write(store.at(version, call.parts["id"]))
        else:
            content = store.content(call.parts["id"])
    if content is None:
        raise NoSuchError("there is no such document", "See the list.")
    return Response(content, media_type="application/json")


def history(call: Call) -> Response:
    """Tell the versions of a document, newest first."""
    with call.store("reader") as store:
        if store.content(call.parts["id"]) is None:
            raise NoSuchError("there is no such document", "See the list.")
        return _json(call.once(store, ("history", call.parts["id"]), lambda: _versions(call, store)))


def _versions(call: Call, store: Store) -> list[VersionShown]:
    from sprayout_library.record.versions import told_versions

    return [_version(one) for one in reversed(told_versions(store, call.parts["id"], call.names(store).label))]


def _version(one: object) -> VersionShown:
    from sprayout_library.record.versions import ToldVersion

    assert isinstance(one, ToldVersion)
    changes = [ChangeShown(line.layer.value, line.text) for line in one.lines]
    return VersionShown(one.number, one.at, one.by, one.message, changes, one.commit)


def compare(call: Call) -> Response:
    """Compare two versions or two things, named as people name them."""
    one, other, light = call.asked("one"), call.asked("other"), call.asked("light")
    if not one:
        raise HubError("what is compared?", "Name it: a title, a label, or the end of an id.", place="one")
    if light.lower().endswith(".csv"):
        raise HubError("a light of a file is not known here", "Name one of the hub's own.", place="light")
    with call.store("reader") as store:
        return _json(
            call.once(store, ("compare", one, other, light), lambda: _compared(call, store, one, other, light))
        )


def _compared(call: Call, store: Store, one: str, other: str, light: str) -> Compared:
    from sprayout_library.hub.pages.compare import seen_through
    from sprayout_library.hub.pages.visit import Asked, Visit
    from sprayout_library.record.lineage import tell_between
    from sprayout_library.record.sides import colour_between, sides_of

    visit = Visit(Asked(), store, call.service.known.of(store), known=call.service.known)
    visit.seen.manifest(store)
    before, after = sides_of(store, visit.names, one, other or None)
    if before.document.kind != after.document.kind:
        raise HubError(f"a {before.document.kind} is not compared with a {after.document.kind}", "Name two of a kind.")
    told = tell_between(before.document, after.document, visit.names.label)
    panels = [name for side in (before, after) for name in seen_through(side.document, visit)]
    colours = colour_between(store, before, after, [light] if light else [], evidence=visit.evidence(panels))
    lines = [ChangeShown(line.layer.value, line.text) for line in told]
    return Compared(before.name, after.name, lines, list(colours.lines), colours.numbers, list(colours.cautions))


def packet(call: Call) -> Response:
    """Give a packet about one document, with all it needs; its sources too where asked for."""
    from sprayout_library.packet import packet_bytes

    with call.store("reader") as store:
        found = _gathered(call, store)
    return Response(
        packet_bytes(found),
        headers={"content-disposition": 'attachment; filename="sprayout.packet"'},
        media_type=_PACKET,
    )


def _gathered(call: Call, store: Store) -> Packet:
    from sprayout_library.packet import gathered
    from sprayout_library.record import now_text
    from sprayout_library.record.writer import tool_name
    from sprayout_library.sources import Sources, digests_named

    about = store.get(call.parts["id"])
    if about is None:
        raise NoSuchError("there is no such document", "See the list.")
    label = call.names(store).label
    sent = {
        "from": call.service.hub.settings.name,
        "by": call.visitor.name,
        "at": now_text(datetime.now(UTC)),
        "tool": tool_name(),
    }
    found = gathered(store, [about], sent, label, {})
    if call.asked("sources") == "yes":
        kept = Sources(store.folder)
        held = {
            digest: kept.content(digest)
            for digest in sorted(digests_named(found.documents.values()))
            if kept.has(digest)
        }
        found = gathered(
            store, [about], sent, label, {name: content for name, content in held.items() if content is not None}
        )
    return found


def take_packet(call: Call) -> Response:
    """Take a packet in. Twice is nothing, and what is older than ours is nothing."""
    from sprayout_library.packet import look, packet_from, take

    with call.store("contributor") as store:
        found = packet_from(call.body, "the packet")
        looked = look(store, found, call.names(store).label)
        written = take(store, looked, call.visitor.name, datetime.now(UTC))
        return _json(Taken([one.id for one in looked.changing], written.commit if written else ""))


def source(call: Call) -> Response:
    """Give a source by its digest."""
    from sprayout_library.sources import Sources

    with call.store("reader") as store:
        content = Sources(store.folder).content(f"sha256:{call.parts['digest']}")
    if content is None:
        raise NoSuchError("this source is not kept here", "Ask the shop that has it.")
    return Response(content, headers={"content-disposition": "attachment"}, media_type=_BYTES)


def keep_source(call: Call) -> Response:
    """Keep a source under its digest; refused where it is not what the digest says."""
    from sprayout_library.sources import Sources

    with call.store("contributor") as store:
        Sources(store.folder).keep(call.body, f"sha256:{call.parts['digest']}")
    return Response(status_code=204)


#: Method, address behind /api/v1, what answers.
TABLE: tuple[tuple[str, str, Answers], ...] = (
    ("GET", "/libraries", libraries),
    ("GET", "/libraries/{library}/documents", documents),
    ("GET", "/libraries/{library}/documents/{id}", document),
    ("GET", "/libraries/{library}/documents/{id}/history", history),
    ("GET", "/libraries/{library}/documents/{id}/packet", packet),
    ("GET", "/libraries/{library}/compare", compare),
    ("POST", "/libraries/{library}/packets", take_packet),
    ("GET", "/libraries/{library}/sources/{digest}", source),
    ("PUT", "/libraries/{library}/sources/{digest}", keep_source),
)


def routes(service: Service) -> list[BaseRoute]:
    """Return the routes of the API."""
    from sprayout_library.hub.openapi import described

    content = msgspec.json.encode(described())

    async def about(request: Request) -> Response:
        return Response(content, media_type="application/json")

    found: list[BaseRoute] = [Route("/api/v1/openapi.json", about, methods=["GET"])]
    return [
        *found,
        *(Route(f"/api/v1{path}", _handler(service, answers), methods=[method]) for method, path, answers in TABLE),
    ]


def _handler(service: Service, answers: Answers) -> Callable[[Request], object]:
    async def handle(request: Request) -> Response:
        came = came_to(request)
        if not came.visitor.name:
            return rim_reply(
                401, HubError("a token is needed", "A keeper gives you one."), {"www-authenticate": "Bearer"}
            )
        writing = request.method not in {"GET", "HEAD"}
        if writing and came.how != "token":
            return rim_reply(403, NotAllowedError("changes come with a token here", "Use the pages, or a token."))
        parts = {name: str(value) for name, value in request.path_params.items()}
        body = await request.body() if writing else b""
        call = Call(service, came.visitor, parts, dict(request.query_params), body)
        return await run_in_threadpool(_answered, answers, call)

    return handle


def _answered(answers: Answers, call: Call) -> Response:
    from sprayout_library.record import NotKnown
    from sprayout_library.store import BusyError, DamagedError, FullDiskError, GitError, ReadOnlyError, StaleError

    try:
        return answers(call)
    except (NoSuchError, NotKnown) as error:
        return rim_reply(404, error)
    except NotAllowedError as error:
        return rim_reply(403, error)
    except StaleError as error:
        return rim_reply(409, error)
    except (BusyError, FullDiskError, ReadOnlyError) as error:
        return rim_reply(503, error, {"retry-after": "10"})
    except (DamagedError, GitError):
        call.service.telling.event("damaged", library=call.library)
        return rim_reply(500, HubError("the library cannot be read", "Tell the keeper of this hub."))
    except SprayoutError as error:
        return rim_reply(422, error)
