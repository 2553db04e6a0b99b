"""A stranger: writes a plugin from the docs alone, and a reader for the format from the docs alone."""

import io
import json
import os
import re
import subprocess
import sys
import tarfile
from pathlib import Path

from tests.golden import stranger_reader

DOCS = Path(__file__).parents[2] / "docs"
PACKAGING = """
[build-system]
requires = ["hatchling"]
build-backend = "hatchling.build"
[project]
name = "shade-book"
version = "1"
[project.entry-points."sprayout.plugins"]
shade_book = "shade_book"
[tool.hatch.build.targets.wheel]
only-include = ["shade_book.py"]
"""


def typed(folder, *words):
    """Type a command in a process of its own that finds what was installed into `site`."""
    path = os.pathsep.join([str(folder / "site"), *(entry for entry in sys.path if entry)])
    env = {**os.environ, "SPRAYOUT_HOME": str(folder / "home"), "PYTHONPATH": path}
    command = [sys.executable, "-c", "from sprayout_library.cli.main import main; main()", *words]
    done = subprocess.run(command, cwd=folder, env=env, capture_output=True, text=True, encoding="utf-8")
    return done.returncode, done.stdout + done.stderr


def test_a_plugin_from_the_docs_reads_a_table(tmp_path):
    template = re.search(r"<!-- template -->\n```python\n(.*?)```", (DOCS / "plugins.md").read_text("utf-8"), re.DOTALL)
    package = tmp_path / "package"
    package.mkdir()
    (package / "shade_book.py").write_text(template[1], "utf-8")
    (package / "pyproject.toml").write_text(PACKAGING, "utf-8")
    pip = [sys.executable, "-m", "pip", "install", "-q", "--no-deps", "--no-build-isolation", "--no-index"]
    subprocess.run([*pip, "--target", tmp_path / "site", package], check=True, capture_output=True)

    assert typed(tmp_path, "create", "lib", "--shop", "Reed Works (invented)")[0] == 0
    status, told = typed(tmp_path, "plugins")
    assert status == 0 and "shade_book" in told
    mix = ("mix", "Moss glass = 5 weak moss : 2 strong moss", "--new", "weak moss=dye", "--new", "strong moss=dye")
    for words in (
        mix,
        ("material", "silver", "--role", "metallic"),
        ("recipe", "Moss frame", "--over", "silver", "--coat", "3 Moss glass"),
        ("panel", "Moss frame", "--over", "silver", "--label", "MF-1"),
    ):
        assert typed(tmp_path, *words)[0] == 0
    (tmp_path / "moss.shade").write_text("shade book\nMF-1 61.5 -24.25 39.75\nnot a row\n", "utf-8")
    status, told = typed(tmp_path, "import", "moss.shade")
    assert status == 1 and "What had been done to the pieces" in told
    status, told = typed(tmp_path, "import", "moss.shade", "--set", "stage=bare", "--yes")
    assert status in (0, 3) and "1 reading taken in" in told, told
    status, told = typed(tmp_path, "show", "MF-1")
    assert "L* 61.5" in told


def test_a_reader_from_the_docs_reads_a_library_through_plain_git(tmp_path, person):
    ada = person("ada")
    ada.says("create", "lib", "--shop", "Reed Works (invented)")
    ada.says("mix", "Moss glass = 5 weak moss : 2 strong moss", "--new", "weak moss=dye", "--new", "strong moss=dye")
    ada.says("mix", "Moss glass = 4 weak moss : 2 strong moss")
    out = tmp_path / "out"
    out.mkdir()
    git = ["git", "-C", str(ada.folder / "lib"), "archive", "--format=tar", "main"]
    archive = subprocess.run(git, check=True, capture_output=True).stdout
    with tarfile.open(fileobj=io.BytesIO(archive)) as tar:
        tar.extractall(out, filter="data")
    files = sorted(out.rglob("*.json"))
    assert len(files) == 5
    mixes = [json.loads(file.read_bytes()) for file in files if json.loads(file.read_bytes())["kind"] == "formula"]
    assert [mix["title"] for mix in mixes] == ["Moss glass"]
    for file in files:
        assert stranger_reader.read(file.read_bytes())
