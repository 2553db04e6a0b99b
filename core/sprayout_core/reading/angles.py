"""Aspecular angles: how they are written, which sets are usual, and where on the panel they look."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from sprayout_core.reading.errors import AngleError

__all__ = ["SETS", "Angle", "angle"]

_WRITTEN = re.compile(r"(?P<light>\d+(?:\.\d+)?)\s*°?\s*:?\s*as\s*(?P<away>[+-]?\d+(?:\.\d+)?)\s*°?")
_FACE_ENDS, _MIDDLE_ENDS = 35.0, 60.0


@dataclass(frozen=True, order=True, slots=True)
class Angle:
    """One geometry of a multi-angle reading (notation of ASTM E2539).

    illumination  degrees from the panel's normal, above 0 and below 90
    aspecular     degrees from the specular direction in the plane of illumination, positive toward the normal
    raises        AngleError
    """

    illumination: float
    aspecular: float

    def __post_init__(self) -> None:
        if not 0.0 < self.illumination < 90.0:
            raise AngleError(
                f"illumination at {self.illumination:g} degrees",
                "Give degrees from the normal, above 0 and below 90.",
                place=str(self),
            )
        if not -90.0 < self.viewing < 90.0:
            raise AngleError(
                f"an aspecular angle of {self.aspecular:g} would look from behind the panel",
                "It is counted from the specular direction, positive toward the normal.",
                place=str(self),
            )

    def __str__(self) -> str:
        return f"{self.illumination:g}as{self.aspecular:g}"

    @property
    def viewing(self) -> float:
        """Degrees of the view from the normal, negative on the side of the light: 45as15 looks from 30."""
        return self.illumination - self.aspecular

    @property
    def zone(self) -> str:
        """Where this looks: "face" near the gloss, "middle", or "flop" far from it."""
        if self.aspecular < _FACE_ENDS:
            return "face"
        return "middle" if self.aspecular < _MIDDLE_ENDS else "flop"

    @property
    def spoken(self) -> str:
        """The place in words, with the angle beside it."""
        return f"{'in the middle' if self.zone == 'middle' else f'at the {self.zone}'} ({self.aspecular:g}°)"


def angle(text: str) -> Angle:
    """Return the angle that a text such as 45as15, 45:as-15 or 45as110 stands for.

    raises  AngleError: a bare 15, or as15 without the illumination, is refused, as it names no geometry
    """
    found = _WRITTEN.fullmatch(text.strip())
    if not found:
        raise AngleError(
            f"{text!r} is not an aspecular angle",
            "Write illumination and aspecular angle, such as 45as15 or 45as-15.",
            place="geometry",
        )
    return Angle(float(found["light"]), float(found["away"]))


def _from_45(*aspecular: float) -> tuple[Angle, ...]:
    return tuple(Angle(45.0, away) for away in aspecular)


SETS: Mapping[str, tuple[Angle, ...]] = MappingProxyType(
    {
        "three": _from_45(15, 45, 110),
        "three (25, 45, 75)": _from_45(25, 45, 75),
        "five": _from_45(15, 25, 45, 75, 110),
        "six": _from_45(-15, 15, 25, 45, 75, 110),
        "interference": (*_from_45(-15, 15, 25, 45, 75, 110), Angle(15.0, -15.0), Angle(15.0, 15.0)),
    }
)
"""Usual sets, the three-angle one for metal flake (ASTM E2194), the last with two illuminations for
interference pigments (ASTM E2539). Three angles alone do not tell a pearl."""
