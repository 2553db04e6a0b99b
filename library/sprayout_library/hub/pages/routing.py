"""The addresses of the pages, and the one place where requests of the web become visits."""

from __future__ import annotations

import secrets
from collections.abc import Callable, Mapping
from contextlib import AbstractContextManager
from dataclasses import dataclass, field, replace
from importlib import import_module
from typing import TYPE_CHECKING

from sprayout_core.errors import Fault, FaultsError, SprayoutError
from sprayout_library.hub.pages.drops import Drops, Upload
from sprayout_library.hub.pages.frame import css_and_js, rendered
from sprayout_library.hub.pages.live import Live, live_page, mark_of
from sprayout_library.hub.pages.visit import Asked, Known, NotAllowed, NotThere, PublicLinks, Reply, Visit
from sprayout_library.record import NotKnown, Writer
from sprayout_library.store import Store

if TYPE_CHECKING:
    from starlette.requests import Request
    from starlette.responses import Response
    from starlette.routing import Route

    from sprayout_library.machine import Facts

__all__ = ["HEADERS", "MOST_BYTES", "Serving", "card_page", "nowhere", "routes", "static"]

#: On every answer: nothing from elsewhere is loaded, framed or told.
HEADERS = {
    "content-security-policy": (
        "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self'; connect-src 'self'; "
        "form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
    ),
    "x-content-type-options": "nosniff",
    "referrer-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "cache-control": "no-store",
}
#: A larger body is refused while it comes in.
MOST_BYTES = 32_000_000
_UNITS, _YEAR = "sprayout_units", 31_536_000

#: Address, module of this room, what it shows, what it does; what does something is shown again where it is refused.
_TABLE = (
    ("/", "today", "today", ""),
    ("/mix", "mixing", "mixes", "write"),
    ("/pour", "pour", "pour", "record"),
    ("/pour/cup/{id}", "cup", "cup", "change"),
    ("/pour/cup/{id}/colour", "corrected", "correct", "added"),
    ("/pour/shelf", "shelf", "shelf", "change"),
    ("/units", "units", "", "choose"),
    ("/begin", "begin", "", "begin"),
    ("/spray", "spray", "spray", ""),
    ("/spray/new", "spray", "new", "start"),
    ("/spray/{session}", "spray", "session", "tap"),
    ("/look", "wall", "wall", "arrange"),
    ("/look/compare", "compare", "compare", ""),
    ("/look/grid", "grid", "grid", ""),
    ("/look/reach", "reaching", "reach", ""),
    ("/look/pictures", "pictures", "pictures", ""),
    ("/picture/{id}", "pictures", "picture", ""),
    ("/look/stock", "stock", "stock", ""),
    ("/look/readings", "taking", "readings", "take"),
    ("/look/card", "card", "card", "take"),
    ("/look/card/seen", "card", "overlay", ""),
    ("/thing/{id}", "thing", "thing", ""),
    ("/thing/{id}/facts", "material", "facts", "record"),
    ("/thing/{id}/label", "labels", "label", ""),
    ("/thing/{id}/label/file", "labels", "printed", ""),
    ("/thing/{id}/bottle", "bottle", "bottle", ""),
    ("/thing/{id}/missed", "missed", "missed", ""),
    ("/thing/{id}/repair", "missed", "repair", ""),
    ("/thing/{id}/coats", "coats", "coats", ""),
    ("/find", "find", "find", ""),
    ("/share", "share", "share", ""),
    ("/share/sync", "syncing", "", "sync"),
    ("/share/packet/{id}", "share", "packet", ""),
    ("/share/card/{id}", "given", "given", "change"),
    ("/share/answers", "answers", "answers", ""),
    ("/share/answers/{id}", "answers", "answer", "choose"),
)

Shows = Callable[[Visit], Reply]


