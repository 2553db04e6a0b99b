"""The rim of the hub: what holds for every request, whatever it asks for: host, rate, size, headers, the log."""

from __future__ import annotations

import re
import time
from collections.abc import MutableMapping
from typing import TYPE_CHECKING, Any

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from sprayout_core.errors import SprayoutError
from sprayout_library.hub.door import Came
from sprayout_library.hub.errors import TooLargeError
from sprayout_library.hub.rates import Rates

if TYPE_CHECKING:
    from sprayout_library.hub.app import Service

__all__ = ["HEADERS", "Rim", "came_to", "plain_reply", "rim_reply"]

#: On every answer that does not set them itself.
HEADERS = {
    b"content-security-policy": b"default-src 'none'; style-src 'self'; form-action 'self'; base-uri 'none'; "
    b"frame-ancestors 'none'",
    b"x-content-type-options": b"nosniff",
    b"referrer-policy": b"same-origin",
    b"cross-origin-opener-policy": b"same-origin",
    b"cache-control": b"no-store",
}
_STREAM = b"text/event-stream; charset=utf-8"
_HSTS = b"max-age=31536000"
_PATH = re.compile(r"/[A-Za-z0-9._~:@!$&'()*+,;=/ -]{0,1000}", re.ASCII)
_MOST_QUERY = 4_000
_OURS = "a fault of the hub itself"


def rim_reply(status: int, error: SprayoutError, headers: dict[str, str] | None = None) -> Response:
    """Return the answer that tells the faults of an error."""
    faults = [{"place": fault.place, "problem": fault.problem, "remedy": fault.remedy} for fault in error.faults]
    return JSONResponse({"faults": faults}, status, headers)


def came_to(request: Request) -> Came:
    """Return who asks, as the rim found out."""
    came: Came = request.scope["sprayout.came"]
    return came


