"""Mappings kept: what was last told about the tables of a folder, and about tables with the same headings."""

from __future__ import annotations

import hashlib
import re
from pathlib import Path
from typing import Any

from sprayout_core.tables import Source
from sprayout_library.inbox.taking import Asked
from sprayout_library.machine import Facts, home

__all__ = ["Mappings", "headings_mark"]

_START = 1 << 16


def headings_mark(source: Source) -> str:
    """Return what tells the headings of a table from others: a digest of its first row with the most cells.

    Where that row holds no word, as in a table without headings, nothing is returned.
    """
    with source.open() as stream:
        start = stream.read(_START).removeprefix(b"\xef\xbb\xbf").replace(b"\0", b"")
    lines = [line.strip() for line in re.split(rb"[\r\n]+", start)]
    mark = next((sign for sign in (b"\t", b";", b",") if any(line.count(sign) > 1 for line in lines)), None)
    widest = max((line.split(mark) for line in lines), key=len)
    cells = [cell.strip(b"\" '").lower() for cell in widest]
    if len(cells) < 2 or not any(re.search(rb"[a-z\x80-\xff]", cell) for cell in cells):
        return ""
    return hashlib.sha256(b"\x1f".join(cells)).hexdigest()[:24]


class Mappings:
    """The mappings this machine keeps; nothing of it is synced, and nothing of it is used without being shown."""

    def __init__(self) -> None:
        self._facts = Facts(home() / "mappings.json")

    def of_folder(self, folder: Path) -> Asked | None:
        """Return what was told about a folder."""
        return _told(self._facts.get("folders", {}).get(str(folder.resolve())))

    def of_headings(self, mark: str) -> Asked | None:
        """Return what was told about tables with these headings."""
        return _told(self._facts.get("headings", {}).get(mark)) if mark else None

    def keep_for_folder(self, folder: Path, told: Asked) -> None:
        """Remember what was told about a folder."""
        self._keep("folders", str(folder.resolve()), told)

    def keep_for_headings(self, mark: str, told: Asked) -> None:
        """Remember what was told about tables with these headings."""
        if mark and told.options:
            self._keep("headings", mark, told)

    def _keep(self, where: str, name: str, told: Asked) -> None:
        kept = {"options": dict(told.options), "reader": told.reader, "names": told.names}
        kept = {member: value for member, value in kept.items() if value}
        if self._facts.get(where, {}).get(name) == kept:
            return

        def change(facts: dict[str, Any]) -> None:
            facts.setdefault(where, {})[name] = kept

        self._facts.change(change)


def _told(kept: Any) -> Asked | None:
    if not isinstance(kept, dict):
        return None
    options = kept.get("options")
    plain = {str(name): str(value) for name, value in options.items()} if isinstance(options, dict) else {}
    return Asked(plain, str(kept.get("reader", "")), str(kept.get("names", "")))
