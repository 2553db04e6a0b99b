"""Pages for one person at one machine: on the loopback only, opened by a secret address, every form with its token."""

from __future__ import annotations

import hmac
import secrets
from collections.abc import Awaitable, Callable, MutableMapping
from contextlib import AbstractContextManager
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from sprayout_library.hub.pages.routing import HEADERS, Serving, nowhere, routes
from sprayout_library.machine import shop_facts
from sprayout_library.record import Writer
from sprayout_library.store import Store

if TYPE_CHECKING:
    from starlette.applications import Starlette

__all__ = ["Alone", "application"]

_COOKIE = "sprayout_here"


@dataclass(frozen=True, slots=True)
class Alone:
    """Who may look: whoever opened the address with this run's secret in it.

    key  this run's secret; it stands in the first address, and from then on in a cookie
    """

    open_store: Callable[[], AbstractContextManager[Store]]
    writer: Callable[[Store], Writer]
    key: str = field(default_factory=lambda: secrets.token_urlsafe(24))

    @property
    def csrf(self) -> str:
        """The token of every form: from the key, without telling it."""
        return hmac.new(self.key.encode(), b"forms", "sha256").hexdigest()


def application(alone: Alone, port: int) -> Starlette:
    """Return the pages of one machine as an application for a server on the loopback.

    Requests for any other host's name are refused, so that no page from elsewhere reaches it by a name of its own.
    """
    from starlette.applications import Starlette
    from starlette.exceptions import HTTPException
    from starlette.middleware import Middleware

    serving = Serving(
        lambda _: alone.open_store(), lambda _, store: alone.writer(store), lambda _: alone.csrf,
        shelf_for=lambda _: shop_facts(),
    )  # fmt: skip
    found = Starlette(
        routes=list(routes(serving)), middleware=[Middleware(_Door, alone, port)],
        exception_handlers={HTTPException: nowhere},
    )  # fmt: skip
    found.state.live, found.state.kept = serving.live, serving.known
    return found


_Scope = MutableMapping[str, Any]
_App = Callable[[_Scope, Callable[[], Awaitable[Any]], Callable[[Any], Awaitable[None]]], Awaitable[None]]


class _Door:
    """Lets in who has the cookie, gives it to who comes with the key, and refuses everybody else."""

    def __init__(self, app: _App, alone: Alone, port: int) -> None:
        self.app = app
        self.alone = alone
        self.hosts = {f"127.0.0.1:{port}", f"localhost:{port}"}

    async def __call__(
        self, scope: _Scope, receive: Callable[[], Awaitable[Any]], send: Callable[[Any], Awaitable[None]]
    ) -> None:
        from starlette.requests import Request
        from starlette.responses import RedirectResponse, Response

        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        request = Request(scope)
        response: Response
        if request.headers.get("host", "") not in self.hosts:
            response = Response("These pages are for this machine only.", 421, HEADERS)
        elif self._knows(request.cookies.get(_COOKIE, "")):
            await self.app(scope, receive, send)
            return
        elif request.method == "GET" and self._knows(request.query_params.get("key", "")):
            response = RedirectResponse("/", 303, HEADERS)
            response.set_cookie(_COOKIE, self.alone.key, httponly=True, samesite="strict", path="/")
        else:
            response = Response("Open the address that was told when these pages were begun.", 403, HEADERS)
        await response(scope, receive, send)

    def _knows(self, given: str) -> bool:
        return secrets.compare_digest(given.encode(), self.alone.key.encode())
