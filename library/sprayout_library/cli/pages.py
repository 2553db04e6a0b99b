"""sprayout pages: the library in use in a browser, on this machine only."""

from __future__ import annotations

from contextlib import closing
from typing import TYPE_CHECKING

import click

from sprayout_library.cli.desk import Desk
from sprayout_library.cli.told import say, soft

if TYPE_CHECKING:
    import socket


@click.command("pages")
@click.option("--port", type=click.IntRange(0, 65535), default=8470, show_default=True, help="0 takes a free one.")
@click.pass_obj
def command(desk: Desk, /, port: int) -> None:
    """Show the library in use in a browser: today, mix, pour, spray, look, share.

    For one person at this machine. Open the address it tells; it holds a secret of this run. Ctrl-C ends it.
    """
    import uvicorn

    from sprayout_library.hub.open_stores import OpenStores
    from sprayout_library.hub.pages.alone import Alone, application
    from sprayout_library.hub.serving import server
    from sprayout_library.hub.warming import warming
    from sprayout_library.record import Writer

    folder, by, stores = desk.folder(), desk.by(), OpenStores()
    with stores.store(folder):
        pass  # what is no library is told before anything is served
    alone = Alone(lambda: stores.store(folder), lambda store: Writer(store, by, store.facts.get("shop")))
    with _listening(port) as listening, closing(stores):
        taken = listening.getsockname()[1]
        app = application(alone, taken)
        say(f"Open  http://127.0.0.1:{taken}/?key={alone.key}", bold=True)
        soft("For this machine only. Ctrl-C ends it.")
        config = uvicorn.Config(
            app, log_level="warning", access_log=False, server_header=False, lifespan="off",
            timeout_graceful_shutdown=5,
        )  # fmt: skip
        with warming(app.state.kept, [alone.open_store]):
            server(config).run(sockets=[listening])


def _listening(port: int) -> socket.socket:
    """Return a socket on the loopback. Raises SprayoutError where another program holds the port."""
    import socket

    from sprayout_core.errors import SprayoutError

    found = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    try:
        found.bind(("127.0.0.1", port))
    except OSError as error:
        found.close()
        raise SprayoutError(f"port {port} is not free ({error.strerror})", "Take another: --port 0.") from None
    found.listen(64)
    return found
