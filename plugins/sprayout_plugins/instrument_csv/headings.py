"""What headings say: wavelengths with their frame of text, coordinates with their light, units and
quantities.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from sprayout_plugins.instrument_csv import words

__all__ = [
    "Coordinate",
    "Spectral",
    "angle_in",
    "coordinate",
    "light_in",
    "scale_in",
    "spectral_sets",
    "unit_in",
]

_NUMBER = re.compile(r"(?<![\d.,])\d+(?:[.,]\d+)?(?:[eE][-+]\d{1,2})?(?![\d.,])", re.ASCII)
_UNITS = {
    "nm": re.compile(r"(?<![a-z])(?:nm|nanomet\w+)(?![a-z])", re.IGNORECASE),
    "um": re.compile(r"(?<![a-z])(?:um|µm|μm|micromet\w+|microns?)(?![a-z])", re.IGNORECASE),
}
_SCALES = {
    "percent": re.compile(r"%|percent|per\s+cent", re.IGNORECASE),
    "thousandths": re.compile(r"‰|thousandths|per\s+mille?", re.IGNORECASE),
    "unit": re.compile(r"\bfraction\b|\b0\s*(?:to|-|–|\.\.+)\s*1(?:\.0+)?\b|unit\s+interval", re.IGNORECASE),
}
_COORDINATE = re.compile(
    r"(?P<family>(?i:cie\s*lab[\s_-]*|cie[\s_-]*|lab[\s_-]+))?(?P<letter>[Lab]|[LAB](?=\Z)|[LAB](?=\*))(?P<star>\s?\*)?"
    r"(?P<rest>(?:[\s_(\[/,;:@].*)|\d.*)?\Z"
)
_LIGHT = re.compile(r"(?<![A-Za-z0-9])(D\d{2}|FL?\d{1,2}|ID(?:50|65)|[ACE](?=\s*[/,|-]\s*(?:2|10)\b))(?![0-9])")
_OBSERVER = re.compile(r"(?<![\d.])(2|10)\s*(?:°|deg)|[/,|]\s*(2|10)(?![\d.])", re.IGNORECASE)
_ANGLE = re.compile(r"(\d{1,2})?\s*:?\s*as\s*([-+]?\d{1,3})(?!\d)", re.IGNORECASE)
_FIXED = re.compile(r"(?<!\d)(45\s*[:/]\s*0|0\s*[:/]\s*45|d[ie]\s*:\s*8)(?!\d)", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Spectral:
    """Headings alike but for one number: a frame with `#` where the number stands, the columns and the
    numbers.
    """

    frame: str
    columns: tuple[int, ...]
    numbers: tuple[float, ...]

    @property
    def unit(self) -> str:
        """The wavelength unit the frame says, or an empty text."""
        return unit_in(self.frame)

    @property
    def monotonic(self) -> bool:
        """Whether the numbers only rise or only fall."""
        return self.stray == 0

    @property
    def stray(self) -> int:
        """The place of the first number that breaks the order of the first two, or 0."""
        rising = self.numbers[0] < self.numbers[1]
        for place, (before, after) in enumerate(pairwise(self.numbers), 1):
            if before == after or (before < after) != rising:
                return place
        return 0

    def within(self, low: float, high: float) -> bool:
        """Say whether all numbers lie between two limits."""
        return low <= min(self.numbers) and max(self.numbers) <= high


@dataclass(frozen=True, slots=True)
class Coordinate:
    """A heading of L*, a* or b*: the name, whether it says CIELAB, and the rest of its text (light,
    angle).
    """

    name: str
    certain: bool
    rest: str


def spectral_sets(headings: Sequence[str]) -> list[Spectral]:
    """Return the sets of three or more headings alike but for one number, the largest first."""
    frames: dict[str, list[tuple[int, float]]] = {}
    for column, heading in enumerate(headings):
        for found in _NUMBER.finditer(heading) if len(heading) <= words.LONGEST else ():
            before, after = " ".join(heading[: found.start()].split()), " ".join(heading[found.end() :].split())
            frame = f"{before}#{after}"
            frames.setdefault(frame, []).append((column, float(found[0].replace(",", "."))))
    sets = [
        Spectral(frame, tuple(column for column, _ in members), tuple(value for _, value in members))
        for frame, members in frames.items()
        if len(members) >= 3
    ]
    return sorted(sets, key=lambda one: -len(one.columns))


def unit_in(text: str) -> str:
    """Return the wavelength unit a text names: `nm`, `um` or nothing."""
    found = [unit for unit, pattern in _UNITS.items() if pattern.search(text)]
    return found[0] if len(found) == 1 else ""


def scale_in(text: str) -> str:
    """Return the scale a text names: `percent`, `thousandths`, `unit` or nothing."""
    found = [scale for scale, pattern in _SCALES.items() if pattern.search(text)]
    return found[0] if len(found) == 1 else ""


def coordinate(heading: str) -> Coordinate | None:
    """Return what a heading says if it is one of L*, a*, b*; the bare letters are not certain to be
    CIELAB.
    """
    found = _COORDINATE.match(heading.strip()) if len(heading) <= words.LONGEST else None
    if not found:
        return None
    name = found["letter"].upper() if found["letter"] in "Ll" else found["letter"].lower()
    certain = bool(found["star"] or found["family"])
    if found["letter"] in "AB" and not certain:
        return None
    rest = (found["rest"] or "").strip()
    if words.statistic(rest) or words.other_quantity(rest):
        return None
    return Coordinate(f"{name}*", certain, rest)


def light_in(text: str) -> tuple[str, str]:
    """Return the illuminant and the observer (`2`, `10`) a text names, each empty where it does not."""
    light = _LIGHT.search(text)
    seen = _OBSERVER.search(text)
    name = light[1] if light else ""
    if re.fullmatch(r"F\d{1,2}", name):
        name = "FL" + name[1:]
    return name, (seen[1] or seen[2]) if seen else ""


def angle_in(text: str) -> tuple[str, str]:
    """Return the illumination (or nothing) and the aspecular angle a text names, or a fixed geometry
    and nothing.
    """
    if found := _ANGLE.search(text):
        return found[1] or "", found[2]
    if found := _FIXED.search(text):
        return re.sub(r"\s", "", found[1]).replace("/", ":").lower(), ""
    return "", ""
