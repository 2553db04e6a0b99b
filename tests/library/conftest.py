"""What tests of several rooms share: the demo, played once, and a bench for shops."""

import contextlib
import io
from types import SimpleNamespace

import pytest
from tests.library.shops import bench

from sprayout_library.cli.main import run

__all__ = ["bench"]


@pytest.fixture(scope="session")
def demo(tmp_path_factory):
    """The demo as it ran: folder, status, out, err. The machine's own facts are beside the folder."""
    place = tmp_path_factory.mktemp("demo")
    out, err = io.StringIO(), io.StringIO()
    with pytest.MonkeyPatch.context() as patch, contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        patch.setenv("SPRAYOUT_HOME", str(place / "machine"))
        patch.delenv("SPRAYOUT_LIBRARY", raising=False)
        status = run(["demo", str(place / "demo")])
    return SimpleNamespace(folder=place / "demo", status=status, out=out.getvalue(), err=err.getvalue())


@pytest.fixture
def demo_folder(demo):
    """The folder of the demo, for tests that only read it."""
    assert demo.status == 0, demo.err
    return demo.folder


@pytest.fixture
def sit_down(monkeypatch, capsys):
    """Sit down at a machine that keeps its facts and its work in a folder; what types a command there and returns
    (status, out, err)."""

    def at(folder, *before):
        monkeypatch.setenv("SPRAYOUT_HOME", str(folder / "machine"))
        monkeypatch.delenv("SPRAYOUT_LIBRARY", raising=False)
        monkeypatch.chdir(folder)

        def typed(*words):
            capsys.readouterr()
            status = run(["--by", "ada", *before, *words])
            told = capsys.readouterr()
            return status, told.out, told.err

        return typed

    return at
