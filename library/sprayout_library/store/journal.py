"""The receive log: when each head arrived here by this machine's own clock, whatever date its author gave it."""

from __future__ import annotations

import json
import os
from collections.abc import Mapping
from datetime import UTC, datetime
from pathlib import Path

from sprayout_library.store.errors import GitError
from sprayout_library.store.git import Git

__all__ = ["note_received", "received_times"]

_NAME = "received.jsonl"


def note_received(folder: Path, heads: Mapping[str, str], now: datetime) -> None:
    """Add heads that came in (commit by copy) to the log; entries are only ever added, one line each."""
    at = now.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
    lines = "".join(
        json.dumps({"at": at, "commit": commit, "copy": copy}) + "\n" for copy, commit in sorted(heads.items())
    )
    with (folder / _NAME).open("a", encoding="ascii") as file:
        file.write(lines)
        file.flush()
        os.fsync(file.fileno())


def received_times(folder: Path, git: Git) -> dict[str, datetime]:
    """Return when each commit first arrived: with the first logged head that contains it."""
    path = folder / _NAME
    if not path.exists():
        return {}
    times: dict[str, datetime] = {}
    earlier: list[str] = []
    for line in path.read_text(encoding="ascii", errors="replace").splitlines():
        try:
            entry = json.loads(line)
            at, head = datetime.fromisoformat(entry["at"]), str(entry["commit"])
            fresh = git.text("rev-list", "--end-of-options", head, *(f"^{name}" for name in earlier)).split()
        except (ValueError, KeyError, TypeError, GitError):  # a last line cut off, or a head that was refused
            continue
        times |= {name: at for name in fresh if name not in times}
        earlier = [*earlier[-50:], head]
    return times
