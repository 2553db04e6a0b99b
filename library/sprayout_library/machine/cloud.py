"""Folders that another program copies to and fro: a repository inside one gets torn files and doubled names."""

from __future__ import annotations

from pathlib import Path

__all__ = ["synced_by"]

# Files and folders that file-sync programs leave at the top of what they sync.
_MARKERS = (".dropbox.cache", ".stfolder", ".owncloudsync.log", ".nextcloudsync.log")
# Names such programs give to the folder itself; a name may have an account's name behind it.
_NAMES = (
    "dropbox",
    "onedrive",
    "google drive",
    "googledrive",
    "my drive",
    "nextcloud",
    "owncloud",
    "mobile documents",
)
_ENDINGS = (" - ", " (", "-")


def synced_by(folder: Path) -> str | None:
    """Return what shows that a file-sync program works on this folder, or None."""
    for here in (folder, *folder.parents):
        name = here.name.lower()
        for known in _NAMES:
            if name == known or any(name.startswith(known + ending) for ending in _ENDINGS):
                return f"the folder {here.name}"
        for marker in _MARKERS:
            if (here / marker).exists():
                return f"{marker} in {here.name or 'the top folder'}"
    return None
