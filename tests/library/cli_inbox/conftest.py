"""A shop at the command line with a library and one panel (invented)."""

import pytest

from sprayout_library.cli.main import run

BEGINNING = (
    ("create", "lib", "--shop", "Fen Lane (invented)"),
    ("mix", "Kelp glass = 5 weak teal : 2 strong teal", "--new", "weak teal=dye", "--new", "strong teal=dye"),
    ("material", "bronze", "--role", "metallic"),
    ("recipe", "Kelp fade", "--over", "bronze", "--coat", "5 Kelp glass"),
    ("panel", "Kelp fade", "--label", "KF-1", "--steps", "0,2,5"),
)


@pytest.fixture
def shop(tmp_path, monkeypatch, capsys):
    monkeypatch.setenv("SPRAYOUT_HOME", str(tmp_path / "machine"))
    monkeypatch.delenv("SPRAYOUT_LIBRARY", raising=False)
    monkeypatch.chdir(tmp_path)

    def call(*words):
        capsys.readouterr()
        status = run(["--by", "ada", *words])
        told = capsys.readouterr()
        return status, told.out, told.err

    for words in BEGINNING:
        assert call(*words)[0] == 0
    return call
