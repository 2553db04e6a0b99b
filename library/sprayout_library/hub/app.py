"""The hub as an application of the web: routes, and what holds for every one of them."""

from __future__ import annotations

import re
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from sprayout_library.hub.door import Door
from sprayout_library.hub.folding import Folding
from sprayout_library.hub.git_bridge import Bridge
from sprayout_library.hub.house import Hub
from sprayout_library.hub.pages.known import Known
from sprayout_library.hub.pages.live import Live
from sprayout_library.hub.telling import Telling

if TYPE_CHECKING:
    from starlette.applications import Starlette
    from starlette.requests import Request
    from starlette.responses import Response
    from starlette.routing import BaseRoute

__all__ = ["Service", "build"]

_WORDS = {
    403: "That form was not from here, or too old",
    404: "Nothing stands there",
    405: "Not done here",
    413: "This is too large",
    415: "Not a form of this hub",
    429: "Too much at once: wait a minute",
}


@dataclass(slots=True)
class Service:
    """What the routes of one hub share."""

    hub: Hub
    telling: Telling = field(default_factory=Telling)
    door: Door = field(init=False)
    bridge: Bridge = field(init=False)
    folding: Folding = field(init=False)
    live: Live = field(init=False)
    known: Known = field(default_factory=Known)

    def __post_init__(self) -> None:
        """Begin."""
        self.door = Door(self.hub)
        self.bridge = Bridge(self.hub)
        self.folding = Folding(self.hub, self._folded)
        bounds = self.hub.settings.bounds
        self.live = Live(bounds.streams, bounds.streams_each, bounds.beat_seconds)

    def _folded(self, library: str, faults: list[str]) -> None:
        self.telling.event("fold", library=library, faults=[re.sub(r"[^ -~]", "?", fault)[:300] for fault in faults])


def build(hub: Hub, telling: Telling | None = None) -> Starlette:
    """Return the hub as an application; its folder has been opened."""
    from starlette.applications import Starlette
    from starlette.exceptions import HTTPException
    from starlette.middleware import Middleware

    from sprayout_library.hub.rim import Rim

    service = Service(hub, telling or Telling())

    @asynccontextmanager
    async def living(app: Starlette) -> AsyncIterator[None]:
        swept = hub.swept()
        service.telling.event("begin", libraries=len(hub.libraries()), swept=swept)
        for name in hub.libraries():
            await service.folding(name)  # what was pushed while the last one was stopped
        yield
        service.known.close()
        hub.close()
        service.telling.event("end")

    app = Starlette(
        routes=_routes(service), middleware=[Middleware(Rim, service=service)], lifespan=living,
        exception_handlers={HTTPException: _refused},
    )  # fmt: skip
    app.state.service, app.state.live, app.state.kept = service, service.live, service.known
    return app


async def _refused(request: Request, error: Exception) -> Response:
    """Answer what no route answers: with faults where the API was asked, else with words for a person."""
    from starlette.exceptions import HTTPException

    from sprayout_library.hub.front import TO_THE_FRONT, told_page
    from sprayout_library.hub.rim import plain_reply

    assert isinstance(error, HTTPException)
    words = _WORDS.get(error.status_code, "That cannot be done here")
    headers = dict(error.headers or {})
    if request.url.path.startswith("/api/"):
        return plain_reply(error.status_code, f"{words}.", headers)
    found = told_page(words, TO_THE_FRONT, error.status_code)
    found.headers.update(headers)
    return found


def _routes(service: Service) -> list[BaseRoute]:
    from sprayout_library.hub import api, care, front, git_routes

    return [*care.routes(service), *front.routes(service), *api.routes(service), *git_routes.routes(service)]
