"""The conditions of a reading: geometry, light, observer, stage, and the words in which they are told."""

from __future__ import annotations

import re
from dataclasses import dataclass

from sprayout_core.errors import SprayoutError

__all__ = ["BANDPASS", "SCALES", "STAGES", "Conditions", "geometry", "illuminant", "observer"]

SCALES = {"unit": 1.0, "percent": 100.0, "thousandths": 1000.0}
"""How a table writes a reflectance factor of 1."""

STAGES = ("bare", "cleared", "polished")
"""What had been done to the panel when it was measured."""

BANDPASS = ("corrected", "uncorrected")
"""Whether the instrument's bandwidth has been corrected for (ASTM E2729)."""

_DIFFUSE = {
    "di:8": "di:8",
    "d:8 specular included": "di:8",
    "d:8 included": "di:8",
    "8:di": "8:di",
    "de:8": "de:8",
    "d:8 specular excluded": "de:8",
    "d:8 excluded": "de:8",
    "8:de": "8:de",
    "45:0": "45:0",
    "45/0": "45:0",
    "45a:0": "45:0",
    "45x:0": "45:0",
    "0:45": "0:45",
    "0/45": "0:45",
    "0:45a": "0:45",
    "0:45x": "0:45",
}
_ASPECULAR = re.compile(r"(\d{1,2}):?as([-+]?\d{1,3})\Z")


@dataclass(frozen=True, slots=True)
class Conditions:
    """Under which conditions a reading was made; an empty text (or 0) means that nobody said.

    scale       how the source wrote the values: one of SCALES (values handed on are always unit)
    geometry    `45:0`, `0:45`, `di:8`, `de:8`, `8:di`, `8:de` (CIE 15), or illumination and aspecular
                angle in degrees, `45as15`, `45as-15` (ASTM E2539)
    illuminant  CIE name, `D65`, for coordinates only
    observer    2 or 10 degrees, for coordinates only
    stage       one of STAGES
    bandpass    one of BANDPASS
    """

    scale: str = ""
    geometry: str = ""
    illuminant: str = ""
    observer: int = 0
    stage: str = ""
    bandpass: str = ""


def geometry(text: str) -> str:
    """Return the one spelling of a measuring geometry, or raise SprayoutError naming those that are known.

    A bare `d:8` is refused: with the specular beam included or excluded are two different readings.
    """
    plain = " ".join(text.lower().replace("°", "").replace("deg", "").split())
    tight = plain.replace(" ", "")
    for spelling in (plain, tight):
        if spelling in _DIFFUSE:
            return _DIFFUSE[spelling]
    if found := _ASPECULAR.match(tight):
        lit, angle = int(found[1]), int(found[2])
        if lit <= 90 and -90 <= angle <= 180:
            return f"{lit}as{angle}"
    if tight in {"d:8", "d/8", "8:d", "8/d"}:
        raise SprayoutError(
            f"{text!r} does not say whether the specular beam is included",
            "Write di:8 (included) or de:8 (excluded).",
            place="geometry",
        )
    raise SprayoutError(
        f"{text!r} is no known measuring geometry",
        "Use 45:0, 0:45, di:8, de:8, or illumination and aspecular angle such as 45as15.",
        place="geometry",
    )


def illuminant(text: str) -> str:
    """Return the one spelling of a CIE illuminant's name, or raise SprayoutError."""
    plain = text.strip().upper().removeprefix("CIE").strip().replace(" ", "")
    if re.fullmatch(r"[A-CE]|D\d{2}|ID(50|65)|F\d{1,2}|FL\d{1,2}(\.\d{1,2})?|HP[1-5]|LED-[A-Z]{1,3}\d?", plain):
        return "FL" + plain[1:] if re.fullmatch(r"F\d{1,2}", plain) else plain
    raise SprayoutError(
        f"{text!r} is no known illuminant", "Use a CIE name such as D65, A or FL11.", place="illuminant"
    )


def observer(text: str) -> int:
    """Return 2 or 10 for an observer told in words, or raise SprayoutError."""
    plain = re.sub(r"[°\s]|deg(rees?)?\b|observer", "", text.lower())
    if plain in {"2", "10"}:
        return int(plain)
    raise SprayoutError(f"{text!r} is no standard observer", "Use 2 or 10.", place="observer")