class Rim:
    """Looks at every request before any route does, and at every answer after."""

    def __init__(self, app: ASGIApp, service: Service) -> None:
        self._app, self._service = app, service
        bounds = service.hub.settings.bounds
        self._rates = Rates(bounds.burst, bounds.requests_per_second)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass a request on, or answer it."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        began, took = time.monotonic(), 0.0
        status = [0]

        async def answered(message: Message) -> None:
            nonlocal took
            if message["type"] == "http.response.start":
                status[0] = message["status"]
                if (b"content-type", _STREAM) in message["headers"]:  # it lasts as long as a page is open
                    took = time.monotonic() - began
                message = {**message, "headers": self._headers(message)}
            await send(message)

        try:
            await self._looked_at(scope, receive, answered)
        except Exception as error:  # the rim: no traceback for a visitor, its kind alone for the log  # noqa: BLE001
            self._service.telling.event(
                "fault-of-ours", kind=type(error).__name__, route=_route(scope), at=_where(error)
            )
            if not status[0]:
                await _told(scope, 500, _OURS)(scope, receive, answered)
        finally:
            came: Came = scope.get("sprayout.came", Came())
            library = scope.get("path_params", {}).get("library", "")
            known = library if re.fullmatch(r"[a-z0-9-]{1,41}", str(library)) else ""
            self._service.telling.request(
                scope["method"], _route(scope), status[0], took or time.monotonic() - began, came.visitor.name, known
            )

    async def _looked_at(self, scope: Scope, receive: Receive, send: Send) -> None:
        refusal = self._refusal(scope)
        if refusal is None:
            refusal = await self._at_the_door(scope)
        if refusal is not None:
            await refusal(scope, receive, send)
            return
        most = self._service.hub.settings.bounds.body_bytes
        length = Request(scope).headers.get("content-length", "")
        streaming = scope["path"].endswith(("/git-receive-pack", "/git-upload-pack"))
        if streaming:
            await self._app(scope, receive, send)
            return
        if length and (not length.isascii() or not length.isdecimal() or len(length) > 12 or int(length) > most):
            await _too_large(most)(scope, receive, send)
            return
        taken = 0

        async def bounded() -> MutableMapping[str, Any]:
            nonlocal taken
            message = await receive()
            taken += len(message.get("body", b""))
            if taken > most:
                raise TooLargeError("this is too large", f"Send up to {most // 1_000_000} MB at a time.")
            return message

        try:
            await self._app(scope, bounded, send)
        except TooLargeError:
            await _too_large(most)(scope, receive, send)

    def _refusal(self, scope: Scope) -> Response | None:
        """Return the answer to a request that no route should see."""
        request = Request(scope)
        host = request.headers.get("host", "")
        name = host.rpartition(":")[0] if re.search(r":\d+$", host) else host
        if name.strip("[]").lower() not in self._service.hub.settings.hosts:
            return _told(scope, 421, "This hub does not go by that name.")
        path = scope["path"]
        raw = scope.get("raw_path") or b""
        odd = (
            "//" in path
            or "/../" in f"{path}/"
            or "/./" in f"{path}/"
            or b"%2f" in raw.lower()
            or b"%5c" in raw.lower()
        )
        if odd or not _PATH.fullmatch(path):
            return plain_reply(404, "Nothing stands there.")
        if len(scope.get("query_string", b"")) > _MOST_QUERY:
            return plain_reply(414, "A question of that length is not read.")
        if scope["method"] not in {"GET", "HEAD", "POST", "PUT"}:
            return plain_reply(405, "Not done here.", {"allow": "GET, HEAD, POST, PUT"})
        return None

    async def _at_the_door(self, scope: Scope) -> Response | None:
        request = Request(scope)
        address = request.client.host if request.client else ""
        headers = {key.lower(): value for key, value in request.headers.items()}
        came = await run_in_threadpool(self._service.door.came, headers, address)
        scope["sprayout.came"] = came
        if came.wrong:
            self._service.telling.event("wrong-token")
            if came.waits:
                return _told(scope, 429, "Too many wrong tokens.", {"retry-after": str(int(came.waits) + 1)})
            return plain_reply(401, "That token stands for nobody.", {"www-authenticate": 'Basic realm="sprayout"'})
        waits = self._rates.take(came.visitor.name or f"address {address}")
        if waits:
            return _told(scope, 429, "Too much at once.", {"retry-after": str(int(waits) + 1)})
        return None

    def _headers(self, message: Message) -> list[tuple[bytes, bytes]]:
        given = list(message.get("headers", []))
        have = {name.lower() for name, _ in given}
        given += [(name, value) for name, value in HEADERS.items() if name not in have]
        if self._service.hub.settings.secure:
            given.append((b"strict-transport-security", _HSTS))
        return given


def _too_large(most: int) -> Response:
    return rim_reply(
        413,
        TooLargeError("this is too large", f"Send up to {most // 1_000_000} MB at a time."),
        {"connection": "close"},
    )


def plain_reply(status: int, words: str, headers: dict[str, str] | None = None, remedy: str = "") -> Response:
    """Return the answer that tells one thing in words."""
    return JSONResponse({"faults": [{"place": "", "problem": words, "remedy": remedy}]}, status, headers)


def _told(scope: Scope, status: int, words: str, headers: dict[str, str] | None = None) -> Response:
    """Return the answer that tells one thing: as a page to a browser that shows one, else as faults."""
    wanted = Request(scope).headers.get("accept", "")
    if "text/html" not in wanted or scope["path"].startswith("/api/"):
        return plain_reply(status, words, headers, "Tell its keeper; what was saved stands." if words == _OURS else "")
    from sprayout_library.hub.front import told_page

    title = words.rstrip(".")
    body = "<p>Tell its keeper. What was saved stands." if words == _OURS else "<p>Wait a moment, then once more."
    page = told_page(title[:1].upper() + title[1:], body if status != 421 else "", status)
    page.headers.update(headers or {})
    return page


def _route(scope: Scope) -> str:
    """Return the pattern of the route that answered: never what the visitor typed."""
    found = str(getattr(scope.get("route"), "path", ""))
    return (str(scope.get("sprayout.mount", "")) + found) or "none"


def _where(error: BaseException) -> str:
    """Return file and line of an error, without its words: those may hold what a visitor sent."""
    trace = error.__traceback__
    while trace is not None and trace.tb_next is not None:
        trace = trace.tb_next
    return f"{trace.tb_frame.f_code.co_filename.rpartition('/')[2]}:{trace.tb_lineno}" if trace else ""
