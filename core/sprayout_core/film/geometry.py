"""Measuring geometries as the film sees them: where light enters, where it is seen, what is collected."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from sprayout_core.errors import SprayoutError

__all__ = ["Geometry", "geometry_of", "path"]

#: Nearer than this to the specular direction flakes mirror the light: readings of 10 are met, 50 never.
_GLOSS_DEG, _NEAR_GLOSS = 40.0, 50.0
_ASPECULAR = re.compile(r"^(?P<light>\d+(?:\.\d+)?):?as(?P<angle>-?\d+(?:\.\d+)?)$")


@dataclass(frozen=True, slots=True)
class Geometry:
    """One measuring geometry.

    light_deg   angle of the light from the normal in air; None for diffuse illumination
    view_deg    angle of view from the normal in air
    specular    how much of the surface's own reflection the reading holds: 1 included, 0 left out
    brightest   beyond it a reflectance factor is none: flakes near the gloss angle reach far above 1, others do not
    """

    name: str
    light_deg: float | None
    view_deg: float
    specular: float = 0.0
    brightest: float = 3.0


_NAMED = {
    "45:0": Geometry("45:0", 45.0, 0.0),
    "0:45": Geometry("0:45", 0.0, 45.0),
    "d:8": Geometry("di:8", None, 8.0, 1.0),
    "di:8": Geometry("di:8", None, 8.0, 1.0),
    "de:8": Geometry("de:8", None, 8.0, 0.0),
}


def geometry_of(name: str) -> Geometry:
    """Return the geometry a name stands for.

    "45:0", "0:45"; "d:8" or "di:8" (specular included), "de:8" (specular excluded), as CIE 15 writes them;
    "45as15" or "45:as15" for light at 45 degrees seen 15 degrees off the specular direction, positive
    toward the normal (ASTM E2539). Raises SprayoutError for any other name.
    """
    text = name.strip().removesuffix("°") if isinstance(name, str) else ""
    if text in _NAMED:
        return _NAMED[text]
    if found := _ASPECULAR.match(text):
        light, aspecular = float(found["light"]), float(found["angle"])
        view = light - aspecular
        if light < 90 and abs(view) < 90 and aspecular != 0:
            brightest = _NEAR_GLOSS if abs(aspecular) < _GLOSS_DEG else 3.0
            return Geometry(f"{light:g}as{aspecular:g}", light, abs(view), brightest=brightest)
    raise SprayoutError(
        f"no measuring geometry called {name!r} is known to the film model",
        "Use 45:0, 0:45, di:8, de:8, or light and aspecular angle such as 45as15.",
        place="geometry",
    )


def path(angle_deg: float, n: float) -> float:
    """Return 1/cos of the direction inside the film for an angle in air (Snell); no unit."""
    return 1.0 / math.sqrt(1.0 - (math.sin(math.radians(angle_deg)) / n) ** 2)
