"""Two shops at their own machines; the second library came from the first on a stick."""

import contextlib
import io
import shutil

import pytest

from sprayout_library.cli.main import run


class Shop:
    """One machine: its facts, its folder, its library, and the commands it types."""

    def __init__(self, folder, name, monkeypatch):
        self.folder = folder / name
        self.folder.mkdir(exist_ok=True)
        self.library = self.folder / "library"
        self.monkeypatch = monkeypatch

    def __call__(self, *words):
        self.monkeypatch.setenv("SPRAYOUT_HOME", str(self.folder / "machine"))
        self.monkeypatch.setenv("SPRAYOUT_LIBRARY", str(self.library))
        self.monkeypatch.chdir(self.folder)
        out, err = io.StringIO(), io.StringIO()
        with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
            status = run(["--by", "ada", *(str(word) for word in words)])
        return status, out.getvalue(), err.getvalue()

    def said(self, *words):
        status, out, err = self(*words)
        assert status == 0, (words, out, err)
        return out

    def refused(self, *words):
        before = self.kept()
        status, out, err = self(*words)
        assert status in (1, 2), (words, status, out, err)
        assert "fault in sprayout" not in err
        assert self.kept() == before, words
        return err

    def kept(self):
        """What points anywhere in the library, and the facts of the machine."""
        paths = [*(self.library / "refs").rglob("*"), *(self.folder / "machine").rglob("*.json")]
        return {str(path): path.read_bytes() for path in paths if path.is_file() and path.suffix != ".lock"}


def two_shops(folder):
    with pytest.MonkeyPatch.context() as patch:
        reed = Shop(folder, "reed", patch)
        reed.said("create", "library", "--name", "Reed works", "--shop", "Reed shop")
        reed.said("mix", "Sedge = 6 weak moss : 1 strong moss", "--new", "weak moss=dye", "--new", "strong moss=dye")
        reed.said("sync", "--to", folder / "shared")
        heath = Shop(folder, "heath", patch)
        patch.delenv("SPRAYOUT_LIBRARY")
        heath.said("join", folder / "shared", "library", "--shop", "Heath shop")
        reed.said("sync")
        yield reed, heath


@pytest.fixture(scope="session")
def written(tmp_path_factory):
    folder = tmp_path_factory.mktemp("two")
    list(two_shops(folder))
    return folder


@pytest.fixture(scope="session")
def written_apart(tmp_path_factory):
    """Both shops changed the mix of Sedge, and each sprayed its own."""
    folder = tmp_path_factory.mktemp("apart")
    for reed, heath in two_shops(folder):
        reed.said("material", "silver", "--role", "metallic")
        reed.said("recipe", "Sedge on silver", "--over", "silver", "--coat", "5 Sedge")
        reed.said("sync")
        heath.said("sync")
        reed.said("mix", "Sedge = 5 weak moss : 1 strong moss")
        heath.said("mix", "Sedge = 6 weak moss : 2 strong moss")
        reed.said("panel", "Sedge on silver", "--label", "SR-1", "--at", "2026-03-02T09:10:00Z")
        heath.said("panel", "Sedge on silver", "--label", "SH-1", "--at", "2026-03-03T09:10:00Z")
        for shop in (reed, heath, reed):
            shop.said("sync")
    return folder


@pytest.fixture
def reed(written, monkeypatch):
    """The first shop, for tests that change nothing."""
    return Shop(written, "reed", monkeypatch)


def put_back(kept, folder):
    """Fill a folder with what it held; the folder itself stays, for a machine knows its library by it."""
    for path in folder.iterdir():
        if path.is_dir() and (kept / path.name).is_dir():
            put_back(kept / path.name, path)
        elif path.is_dir():
            shutil.rmtree(path)
        else:
            path.unlink()
    for path in kept.iterdir():
        if path.is_file():
            shutil.copy2(path, folder / path.name)
        elif not (folder / path.name).exists():
            shutil.copytree(path, folder / path.name)


@pytest.fixture
def shops(written, tmp_path, monkeypatch):
    """Both shops, for tests that change something: all is put back after them."""
    shutil.copytree(written, tmp_path / "kept")
    yield Shop(written, "reed", monkeypatch), Shop(written, "heath", monkeypatch)
    put_back(tmp_path / "kept", written)


@pytest.fixture
def apart(written_apart, tmp_path, monkeypatch):
    """Both shops with two answers to one mix, for tests that change something: all is put back after them."""
    shutil.copytree(written_apart, tmp_path / "kept")
    yield Shop(written_apart, "reed", monkeypatch), Shop(written_apart, "heath", monkeypatch)
    put_back(tmp_path / "kept", written_apart)
