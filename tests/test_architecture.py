"""What is promised of the structure, each promise one test that can fail."""

import ast
import functools
import importlib
import re
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
SOURCES = {
    name: ROOT / place
    for name, place in (
        ("core", "core/sprayout_core"),
        ("plugins", "plugins/sprayout_plugins"),
        ("library", "library/sprayout_library"),
    )
}
FILES = [path for root in SOURCES.values() for path in sorted(root.rglob("*.py"))]


def place(path):
    return path.relative_to(ROOT).as_posix()


@functools.cache
def parsed(path):
    return ast.parse(path.read_text(encoding="utf-8"))


@functools.cache
def imports(path):
    found = set()
    for node in ast.walk(parsed(path)):
        if isinstance(node, ast.Import):
            found.update(name.name for name in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module and not node.level:
            found.add(node.module)
    return frozenset(found)


def test_top_level_is_exactly_what_was_agreed():
    tracked = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=True).stdout.split(
        "\n"
    )
    top = {name.split("/")[0] for name in tracked if name}
    agreed = {
        "pyproject.toml",
        "README.md",
        "DEVELOPERS.md",
        "LICENSE",
        "core",
        "plugins",
        "library",
        "tests",
        "docs",
        ".ci",
    }
    assert top - agreed <= {".gitignore", ".gitattributes"}
    assert agreed <= top


@pytest.mark.parametrize("path", FILES, ids=place)
def test_a_file_is_one_idea(path):
    assert len(path.read_text(encoding="utf-8").splitlines()) <= 400, "aim for 300; past 400 it is two rooms"
    assert not re.search(r"(^|_)(utils?|helpers?|manager|common|misc)$", path.stem)


@pytest.mark.parametrize("path", [path for path in FILES if path.name == "__init__.py"], ids=place)
def test_a_room_introduces_itself_and_lists_its_names(path):
    tree = parsed(path)
    words = ast.get_docstring(tree)
    assert words and words.split("\n\n")[0].rstrip().endswith(".")
    room = ".".join(path.relative_to(ROOT).parts[1:-1])
    module = importlib.import_module(room)
    for name in getattr(module, "__all__", ()):
        assert hasattr(module, name), f"{room} promises {name}"


NOT_IN_CORE = {
    "os",
    "pathlib",
    "subprocess",
    "socket",
    "time",
    "logging",
    "random",
    "secrets",
    "git",
    "pluggy",
    "tempfile",
    "shutil",
}


@pytest.mark.parametrize("path", sorted(SOURCES["core"].rglob("*.py")), ids=place)
def test_core_is_pure(path):
    found = {name.split(".")[0] for name in imports(path)}
    assert not found & NOT_IN_CORE
    text = path.read_text(encoding="utf-8")
    assert not re.search(r"(?<!def )(?<![\w.])(open|print|input)\(", text), "core neither reads nor prints"
    assert "datetime.now" not in text and "utcnow" not in text, "time is an argument"


HOMES = {
    "pydantic": ("core/sprayout_core/documents", "library/sprayout_library/hub"),
    "pydantic_core": ("core/sprayout_core/documents",),
    "pluggy": ("plugins/sprayout_plugins",),
    "git": ("library/sprayout_library/store", "library/sprayout_library/sync", "library/sprayout_library/trust"),
    "watchdog": ("library/sprayout_library/inbox",),
    "click": ("library/sprayout_library/cli",),
    "scipy": ("core/sprayout_core/film",),
    "sqlite3": ("library/sprayout_library/index",),
    "reportlab": ("plugins/sprayout_plugins",),
    "segno": ("plugins/sprayout_plugins",),
    "pyvips": ("plugins/sprayout_plugins/card_scan", "library/sprayout_library/sources"),
    "zxingcpp": ("plugins/sprayout_plugins/card_scan",),
    "starlette": ("library/sprayout_library/hub",),
    "jinja2": ("library/sprayout_library/hub",),
    "colour": (),
}


@pytest.mark.parametrize("library", HOMES)
def test_each_library_has_one_home(library):
    for path in FILES:
        if library in {name.split(".")[0] for name in imports(path)}:
            assert place(path).startswith(HOMES[library] or ("nowhere",)), f"{library} is not for {place(path)}"


BROAD = {
    "plugins/sprayout_plugins/guard.py",
    "plugins/sprayout_plugins/registry.py",
    "plugins/sprayout_plugins/apart_child.py",
    "library/sprayout_library/cli/main.py",
}


@pytest.mark.parametrize("path", FILES, ids=place)
def test_broad_excepts_stand_where_plugins_are_called_and_at_the_rims(path):
    for node in ast.walk(parsed(path)):
        if isinstance(node, ast.ExceptHandler):
            broad = node.type is None or (
                isinstance(node.type, ast.Name) and node.type.id in {"Exception", "BaseException"}
            )
            ends_in_raise = bool(node.body) and isinstance(node.body[-1], ast.Raise) and node.body[-1].exc is None
            allowed = (
                place(path) in BROAD
                or ends_in_raise
                or place(path).startswith(("library/sprayout_library/hub", "library/sprayout_library/inbox"))
            )
            assert not broad or allowed, f"line {node.lineno}"


HEAVY = (
    "numpy",
    "scipy",
    "git",
    "pydantic",
    "watchdog",
    "pluggy",
    "reportlab",
    "pyvips",
    "starlette",
    "sqlite3",
    "msgspec",
)


def test_help_starts_fast():
    code = (
        "import sys; from sprayout_library.cli.main import run; run(['--help']);"
        " print(sorted(set(sys.modules)), file=sys.stderr)"
    )
    told = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    loaded = set(ast.literal_eval(told.stderr.strip().splitlines()[-1]))
    assert not loaded & set(HEAVY)
    assert "Mix" in told.stdout


def test_nothing_tells_of_a_machine():
    """No path of somebody's machine in what is committed."""
    marks = re.compile(r"(?<![\w./])/(work|root|farm)/")
    for path in [*FILES, *sorted((ROOT / "docs").rglob("*.md")), ROOT / "README.md", ROOT / "DEVELOPERS.md"]:
        assert not marks.search(path.read_text(encoding="utf-8")), place(path)


def test_every_command_has_its_file_and_its_words():
    from sprayout_library.cli.commands import COMMANDS, DOORS, TOPICS

    for name, entry in COMMANDS.items():
        module = importlib.import_module(f"sprayout_library.cli.{entry.module}")
        assert module.command.name == name
        assert module.command.help, name
        assert entry.place in (*DOORS, *TOPICS)
    files = {path.stem for path in (SOURCES["library"] / "cli").glob("*.py")}
    shared = {"__init__", "main", "commands", "desk", "told", "shown", "today"}
    unlisted = files - shared - {entry.module for entry in COMMANDS.values()}
    for stem in sorted(unlisted):
        module = importlib.import_module(f"sprayout_library.cli.{stem}")
        assert not hasattr(module, "command"), f"{stem} has a command that no table names"
