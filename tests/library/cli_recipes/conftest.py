"""Two shops at their own machines, working by the command line, with a library each in a temporary folder."""

import contextlib
import io
import shutil

import pytest

from sprayout_library.cli.main import run
from sprayout_library.store import Store


class Shop:
    """One shop: its machine's facts, its folder, and the commands it types."""

    def __init__(self, folder, name, monkeypatch):
        self.folder = folder / name
        self.folder.mkdir()
        self.name = name
        self.monkeypatch = monkeypatch
        self.library = self.folder / "library"

    def __call__(self, *words):
        """Type a command; returns (status, what was printed, what was complained about)."""
        self.monkeypatch.setenv("SPRAYOUT_HOME", str(self.folder / "home"))
        self.monkeypatch.setenv("SPRAYOUT_BY", "ada")
        self.monkeypatch.delenv("SPRAYOUT_LIBRARY", raising=False)
        self.monkeypatch.chdir(self.folder)
        out, err = io.StringIO(), io.StringIO()
        with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
            status = run([str(word) for word in words])
        return status, out.getvalue(), err.getvalue()

    def said(self, *words):
        """Type a command that must succeed; returns what was printed."""
        status, out, err = self(*words)
        assert status == 0, (words, out, err)
        return out

    def refused(self, *words):
        """Type a command that must be refused in words and change nothing; returns what was complained about."""
        before = self.refs()
        status, out, err = self(*words)
        assert status in (1, 2), (words, status, out, err)
        assert "fault in sprayout" not in err and "Traceback" not in err
        assert err.strip(), words
        assert self.refs() == before, words
        return err

    def refs(self):
        """Everything that points anywhere in the library, and the files beside it."""
        kept = [path for name in ("refs", "sources") for path in (self.library / name).rglob("*") if path.is_file()]
        packed = self.library / "packed-refs"
        return {str(path.relative_to(self.library)): path.read_bytes() for path in [*kept, packed] if path.is_file()}


@pytest.fixture(scope="session")
def written(tmp_path_factory):
    """Both shops, written once for all tests: Tide works with a recipe and three panels, Dune works empty."""
    folder = tmp_path_factory.mktemp("shops")
    with pytest.MonkeyPatch.context() as patch:
        tide, dune = Shop(folder, "tide", patch), Shop(folder, "dune", patch)
        for shop in (tide, dune):
            shop.said(
                "create",
                "library",
                "--name",
                f"{shop.name.capitalize()} works",
                "--shop",
                f"{shop.name.capitalize()} shop",
            )
        new = ("--new", "weak teal=dye", "--new", "strong teal=dye")
        tide.said("mix", "Kelp glass = 5 weak teal : 2 strong teal", *new)
        tide.said("material", "silver", "--role", "metallic", "--lot", "S7")
        tide.said("material", "black", "--role", "solid")
        tide.said("recipe", "Kelp over two", "--over", "silver", "--over", "black", "--coat", "about 5 Kelp glass")
        tide.said("panel", "Kelp over two", "--over", "silver", "--label", "KF-1")
        tide.said("panel", "Kelp over two", "--over", "black", "--label", "KF-2")
        tide.said("panel", "Kelp over two", "--over", "silver", "--label", "KF-3", "--steps", "0,2,5")
    return folder


@pytest.fixture
def shops(written, tmp_path, monkeypatch):
    """The two shops, each in a copy of its own; a copied library draws a new copy id by itself."""
    found = []
    for name in ("tide", "dune"):
        shop = Shop(tmp_path, name, monkeypatch)
        shutil.copytree(written / name, shop.folder, dirs_exist_ok=True)
        facts = shop.folder / "home" / "shop.json"
        facts.write_text(facts.read_text(encoding="utf-8").replace(str(written), str(tmp_path)), encoding="utf-8")
        monkeypatch.setenv("SPRAYOUT_HOME", str(shop.folder / "home"))
        with Store.open(shop.library) as store:
            assert store.copy_id
            store.facts.put("shop", next(store.documents("shop")).id)
        found.append(shop)
    return found


@pytest.fixture
def kelp(shops):
    """The first shop: a recipe over two grounds, three panels of it."""
    return shops[0]
