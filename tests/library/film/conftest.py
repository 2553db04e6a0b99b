import pytest

from sprayout_library.cli.main import run


@pytest.fixture(scope="module")
def demo_folder(tmp_path_factory):
    """The demo's library, made once: three step cards and single panels of two mixes."""
    folder = tmp_path_factory.mktemp("film")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("SPRAYOUT_HOME", str(folder / "machine"))
        assert run(["demo", str(folder / "demo")]) == 0
    return folder


@pytest.fixture
def fen(demo_folder, monkeypatch, capsys):
    """Run a command in the first shop's copy; returns (status, out, err)."""
    monkeypatch.setenv("SPRAYOUT_HOME", str(demo_folder / "machine"))
    monkeypatch.chdir(demo_folder / "demo" / "fen-lane")

    def call(*words):
        capsys.readouterr()
        status = run(["--by", "ada", *words])
        told = capsys.readouterr()
        return status, told.out, told.err

    return call
