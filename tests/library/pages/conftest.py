import shutil

import pytest
from starlette.testclient import TestClient
from tests.library.pages_shop import pages_shop

from sprayout_library.hub.pages import Known
from sprayout_library.hub.pages.alone import Alone, application
from sprayout_library.record import Writer
from sprayout_library.store import Store

PORT = 8470


class Visitor(TestClient):
    """A browser that came in by the secret address; `post` carries the token of the forms."""

    def __init__(self, folder):
        self.alone = Alone(lambda: Store.open(folder), lambda store: Writer(store, "ada"))
        super().__init__(application(self.alone, PORT), base_url=f"http://127.0.0.1:{PORT}")
        assert self.get("/", params={"key": self.alone.key}).status_code == 200

    def fill(self, path, data=None, **more):
        return self.post(path, data={"csrf": self.alone.csrf, **(data or {})}, **more)


@pytest.fixture(autouse=True)
def _gone(monkeypatch):
    """What pages kept open for a test is closed after it, whoever served them."""
    made, begin = [], Known.__init__
    monkeypatch.setattr(Known, "__init__", lambda known: made.append(known) or begin(known))
    yield
    for known in made:
        known.close()


@pytest.fixture(scope="session")
def built(tmp_path_factory):
    with pytest.MonkeyPatch.context() as patch:
        made = pages_shop(tmp_path_factory.mktemp("shop"), patch)
        yield made
        made.shop.close()


@pytest.fixture
def made(built, monkeypatch):
    """The shop, for tests that change nothing."""
    monkeypatch.setenv("SPRAYOUT_HOME", str(built.shop.folder / "home"))
    return built


@pytest.fixture
def visitor(made):
    return Visitor(made.folder)


@pytest.fixture
def own(built, tmp_path, monkeypatch):
    """The same shop in folders of its own, for one test to change: (visitor, store)."""
    monkeypatch.setenv("SPRAYOUT_HOME", str(tmp_path / "home"))
    shutil.copytree(built.folder, tmp_path / "lib")
    shutil.copytree(built.shop.folder / "home", tmp_path / "home", dirs_exist_ok=True)
    with Store.open(tmp_path / "lib") as store:
        yield Visitor(tmp_path / "lib"), store
