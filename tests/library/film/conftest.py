import pytest

from sprayout_library.cli.main import run


@pytest.fixture
def fen(demo_folder, monkeypatch, capsys):
    """Run a command in the first shop's copy; returns (status, out, err)."""
    monkeypatch.setenv("SPRAYOUT_HOME", str(demo_folder.parent / "machine"))
    monkeypatch.chdir(demo_folder / "fen-lane")

    def call(*words):
        capsys.readouterr()
        status = run(["--by", "ada", *words])
        told = capsys.readouterr()
        return status, told.out, told.err

    return call
