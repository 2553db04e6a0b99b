"""Small JSON files of this machine: written whole or not at all, one writer at a time."""

from __future__ import annotations

import json
import os
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

from sprayout_core.errors import SprayoutError
from sprayout_library.machine.lock import held

__all__ = ["Facts", "FactsError", "write_whole"]


class FactsError(SprayoutError):
    """A file of this machine's facts cannot be read or written."""


def write_whole(path: Path, content: bytes, *, private: bool = False) -> None:
    """Put a file in place in one step, safely on disk: readers see the old one or the new one, never half.

    private   readable by its owner only, from the first moment on
    """
    path.parent.mkdir(parents=True, exist_ok=True)
    handle, name = tempfile.mkstemp(prefix=f".{path.name}.", dir=path.parent)  # made readable by the owner only
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        if not private:
            Path(name).chmod(0o644)
        Path(name).replace(path)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise


class Facts:
    """One JSON file of named facts, such as the shop's cups and scale, or what is known about one library."""

    def __init__(self, path: Path, *, private: bool = False) -> None:
        self.path = path
        self._private = private

    def all(self) -> dict[str, Any]:
        """Return every fact by name; nothing where the file does not exist yet."""
        try:
            content = self.path.read_bytes()
        except FileNotFoundError:
            return {}
        except OSError as error:
            raise FactsError(
                f"cannot be read: {error.strerror}", "Check its permissions.", place=str(self.path)
            ) from None
        try:
            found = json.loads(content)
        except (ValueError, RecursionError):
            found = None
        if not isinstance(found, dict):
            raise FactsError(
                "is no JSON object",
                "Repair it by hand, or move it away: facts are asked for again.",
                place=str(self.path),
            )
        return found

    def get(self, name: str, default: Any = None) -> Any:
        """Return one fact."""
        return self.all().get(name, default)

    def put(self, name: str, value: Any) -> None:
        """Set one fact; None takes it away."""

        def set_one(facts: dict[str, Any]) -> None:
            if value is None:
                facts.pop(name, None)
            else:
                facts[name] = value

        self.change(set_one)

    def change(self, how: Callable[[dict[str, Any]], None]) -> dict[str, Any]:
        """Change the facts in one step that no other command can come between, and return them."""
        try:
            self.path.parent.mkdir(parents=True, exist_ok=True)
            with held(self.path.with_name(self.path.name + ".lock"), seconds=10):
                facts = self.all()
                how(facts)
                text = json.dumps(facts, indent=2, sort_keys=True, ensure_ascii=False, allow_nan=False) + "\n"
                write_whole(self.path, text.encode("utf-8"), private=self._private)
        except OSError as error:
            raise FactsError(
                f"cannot be written: {error.strerror}",
                "Check its permissions and the room on the disk.",
                place=str(self.path),
            ) from None
        return facts
