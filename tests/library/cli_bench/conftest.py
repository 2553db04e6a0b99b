"""A shop at its own machine that works by the command line; written once, copied for tests that change something."""

import contextlib
import io
import os
import shutil
from pathlib import Path

import pytest

from sprayout_library.cli.main import run

COAT = "4 to 5 Weir bodied, through small, dry to touch"
BEGINNING = (
    ("create", "lib", "--name", "Weir works", "--shop", "Weir end"),
    ("material", "weak teal", "--role", "dye", "--density", "0.9", "--solids", "20", "--caution", "solvent"),
    ("material", "strong teal", "--role", "dye", "--density", "1", "--solids", "20"),
    ("material", "clear carrier", "--role", "carrier", "--density", "1.1", "--solids", "40"),
    ("material", "hardener two", "--role", "hardener", "--density", "1", "--caution", "isocyanate"),
    ("material", "fine pearl", "--role", "pearl", "--flake", "60"),
    ("material", "thinner", "--role", "reducer", "--density", "0.8"),
    ("material", "fen violet", "--role", "dye"),
    ("material", "silver", "--role", "metallic"),
    ("material", "white", "--role", "solid"),
    ("material", "black", "--role", "solid"),
    ("mix", "Weir glass = 5 weak teal : 2 strong teal"),
    ("mix", "Weir bodied = 9 clear carrier : 2 Weir glass"),
    ("mix", "Weir hard = 4 clear carrier : 1 hardener two"),
    ("mix", "Weir shimmer = 3 clear carrier : 1 weak teal : 20 g/l fine pearl"),
    ("mix", "House = 4 clear carrier : 1 [dye]"),
    ("mix", "Weir heavy = 2 weak teal : 1 strong teal by mass"),
    ("ready", "Weir bodied", "small", "--tip", "1.2", "--strain-pour", "190um", "--strain-gun", "125um"),
    ("ready", "Weir bodied", "airbrush", "--reduce", "5%", "--reducer", "thinner"),
    ("ready", "Weir shimmer", "close", "--strain-gun", "53um"),
    ("recipe", "Weir frame", "--over", "silver", "--over", "white", "--coat", COAT),
    ("recipe", "Weir cover", "--over", "white", "--coat", "until covered Weir glass"),
    ("scale", "bench", "--step", "0.1g", "--holds", "500g"),
    ("cups", "columns", "jug", "5:2 1=70 2=140", "9:2 1=110 2=220"),
    ("cups", "marks", "beaker", "--step", "10ml", "--holds", "600ml"),
    ("dropper", "pipette", "--drops", "40", "--made", "2ml"),
    ("dropper", "tube", "--drops", "20", "--made", "10ml"),
    ("pour", "Weir glass", "70ml", "--in", "jug", "--done", "--label", "N1"),
    ("pour", "Weir bodied", "110ml", "--through", "small", "--from", "N1", "--done", "--label", "B1"),
    ("pour", "Weir glass", "--really", "weak teal=50 ml", "--really", "strong teal=23 ml", "--label", "OFF"),
    ("pour", "Weir hard", "50ml", "--done", "--label", "H1"),
    ("spray", "start", "Weir frame", "--cup", "B1", "--piece", "P1 over silver", "--piece", "P2 over white, curved"),
)  # fmt: skip


class Shop:
    """One machine with one library; calling it types a command and returns (status, out, err)."""

    def __init__(self, folder, monkeypatch):
        self.folder = folder
        monkeypatch.setenv("SPRAYOUT_HOME", str(folder / "machine"))
        monkeypatch.delenv("SPRAYOUT_LIBRARY", raising=False)
        monkeypatch.chdir(folder)

    def __call__(self, *words):
        out, err = io.StringIO(), io.StringIO()
        with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
            status = run(["--by", "ada", *words])
        return status, out.getvalue(), err.getvalue()

    def said(self, *words):
        status, out, err = self(*words)
        assert status == 0, (words, out, err)
        return out

    def everything(self):
        """Every byte that a command may have changed: the library's versions, this machine's facts, taps, files."""
        kept = {}
        for path in sorted(self.folder.rglob("*")):
            name = path.relative_to(self.folder).as_posix()
            if path.is_file() and not name.endswith(".lock") and ("lib/objects" not in name):
                kept[name] = path.read_bytes()
        return kept


@pytest.fixture(scope="session")
def written(tmp_path_factory):
    folder = tmp_path_factory.mktemp("weir")
    before = os.environ.get("SPRAYOUT_HOME"), Path.cwd()
    with pytest.MonkeyPatch.context() as patch:
        shop = Shop(folder, patch)
        for words in BEGINNING:
            shop.said(*words)
    assert before == (os.environ.get("SPRAYOUT_HOME"), Path.cwd())
    return folder


@pytest.fixture
def settled(written, monkeypatch):
    """The shop that only tries what cannot be."""
    return Shop(written, monkeypatch)


@pytest.fixture
def shop(written, tmp_path, monkeypatch):
    """A copy of the shop that may change; its library is named by hand because the machine knows the other folder."""
    shutil.copytree(written, tmp_path / "weir")
    shop = Shop(tmp_path / "weir", monkeypatch)
    monkeypatch.setenv("SPRAYOUT_LIBRARY", str(tmp_path / "weir" / "lib"))
    return shop


@pytest.fixture
def empty(tmp_path, monkeypatch):
    """A machine on which nothing was ever done."""
    (tmp_path / "new").mkdir()
    return Shop(tmp_path / "new", monkeypatch)
