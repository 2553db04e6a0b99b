"""The addresses git uses: three for each library, and no others."""

from __future__ import annotations

from typing import TYPE_CHECKING

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import BaseRoute, Route

from sprayout_library.hub.errors import BusyHubError, NoSuchError, TooLargeError
from sprayout_library.hub.git_bridge import SERVICES, ClientGone, Transfer
from sprayout_library.hub.rim import came_to, rim_reply

if TYPE_CHECKING:
    from starlette.types import Receive, Scope, Send

    from sprayout_library.hub.app import Service

__all__ = ["routes"]

_MEDIA = {"git-upload-pack": "application/x-git-upload-pack-request"} | {
    "git-receive-pack": "application/x-git-receive-pack-request"
}


def routes(service: Service) -> list[BaseRoute]:
    """Return git's routes, and the one that leads a person who opened such an address to the pages."""
    passing = _Passing(service)
    return [
        Route("/{library}/info/refs", passing, methods=["GET"]),
        Route("/{library}/{service:str}", passing, methods=["POST"]),
        Route("/{library}", _to_pages, methods=["GET"]),
    ]


async def _to_pages(request: Request) -> Response:
    library = request.path_params["library"]
    if not library.replace("-", "").isalnum() or not library.isascii():
        raise HTTPException(404)
    return RedirectResponse(f"/l/{library}/", 303)


class _Passing:
    """Passes a request of git's on, once its visitor may do that."""

    def __init__(self, service: Service) -> None:
        self._service = service

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        request = Request(scope, receive)
        asked, refusal = await run_in_threadpool(self._asked, request)
        if refusal is not None or asked is None:
            await (refusal or Response(status_code=404))(scope, receive, send)
            return

        async def landed() -> None:
            await self._service.folding(asked.library)

        try:
            await self._service.bridge.pass_on(asked, receive, send, landed)
        except BusyHubError as error:
            await rim_reply(503, error, {"retry-after": "10"})(scope, receive, send)
        except TooLargeError as error:
            self._service.telling.event("too-large", library=asked.library, by=asked.visitor.name)
            await rim_reply(413, error, {"connection": "close"})(scope, receive, send)
        except ClientGone:
            self._service.telling.event("client-gone", library=asked.library, by=asked.visitor.name)

    def _asked(self, request: Request) -> tuple[Transfer | None, Response | None]:
        """Return what is asked for, or the answer that refuses it."""
        library = request.path_params["library"]
        name = request.path_params.get("service") or request.query_params.get("service", "")
        if name not in SERVICES:
            return None, Response("Only git's smart protocol is spoken here.\n", 404, media_type="text/plain")
        came = came_to(request)
        if not came.visitor.name:
            return None, Response(
                "A token is needed.\n", 401, {"www-authenticate": 'Basic realm="sprayout"'}, media_type="text/plain"
            )
        if came.how != "token":
            return None, Response("Git comes with a token.\n", 403, media_type="text/plain")
        visitor = came.visitor
        try:
            self._service.hub.library(library)
        except NoSuchError:
            return None, Response("No such library.\n", 404, media_type="text/plain")
        if not visitor.may(library, "reader"):
            return None, Response("No such library.\n", 404, media_type="text/plain")
        path = "info/refs" if request.method == "GET" else name
        headers = {key.lower(): value for key, value in request.headers.items()}
        if request.method == "POST" and headers.get("content-type") != _MEDIA[name]:
            return None, Response("Not what git sends.\n", 415, media_type="text/plain")
        copy = self._copy(library) if name == "git-receive-pack" else ""
        return Transfer(library, path, name, request.method, headers, visitor, copy), None

    def _copy(self, library: str) -> str:
        with self._service.hub.store(library) as store:
            return store.copy_id
