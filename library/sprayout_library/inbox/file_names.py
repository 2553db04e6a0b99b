"""Panels in file names: the pattern a shop sets for the files of one folder."""

from __future__ import annotations

import re
from dataclasses import dataclass

from sprayout_core.errors import SprayoutError

__all__ = ["NamePattern"]

_PIECE = re.compile(r"\{(\w+)\}|(\*)|([^{}*]+)|(.)")


@dataclass(frozen=True, slots=True)
class NamePattern:
    """Where the panel's name stands in a file's name, and after it, where there is one, the step or zone.

    text  such as `{panel}.csv`, `scan-{panel}-*.csv` or `{panel}_{place}.txt`; a star stands for anything
    """

    text: str

    def __post_init__(self) -> None:
        self._rule()

    def _rule(self) -> re.Pattern[str]:
        parts = []
        for name, star, plain, other in _PIECE.findall(self.text):
            if other or (name and name not in ("panel", "place")):
                raise SprayoutError(
                    f"{self.text!r} cannot be read as a pattern",
                    "Write {panel} where its name stands, {place} for a step or zone, * for anything else.",
                )
            parts.append(f"(?P<{name}>[^/]+?)" if name else ".*?" if star else re.escape(plain))
        if self.text.count("{panel}") != 1 or self.text.count("{place}") > 1:
            raise SprayoutError(
                f"{self.text!r} does not say where the panel's name stands", "Write {panel} in it once."
            )
        return re.compile("".join(parts), re.IGNORECASE)

    def label(self, file_name: str) -> str | None:
        """Return the name of the panel, or of its step or zone ("KF-2/3"), in a file's name; None where it is none."""
        found = self._rule().fullmatch(file_name)
        if found is None:
            return None
        named = found.groupdict()
        panel = named["panel"].strip()
        place = (named.get("place") or "").strip()
        return f"{panel}/{place}" if place else panel or None
