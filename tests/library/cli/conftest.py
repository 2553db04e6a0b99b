import pytest

from sprayout_library.cli.main import run


@pytest.fixture
def shop(tmp_path, sit_down):
    """A machine of its own with a place to work in; calling it runs a command and returns (status, out, err)."""
    return sit_down(tmp_path)


BEGINNING = (
    ("create", "lib", "--shop", "Fen Lane (invented)"),
    ("mix", "Kelp glass = 5 weak teal : 2 strong teal", "--new", "weak teal=dye", "--new", "strong teal=dye"),
    ("mix", "Kelp glass bodied = 9 clear carrier : 2 Kelp glass", "--new", "clear carrier=carrier"),
    ("material", "bright aluminium", "--role", "metallic"),
    ("material", "bronze", "--role", "metallic"),
    ("material", "two-pack gloss", "--role", "clear", "--caution", "isocyanate"),
    ("recipe", "Kelp fade", "--over", "bright aluminium", "--over", "bronze", "--coat", "5 Kelp glass bodied"),
    ("panel", "Kelp fade", "--over", "bronze", "--label", "KF-1"),
)


@pytest.fixture
def bench(shop):
    """A shop with a library, a mix, a bodied mix, a recipe over two grounds and a panel."""
    for words in BEGINNING:
        status, _, err = shop(*words)
        assert status == 0, err
    return shop


@pytest.fixture(scope="module")
def settled_folder(tmp_path_factory):
    """The same library, made once for tests that change nothing."""
    folder = tmp_path_factory.mktemp("settled")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("SPRAYOUT_HOME", str(folder / "machine"))
        patch.chdir(folder)
        for words in BEGINNING:
            assert run(["--by", "ada", *words]) == 0
    return folder


@pytest.fixture
def settled(settled_folder, sit_down):
    """A shop that only tries what cannot be."""
    return sit_down(settled_folder)
