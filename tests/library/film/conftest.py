import contextlib
import io

import pytest
from tests.library.film.pearl_shop import make


@pytest.fixture
def fen(demo_folder, sit_down, monkeypatch):
    """Run a command in the first shop's copy; returns (status, out, err)."""
    typed = sit_down(demo_folder.parent)
    monkeypatch.chdir(demo_folder / "fen-lane")
    return typed


@pytest.fixture(scope="session")
def pearl_folder(tmp_path_factory):
    """The pearl shop's library, made once; for tests that only read it. The machine's facts are beside it."""
    place = tmp_path_factory.mktemp("pearl")
    told = io.StringIO()
    with pytest.MonkeyPatch.context() as patch, contextlib.redirect_stdout(told), contextlib.redirect_stderr(told):
        patch.setenv("SPRAYOUT_HOME", str(place / "machine"))
        patch.delenv("SPRAYOUT_LIBRARY", raising=False)
        return make(place)


@pytest.fixture
def machine(pearl_folder, monkeypatch):
    """The folder of the machine's own facts."""
    place = pearl_folder.parent / "machine"
    monkeypatch.setenv("SPRAYOUT_HOME", str(place))
    return place


@pytest.fixture
def pearl(pearl_folder, sit_down):
    """Run a command in the pearl shop's library; returns (status, out, err)."""
    return sit_down(pearl_folder.parent, "--library", str(pearl_folder))
