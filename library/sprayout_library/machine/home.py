"""Where this machine keeps its own facts: never inside a library, never synced."""

from __future__ import annotations

import os
import platform
import sys
from pathlib import Path

from sprayout_core.errors import SprayoutError

__all__ = ["HOME_VARIABLE", "home"]

HOME_VARIABLE = "SPRAYOUT_HOME"
"""An environment variable that names another folder for this machine's facts (tests, portable use)."""


def home() -> Path:
    """Return the folder of this machine's facts, by each system's own rule for application data."""
    if given := os.environ.get(HOME_VARIABLE):
        return Path(given).expanduser().resolve()
    if sys.platform == "win32":
        base = os.environ.get("LOCALAPPDATA") or str(Path.home() / "AppData" / "Local")
    elif sys.platform == "darwin":
        base = str(Path.home() / "Library" / "Application Support")
    else:
        base = os.environ.get("XDG_DATA_HOME") or str(Path.home() / ".local" / "share")
    return Path(base) / "sprayout"


def host() -> str:
    """Return a name for this machine: it only has to differ from the next machine's."""
    name = platform.node()
    if not name:
        raise SprayoutError("this machine has no name", f"Set a host name, or {HOME_VARIABLE} and try again.")
    try:
        return f"{name}/{Path('/etc/machine-id').read_text(encoding='ascii').strip()[:16]}"
    except (OSError, UnicodeDecodeError):  # no such file on most systems
        return name
