"""Where this machine keeps its spray days: one journal each, that of a running one by its own ending."""

from __future__ import annotations

from pathlib import Path

from sprayout_library.machine.home import home

__all__ = ["FINISHED", "RUNNING", "running_spray_days", "spray_days"]

RUNNING, FINISHED = ".taps", ".finished"
"""How the name of a journal ends while its session runs, and after."""


def spray_days() -> Path:
    """Return the folder of the journals."""
    return home() / "sessions"


def running_spray_days() -> list[Path]:
    """Return the journals of the sessions that run, oldest first."""
    return sorted(spray_days().glob(f"*{RUNNING}"))
