"""The receive log of a hub: who sent what, when, by the hub's own clock, and whether it was let in. Only added to."""

from __future__ import annotations

import json
import os
from collections.abc import Iterator, Mapping
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

__all__ = ["note", "noted"]


def note(folder: Path, entry: Mapping[str, Any], now: datetime) -> None:
    """Add one entry: one line, on disk when this returns. Several processes may add at once."""
    line = json.dumps({"at": now.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ"), **entry}, sort_keys=True) + "\n"
    handle = os.open(folder / "received.jsonl", os.O_WRONLY | os.O_CREAT | os.O_APPEND, 0o600)
    try:
        os.write(handle, line.encode("ascii"))  # one write to an appending file: lines never mingle
        os.fsync(handle)
    finally:
        os.close(handle)


def noted(folder: Path) -> Iterator[dict[str, Any]]:
    """Yield the entries, oldest first; a last line that was cut off is passed over."""
    path = folder / "received.jsonl"
    if not path.is_file():
        return
    with path.open(encoding="ascii", errors="replace") as file:
        for line in file:
            try:
                found = json.loads(line)
            except ValueError:
                continue
            if isinstance(found, dict):
                yield found
