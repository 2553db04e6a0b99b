"""The pictures of docs/tour.md, made by the tool from the demo's library: python -m tests.walks.tour

Needs a Chromium. Pages are photographed at the size of a tablet; drawings are the files that commands write.
"""

import contextlib
import io
import os
import shutil
import sys
import tempfile
from pathlib import Path

from sprayout_library.cli.main import run

HERE = Path(__file__).parents[2] / "docs" / "tour"
#: Picture, page, and what is brought into sight first (a heading), for the pages that a reader of the tour sees.
PAGES = (
    ("today", "/", ""),
    ("wall", "/look", ""),
    ("recipe", "/thing/{Kelp fade}", ""),
    ("compare", "/look/compare?one={KF-1}&other={KF-4}", ""),
    ("grid", "/look/grid?mix={Kelp glass}", ""),
    ("answers", "/share/answers/{Alder glass}", ""),
    ("find", "/find?near=DF-1", ""),
    ("cup", "/pour/cup/{C1}/colour?against={KF-1}", ""),
)


def typed(*words, library=None):
    """Type a command; what it told. Stops the tour where it is refused."""
    told = io.StringIO()
    where = ["--library", str(library)] if library else []
    with contextlib.redirect_stdout(told):
        status = run([*where, "--by", "ada", *(str(word) for word in words)])
    if status:
        raise SystemExit(f"sprayout {' '.join(map(str, words))} left with {status}")
    return told.getvalue()


def photographed(folder, made):
    """Photograph the pages of the library in `folder` into `made`."""
    import socket
    import threading

    import uvicorn
    from playwright.sync_api import sync_playwright

    from sprayout_library.hub.pages.alone import Alone, application
    from sprayout_library.record import Names, Writer
    from sprayout_library.store import Store

    with Store.open(folder) as store:
        ids = {entry.name: entry.id for entry in Names(store).entries.values()}
    alone = Alone(lambda: Store.open(folder), lambda store: Writer(store, "ada"))
    listening = socket.create_server(("127.0.0.1", 0))
    port = listening.getsockname()[1]
    config = uvicorn.Config(application(alone, port), log_level="error", lifespan="off", access_log=False)
    server = uvicorn.Server(config)
    thread = threading.Thread(target=server.run, kwargs={"sockets": [listening]}, daemon=True)
    thread.start()
    chromium = next(filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome"))), None)
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=chromium, args=["--no-sandbox"])
        page = browser.new_page(viewport={"width": 1000, "height": 720})
        page.set_default_timeout(180_000)
        page.goto(f"http://127.0.0.1:{port}/?key={alone.key}")
        for name, path, heading in PAGES:
            page.goto(f"http://127.0.0.1:{port}{path.format(**ids)}", wait_until="load")
            if heading:
                page.get_by_text(heading).first.scroll_into_view_if_needed()
            page.screenshot(path=made / f"{name}.png")
        browser.close()
    server.should_exit = True
    thread.join(10)


def main():
    """Play the demo in a temporary folder, draw and photograph, and put the pictures in place together."""
    with tempfile.TemporaryDirectory(prefix="sprayout-tour-") as place:
        place = Path(place)
        os.environ["SPRAYOUT_HOME"] = str(place / "machine")
        typed("demo", place / "demo")
        library, made = place / "demo" / "fen-lane", place / "made"
        made.mkdir()
        light = ("--light", "daylight", "--light", "tungsten")
        typed("compare", "KF-1", "KF-4", *light, "--picture", made / "two-lights.svg", library=library)
        typed("pour", "Kelp glass bodied", "200ml", "--done", "--label", "C1", library=library)
        typed("grid", "Kelp glass bodied", "--coats", "3,5,7", "--picture", made / "grid.svg", library=library)
        other = place / "demo" / "mill-yard"
        typed("mix", "Alder glass = 9 moss : 5 weak teal", library=library)
        typed("mix", "Alder glass = 10 moss : 4 weak teal", library=other)
        for copy in (library, other, library):
            typed("sync", library=copy)
        photographed(library, made)
        HERE.mkdir(exist_ok=True)
        for picture in made.iterdir():
            shutil.copy(picture, HERE / picture.name)


if __name__ == "__main__":
    sys.exit(main())