@dataclass(frozen=True, slots=True)
class Serving:
    """How pages are served.

    open_store  opens the library that a request is for; a context manager that closes it
    writer_for  who writes for a request; None where its visitor only reads
    csrf_for    the token that a request's forms must carry, bound to its visitor's sign-in
    base_for    where the pages of that library begin, such as /l/co-op; nothing on one machine
    may_look    whether the visitor of a request that goes on and on may still look
    links_for   the public links of a request's library; None where nobody else can reach these pages
    shelf_for   the facts of the shop whose machine a request is at; None where several shops are served
    """

    open_store: Callable[[Request], AbstractContextManager[Store]]
    writer_for: Callable[[Request, Store], Writer | None]
    csrf_for: Callable[[Request], str]
    base_for: Callable[[Request], str] = lambda _: ""
    may_look: Callable[[Request], bool] = lambda _: True
    links_for: Callable[[Request], PublicLinks | None] = lambda _: None
    shelf_for: Callable[[Request], Facts | None] = lambda _: None
    known: Known = field(default_factory=Known)
    drops: Drops = field(default_factory=Drops)
    live: Live = field(default_factory=Live)


def routes(serving: Serving) -> list[Route]:
    """Return the pages as routes of starlette, to stand alone or be mounted by the hub."""
    from starlette.routing import Route

    found = [Route("/static/{name}", static, methods=["GET"], name="static")]
    found.append(Route("/live", live_page(serving), methods=["GET"], name="live"))
    for path, module, shows, does in _TABLE:
        handler = _handler(serving, path, module, shows, does)
        found.append(Route(path, handler, methods=_methods(shows, does), name=f"{module}-{shows or does}"))
    return found


def _methods(shows: str, does: str) -> list[str]:
    return [*(["GET"] if shows else []), *(["POST"] if does else [])]


async def static(request: Request) -> Response:
    """Give a style, a script or a picture of the pages."""
    from starlette.responses import Response

    held = css_and_js(request.path_params["name"])
    if held is None:
        return Response(b"", 404, HEADERS)
    return Response(held[0], 200, {**HEADERS, "cache-control": "max-age=300"}, media_type=held[1])


def _handler(serving: Serving, path: str, module: str, shows: str, does: str) -> Callable[[Request], object]:
    from starlette.concurrency import run_in_threadpool

    async def handle(request: Request) -> Response:
        try:
            asked = await _asked(request)
        except SprayoutError as error:
            return _response(Reply("fault.html", {"faults": error.faults, "missing": False}, 413), None, path)
        function = does if request.method == "POST" else shows
        return await run_in_threadpool(_answered, serving, request, asked, (path, module, shows, function))

    return handle


def _answered(serving: Serving, request: Request, asked: Asked, place: tuple[str, str, str, str]) -> Response:
    path, module, shows, function = place
    page = import_module(f"sprayout_library.hub.pages.{module}")
    try:
        with serving.open_store(request) as store:
            visit = Visit(
                asked, store, serving.known.of(store), serving.base_for(request), serving.csrf_for(request),
                lambda one: serving.writer_for(request, one), serving.known, serving.drops,
                links=serving.links_for(request), shelf=serving.shelf_for(request),
                mark="" if request.method == "POST" else mark_of(store),
            )  # fmt: skip
            if function != shows and not _token_fits(next(iter(asked.form.get("csrf", ())), ""), visit.csrf):
                refused = NotAllowed("this form is not from here, or too old", "Load its page anew.")
                return _response(_fault(refused), visit, path)
            key = visit.key(f"{module}.{function}") if function == shows else None
            reply = serving.known.views.reply(key) if key else None
            if reply is not None:
                return _response(reply, visit, path)
            reply = _tried(page, visit, shows, function)
            response = _response(reply, visit, path)
            if key and reply.settled and reply.status == 200:
                serving.known.views.keep(key, reply, len(response.body))
            return response
    except SprayoutError as error:
        return _response(_fault(error), None, path)


def card_page(known: Known, opens: AbstractContextManager[Store], recipe: str) -> Response:
    """Return the card of a recipe for somebody who has its public link. Raises SprayoutError where it is gone."""
    from sprayout_library.hub.pages.given import public_card

    with opens as store:
        visit = Visit(Asked(), store, known.of(store), known=known)
        return _response(public_card(visit, recipe), visit, "/card")


