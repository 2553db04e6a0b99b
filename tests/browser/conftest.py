import shutil
import socket
import threading

import pytest
import uvicorn
from tests.library.pages_shop import pages_shop

from sprayout_library.hub.pages.alone import Alone, application
from sprayout_library.hub.serving import server as ending_server
from sprayout_library.record import Writer
from sprayout_library.store import Store

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
PATIENCE_MS = 60_000  # a loaded machine is slow, and what never comes is told all the same
SIZES = {"phone": (390, 844), "tablet": (820, 1180), "desktop": (1280, 900)}


@pytest.fixture(scope="module")
def chromium():
    if CHROMIUM is None:
        pytest.skip("browser tests: not run, no Chromium")
    from playwright.sync_api import sync_playwright

    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"], timeout=2 * PATIENCE_MS)
        yield browser
        browser.close()


@pytest.fixture(scope="module")
def served(tmp_path_factory):
    """The invented shop behind a real socket: (its members, the address, the secret address)."""
    with pytest.MonkeyPatch.context() as patch:
        made = pages_shop(tmp_path_factory.mktemp("shop"), patch)
        alone = Alone(lambda: Store.open(made.folder), lambda store: Writer(store, "ada"))
        listening = socket.socket()
        listening.bind(("127.0.0.1", 0))
        listening.listen(32)
        port = listening.getsockname()[1]
        config = uvicorn.Config(application(alone, port), log_level="error", lifespan="off", access_log=False)
        server = ending_server(config)
        thread = threading.Thread(target=server.run, kwargs={"sockets": [listening]}, daemon=True)
        thread.start()
        yield made, f"http://127.0.0.1:{port}", f"http://127.0.0.1:{port}/?key={alone.key}"
        server.should_exit = True
        thread.join(10)
        listening.close()
        made.shop.close()


@pytest.fixture
def page(chromium, served):
    """A page that came in; whatever its console says is an error of ours."""
    said = []
    context = chromium.new_context(viewport={"width": 820, "height": 1180})
    context.set_default_timeout(PATIENCE_MS)
    page = context.new_page()
    page.on("console", lambda message: said.append(message.text) if message.type in ("error", "warning") else None)
    page.on("pageerror", lambda error: said.append(str(error)))
    page.goto(served[2])
    yield page
    context.close()
    assert said == []
