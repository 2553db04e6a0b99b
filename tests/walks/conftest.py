"""Five people who know none of it, each at a machine of their own, with the README and what the tool tells them."""

import contextlib
import io
import json
from types import SimpleNamespace

import pytest

from sprayout_library.cli.main import run


class Person:
    """Someone at a machine of their own; `says` types a command and returns what was told."""

    def __init__(self, name, machine, patch):
        self.name, self.machine, self._patch = name, machine, patch
        machine.mkdir(parents=True)
        self.folder = machine / "work"
        self.folder.mkdir()

    def tries(self, *words, given=""):
        """Type a command, and what it asks for: (status, all that was told)."""
        self._patch.setenv("SPRAYOUT_HOME", str(self.machine / "home"))
        self._patch.chdir(self.folder)
        self._patch.setattr("sys.stdin", io.StringIO(given))
        told = io.StringIO()
        with contextlib.redirect_stdout(told), contextlib.redirect_stderr(told):
            status = run(["--by", self.name, *(str(word) for word in words)])
        return SimpleNamespace(status=status, told=told.getvalue())

    def says(self, *words, given=""):
        """Type a command that must work; what was told."""
        done = self.tries(*words, given=given)
        assert done.status == 0, (words, done.told)
        return done.told

    def refused(self, *words):
        """Type a command that must be refused in words; what was told."""
        done = self.tries(*words)
        assert done.status in (1, 2) and done.told, (words, done)
        assert "Traceback" not in done.told and "a fault in sprayout" not in done.told.lower()
        return done.told

    def sees(self, *words):
        """Type a reading command with --json; what it holds."""
        return json.loads(self.says(*words, "--json"))

    def table(self, name, rows, nm=range(400, 701, 20), mark=","):
        """Leave a table as an instrument would: percent, one spectrum a row."""
        lines = [mark.join(["Piece", *(f"{at} nm" for at in nm)])]
        lines += [mark.join([label, *(f"{100 * value:.2f}" for value in values)]) for label, values in rows]
        (self.folder / name).write_text("\n".join(lines) + "\n", encoding="utf-8")
        return name


@pytest.fixture
def person(tmp_path, monkeypatch):
    monkeypatch.delenv("SPRAYOUT_LIBRARY", raising=False)
    return lambda name: Person(name, tmp_path / name, monkeypatch)