async def nowhere(request: Request, error: Exception) -> Response:
    """Answer what no page of this machine answers, as a page with its doors."""
    from starlette.exceptions import HTTPException

    assert isinstance(error, HTTPException)
    fault = Fault("", "there is no such page", "Take one of the doors, or search.")
    reply = Reply("fault.html", {"faults": [fault], "missing": True}, error.status_code)
    answer = _response(reply, None, "")
    answer.headers.update(error.headers or {})
    return answer


def _tried(page: object, visit: Visit, shows: str, function: str) -> Reply:
    """Return what a page answers; where it refuses to do something, the page again, with what was the matter."""
    if not shows:
        return getattr(page, function)(visit)  # type: ignore[no-any-return]
    show: Shows = getattr(page, shows)
    try:
        done: Reply = getattr(page, function)(visit)
    except SprayoutError as error:
        refused = _fault(error)
        if function == shows or refused.status in (403, 404):
            return refused
        try:
            again = show(visit)
        except SprayoutError:
            return refused
        if again.to:
            return refused
        return replace(again, shown={**again.shown, "faults": error.faults}, status=refused.status)
    return done


def _fault(error: SprayoutError) -> Reply:
    status = 422
    if isinstance(error, NotThere | NotKnown):
        status = 404
    elif isinstance(error, NotAllowed):
        status = 403
    return Reply("fault.html", {"faults": error.faults, "missing": status == 404}, status)


def _token_fits(given: str, held: str) -> bool:
    return bool(held) and secrets.compare_digest(given.encode(), held.encode())


def _response(reply: Reply, visit: Visit | None, path: str) -> Response:
    from starlette.responses import RedirectResponse
    from starlette.responses import Response as Plain

    if reply.to:
        away = RedirectResponse(reply.to, reply.status, HEADERS)
        if reply.units:
            away.set_cookie(_UNITS, reply.units, max_age=_YEAR, httponly=True, samesite="strict", path="/")
        return away
    if not reply.template:
        saved = {"content-disposition": f'attachment; filename="{reply.save_as}"'} if reply.save_as else {}
        kept = {"cache-control": f"private, max-age={reply.keeps}"} if reply.keeps else {}
        return Plain(reply.content, reply.status, {**HEADERS, **saved, **kept}, media_type=reply.media)
    return Plain(rendered(reply, visit, path), reply.status, HEADERS, media_type=reply.media)


async def _asked(request: Request) -> Asked:
    parts = {name: str(value) for name, value in request.path_params.items()}
    query = _lists([(name, value) for name, value in request.query_params.multi_items()])
    units = "us" if request.cookies.get(_UNITS) == "us" else ""
    here = request.url.path + (f"?{request.url.query}" if request.url.query else "")
    if request.method != "POST":
        return Asked(parts, query, units=units, here=here)
    form, files = await _form(request)
    return Asked(parts, query, form, files, units)


def _lists(pairs: list[tuple[str, str]]) -> Mapping[str, list[str]]:
    found: dict[str, list[str]] = {}
    for name, value in pairs:
        found.setdefault(name, []).append(value)
    return found


async def _form(request: Request) -> tuple[Mapping[str, list[str]], Mapping[str, Upload]]:
    """Return the fields and the files of a form. Raises SprayoutError for one that is too large or broken."""
    from starlette.datastructures import UploadFile
    from starlette.exceptions import HTTPException
    from starlette.requests import Request as Limited

    taken = 0

    async def receive() -> object:
        nonlocal taken
        message = await request.receive()
        taken += len(message.get("body", b""))
        if taken > MOST_BYTES:
            raise SprayoutError("this is too large", f"Send up to {MOST_BYTES // 1_000_000} MB at a time.")
        return message

    fields: list[tuple[str, str]] = []
    uploads = {}
    try:
        limited = Limited(request.scope, receive)  # type: ignore[arg-type]
        async with limited.form(max_files=4, max_fields=500, max_part_size=1_000_000) as form:
            for name, value in form.multi_items():
                if isinstance(value, UploadFile):
                    if value.filename:
                        uploads[name] = Upload(value.filename[:200], await value.read())
                else:
                    fields.append((name, value))
    except HTTPException as error:
        raise FaultsError([Fault("", "this form cannot be understood", str(error.detail)[:200])]) from None
    return _lists(fields), uploads
