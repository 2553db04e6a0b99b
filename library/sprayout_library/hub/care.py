"""Whether the hub is well, and its counts."""

from __future__ import annotations

from typing import TYPE_CHECKING

from starlette.requests import Request
from starlette.responses import JSONResponse, PlainTextResponse, Response
from starlette.routing import BaseRoute, Route

from sprayout_library.hub.accounts import EVERYWHERE
from sprayout_library.hub.rim import came_to

if TYPE_CHECKING:
    from sprayout_library.hub.app import Service

__all__ = ["routes"]

_LEAST_ROOM = 100_000_000


def routes(service: Service) -> list[BaseRoute]:
    """Return the routes of care: /health for anybody, /metrics for keepers of the whole hub."""

    async def health(request: Request) -> Response:
        room = _room(service)
        return JSONResponse({"status": "ok" if room else "no room on the disk"}, 200 if room else 503)

    async def metrics(request: Request) -> Response:
        visitor = came_to(request).visitor
        if not visitor.name:
            return PlainTextResponse("A keeper's token is needed.\n", 401, {"www-authenticate": "Bearer"})
        if not visitor.may(EVERYWHERE, "keeper"):
            return PlainTextResponse("For keepers.\n", 403)
        return PlainTextResponse(
            service.telling.metrics(service.bridge.running), media_type="text/plain; version=0.0.4; charset=utf-8"
        )

    return [Route("/health", health, methods=["GET"]), Route("/metrics", metrics, methods=["GET"])]


def _room(service: Service) -> bool:
    import shutil

    try:
        return shutil.disk_usage(service.hub.folder).free > _LEAST_ROOM
    except OSError:
        return False
