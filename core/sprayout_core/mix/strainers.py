"""Strainers in micrometres with the mesh beside; a bare number is questioned."""

from __future__ import annotations

import re
from collections.abc import Mapping
from fractions import Fraction

from sprayout_core.errors import SprayoutError
from sprayout_core.mix.bounds import positive, told
from sprayout_core.ratio import exact

__all__ = ["MESH_UM", "holds_back", "mesh_about", "mesh_beside", "opening_um", "parse_strainer"]

#: Opening in micrometres by US sieve number (ASTM E11; openings as in ISO 565). Numbers 100, 120, 200,
#: 325, 400, 500 and 635 as published, the others from memory.
MESH_UM: Mapping[int, int] = {
    50: 300, 60: 250, 70: 212, 80: 180, 100: 150, 120: 125, 140: 106, 170: 90, 200: 75, 230: 63, 270: 53,
    325: 45, 400: 38, 500: 25, 635: 20,
}  # fmt: skip

_TYPED = re.compile(r"\s*(?:(mesh|no\.?|#)\s*)?([0-9]+(?:[.,][0-9]+)?)\s*([a-zµμ]*)\s*", re.IGNORECASE)
_MICRON_WORDS = frozenset({"um", "µm", "μm", "micron", "microns", "micrometre", "micrometres", "micrometer"})


def parse_strainer(text: str) -> Fraction:
    """Return the opening in micrometres from "190 um", "125 micron" or "120 mesh".

    Raises SprayoutError for a bare number, telling what it would be either way, and for a mesh that is
    not in the table.
    """
    match = _TYPED.fullmatch(text)
    if match is None or (match[1] and match[3]):
        raise SprayoutError(f"{text!r} is no strainer", "Write it like 190 um or 120 mesh.", place="strainer")
    number, word = exact(match[2].replace(",", ".")), match[3].lower()
    if word in _MICRON_WORDS:
        return positive(number, "strainer")
    if word == "mesh" or (match[1] or "").lower() == "mesh":
        return Fraction(opening_um(number))
    if word:
        raise SprayoutError(f"{word!r} is no unit of a strainer", "Write um or mesh.", place="strainer")
    raise SprayoutError(f"{text.strip()}: um or mesh? {_either_way(number)}", "Write um or mesh.", place="strainer")


def opening_um(mesh: Fraction) -> int:
    """Return the opening of a US sieve number in micrometres; a number not in the table is refused."""
    if mesh in MESH_UM:
        return MESH_UM[int(mesh)]
    near = sorted(sorted(MESH_UM, key=lambda known: abs(known - mesh))[:2])
    told_near = [f"{known} mesh is {MESH_UM[known]} um" for known in near]
    raise SprayoutError(
        f"{told(mesh)} mesh is not in the table",
        f"Write the opening in um. Near it: {' and '.join(told_near)}.",
        place="strainer",
    )


def mesh_about(um: Fraction) -> int | None:
    """Return the US sieve number whose opening is nearest, or None outside the table."""
    if not min(MESH_UM.values()) <= um <= max(MESH_UM.values()):
        return None
    return min(MESH_UM, key=lambda mesh: abs(MESH_UM[mesh] - um))


def mesh_beside(um: Fraction) -> str:
    """Return an opening as told: "125 um (120 mesh)", "190 um (about 80 mesh)", "600 um"."""
    mesh = mesh_about(positive(um, "strainer"))
    if mesh is None:
        return f"{told(um)} um"
    return f"{told(um)} um ({'' if MESH_UM[mesh] == um else 'about '}{mesh} mesh)"


def holds_back(um: Fraction, flake_um: Fraction) -> bool:
    """Return whether an opening is no larger than the flakes, so that it takes them out of the mix.

    Only that is certain; how much larger it should be is for the flake's data sheet.
    """
    return positive(um, "strainer") <= positive(flake_um, "flake size")


def _either_way(number: Fraction) -> str:
    as_um = mesh_about(number)
    um = f"{told(number)} um is about {as_um} mesh" if as_um else f"{told(number)} um is beyond the mesh table"
    mesh = (
        f"{told(number)} mesh is {MESH_UM[int(number)]} um"
        if number in MESH_UM
        else (f"{told(number)} mesh is not in the table")
    )
    return f"{um}; {mesh}."
