"""A library, packet and stick of the version that released edition 1.0: later versions work on with them for ever."""

import json
import shutil
import subprocess
from pathlib import Path

import pytest

from sprayout_library.cli.main import run
from sprayout_library.machine import library_facts

KEPT = Path(__file__).parent / "library-1.0"
HEAD = "b3cbb9e3a88825d9e64f0ce5b733df7e777b24ce"
COPY, MARK = "7pxjchjy", "c8a10f3d69b72729"
FEN_LANE = "01a212d0-207d-7e13-986b-45112cded7b1"


@pytest.fixture
def shop(tmp_path, monkeypatch, capsys):
    """A machine of its own; calling it runs a command in the old library and returns (status, out and err)."""
    monkeypatch.setenv("SPRAYOUT_HOME", str(tmp_path / "machine"))
    monkeypatch.delenv("SPRAYOUT_LIBRARY", raising=False)
    monkeypatch.chdir(tmp_path)

    def call(*words, library="old"):
        capsys.readouterr()
        status = run(["--by", "ada", "--library", str(tmp_path / library), *words])
        told = capsys.readouterr()
        return status, told.out + told.err

    return call


@pytest.fixture
def old(tmp_path, shop):
    """The old library as plain git lays it down, where its machine left it."""
    folder = tmp_path / "old"
    git = ["git", "-C", str(folder)]
    subprocess.run(["git", "init", "-q", "--bare", "-b", "main", str(folder)], check=True)
    with (KEPT / "library.stream").open("rb") as stream:
        subprocess.run([*git, "fast-import", "--quiet"], stdin=stream, check=True)
    subprocess.run([*git, "config", "sprayout.mark", MARK], check=True)
    subprocess.run([*git, "config", "sprayout.made", "2026-11-25T13:05:59Z"], check=True)
    assert (
        subprocess.run([*git, "rev-parse", "main"], capture_output=True, check=True, text=True).stdout.strip() == HEAD
    )
    return folder


@pytest.fixture
def at_home(old):
    """The old library with what its machine knew of it, in the members that version wrote."""
    facts = library_facts(old, MARK)
    facts.drawn(COPY, old)
    facts.put("shop", FEN_LANE)
    return old


def test_it_opens_and_is_whole(shop, at_home):
    status, told = shop("check")
    assert status == 0 and "41 documents read, nothing is wrong" in told
    status, told = shop("show", "Kelp glass", "--json")
    mix = json.loads(told)
    assert status == 0 and mix["document"]["title"] == "Kelp glass"
    status, told = shop("compare", "KF-1", "KF-4")
    assert status == 0 and "dE00 2.83" in told
    status, told = shop("grid", "Kelp glass")
    assert status == 0, told


def test_work_goes_on_in_it_under_its_own_copy(shop, at_home):
    assert shop("note", "Kelp glass", "the same bottle, opened again")[0] == 0
    status, told = shop("mix", "Kelp glass = 2 weak teal : 1 strong teal")
    assert status == 0, told
    by = subprocess.run(["git", "-C", str(at_home), "log", "-1", "--format=%ae"], capture_output=True, text=True).stdout
    assert by.startswith(COPY)
    status, told = shop("show", "Kelp glass")
    assert status == 0 and "2 weak teal : 1 strong teal" in told and "opened again" in told


def test_restored_on_another_machine_it_goes_on_under_a_new_copy(shop, old):
    status, told = shop("note", "Kelp glass", "restored from the backup")
    assert status == 0, told
    by = subprocess.run(["git", "-C", str(old), "log", "-1", "--format=%ae"], capture_output=True, text=True).stdout
    assert not by.startswith(COPY)


def test_it_joins_with_a_library_of_today(shop, at_home, tmp_path):
    status, told = shop("sync", "--to", str(tmp_path / "folder"))
    assert status == 0, told
    assert (
        run(["--by", "bo", "join", str(tmp_path / "folder"), str(tmp_path / "new"), "--shop", "Mill Yard (invented)"])
        == 0
    )
    assert shop("note", "Kelp fade", "seen from the new shop", library="new")[0] == 0
    assert shop("sync", library="new")[0] == 0
    assert shop("sync")[0] == 0
    status, told = shop("show", "Kelp fade")
    assert status == 0 and "seen from the new shop" in told


def test_its_packet_is_taken_in(shop, tmp_path):
    assert run(["--by", "bo", "create", str(tmp_path / "new"), "--shop", "Mill Yard (invented)"]) == 0
    shutil.copy(KEPT / "kelp-fade.packet", tmp_path / "kelp-fade.packet")
    status, told = shop("unpack", str(tmp_path / "kelp-fade.packet"), "--take", library="new")
    assert status == 0, told
    assert shop("show", "Kelp fade", library="new")[0] == 0


def test_its_stick_is_taken_in(shop, tmp_path, old):
    assert shop("note", "Kelp glass", "written after the stick")[0] == 0
    status, told = shop("stick", "take", str(KEPT / "library.stick"))
    assert status == 0, told
    assert "written after the stick" in shop("show", "Kelp glass")[1]
