"""Serving a hub: at this machine alone unless told otherwise, and loud about it when others can reach it."""

from __future__ import annotations

import ipaddress
from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING

from sprayout_library.hub.errors import HubError
from sprayout_library.hub.house import Hub

if TYPE_CHECKING:
    import uvicorn

__all__ = ["is_loopback", "serve", "server", "warnings_for"]

_LARGEST_HEADERS = 32_768


def is_loopback(host: str) -> bool:
    """Say whether only this machine can reach an address."""
    if host == "localhost":
        return True
    try:
        return ipaddress.ip_address(host.strip("[]")).is_loopback
    except ValueError:
        return False


def warnings_for(hub: Hub, host: str) -> list[str]:
    """Return what a keeper should know before a hub listens there; nothing for this machine alone."""
    if is_loopback(host):
        return []
    told = [f"THIS HUB LISTENS ON {host}: every machine that reaches this one can knock at it."]
    if not hub.settings.secure:
        told.append("It speaks plain HTTP: tokens and everything else can be read on the way. Use TLS: docs/hub.md.")
    return told


def serve(hub: Hub, host: str, port: int, ready: Callable[[int], None] | None = None) -> None:
    """Serve until stopped.

    ready   told the port once the hub listens; port 0 lets the system choose one
    raises  HubError where the address cannot be listened on
    """
    import socket

    import uvicorn

    from sprayout_library.hub.app import build
    from sprayout_library.hub.warming import warming

    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    try:
        listening = socket.create_server((host.strip("[]"), port), family=family, backlog=128)
    except OSError as error:
        raise HubError(f"cannot listen on {host}, port {port}: {error.strerror}", "Choose another port.") from None
    proxied = hub.settings.secure
    app = build(hub)
    config = uvicorn.Config(
        app,
        loop="asyncio", http="h11", ws="none", lifespan="on",
        log_config=None, access_log=False, server_header=False,
        proxy_headers=proxied, forwarded_allow_ips="127.0.0.1,::1" if proxied else "",
        limit_concurrency=512, timeout_keep_alive=15, timeout_graceful_shutdown=20,
        h11_max_incomplete_event_size=_LARGEST_HEADERS,
    )  # fmt: skip
    libraries = [partial(hub.store, name) for name in hub.libraries()]
    with listening, warming(app.state.kept, libraries):
        if ready is not None:
            ready(listening.getsockname()[1])
        server(config).run(sockets=[listening])


def server(config: uvicorn.Config) -> uvicorn.Server:
    """Return a server for an application with `state.live` and `state.kept`.

    Its streams end before it waits for visitors to go; what was kept open for them is closed once they went.
    """
    import socket

    import uvicorn

    class Server(uvicorn.Server):
        async def shutdown(self, sockets: list[socket.socket] | None = None) -> None:
            config.app.state.live.close()  # type: ignore[union-attr]
            await super().shutdown(sockets)
            config.app.state.kept.close()  # type: ignore[union-attr]

    return Server(config)
