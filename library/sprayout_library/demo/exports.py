"""The exports of the two shops' meters, in two different shapes, computed from invented spectra."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from sprayout_library.demo.spectra import WAVELENGTHS, panel_reflectance

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

__all__ = ["CUT", "CUT_STEPS", "OTHERS", "STEPS", "Other", "export_files"]


@dataclass(frozen=True, slots=True)
class Other:
    """Another colour of the co-op: its mix in parts, how much of the bodied mix it is, its recipe and its panels."""

    mix: str
    recipe: str
    parts: Mapping[str, int]
    carrier: int
    neat: int
    coats: int
    label: str

    @property
    def dyes(self) -> dict[str, float]:
        """The share of each dye in the film, to five coats of which the invented dyes are told."""
        whole = sum(self.parts.values()) * (self.carrier + self.neat)
        return {dye: 5 * self.neat * part / whole for dye, part in self.parts.items()}


#: The co-op's other colours; invented as everything here.
OTHERS = (
    Other("Damson glass", "Damson fade", {"violet": 11, "weak teal": 2}, 8, 3, 4, "DF"),
    Other("Alder glass", "Alder fade", {"moss": 9, "weak teal": 4}, 13, 4, 6, "AF"),
)
#: Coats of the steps of each step card.
STEPS = (0, 2, 4, 5, 7)
#: Step cards of one dye cut with carrier over bright aluminium: label and parts of carrier to two of dye; the steps.
CUT = {"weak teal": ("WT-1", 11), "strong teal": ("ST-1", 23)}
CUT_STEPS = (0, 1, 2, 4)
_CARRIER = 9 / 11
_FIRST = {"weak teal": (1 - _CARRIER) * 5 / 7 * 5, "strong teal": (1 - _CARRIER) * 2 / 7 * 5}
_SECOND = {"weak teal": (1 - _CARRIER) * 7 / 12 * 5, "strong teal": (1 - _CARRIER) * 5 / 12 * 5}


def export_files() -> dict[str, bytes]:
    """Return the exports by file name."""
    grounds = ("bright aluminium", "bronze", "graphite")
    first = [(f"KF-{place}", panel_reflectance(ground, _FIRST, 5)) for place, ground in enumerate(grounds, 1)]
    cards = [
        (f"SC-{place}/{coats}", panel_reflectance(ground, _FIRST, coats, film=1 + 0.01 * ((place + coats) % 3 - 1)))
        for place, ground in enumerate(grounds, 1)
        for coats in STEPS
    ]
    cards += [
        (f"{label}/{coats}", panel_reflectance("bright aluminium", {dye: 5 * 2 / (2 + carrier)}, coats))
        for dye, (label, carrier) in CUT.items()
        for coats in CUT_STEPS
    ]
    again = [("KF-4", panel_reflectance("bright aluminium", _SECOND, 5))]
    elsewhere = [("MY-1", panel_reflectance("bright aluminium", _FIRST, 5, film=1.09))]
    others = [
        (f"{other.label}-{place}", panel_reflectance(ground, other.dyes, other.coats))
        for other in OTHERS
        for place, ground in enumerate(grounds, 1)
    ]
    return {
        "mill-yard-others.csv": _tabs(others),
        "fen-lane-march.csv": _semicolons(first),
        "fen-lane-step-cards.csv": _semicolons(cards),
        "fen-lane-april.csv": _semicolons(again),
        "mill-yard.csv": _tabs(elsewhere),
    }


def _semicolons(rows: Sequence[tuple[str, npt.NDArray[np.float64]]]) -> bytes:
    """Percent with a decimal comma, semicolons, a byte order mark, lines ending in CR LF."""
    lines = [";".join(["Piece", *(str(nm) for nm in WAVELENGTHS)])]
    for label, values in rows:
        lines.append(";".join([label, *(f"{value * 100:.3f}".replace(".", ",") for value in values)]))
    return b"\xef\xbb\xbf" + "\r\n".join([*lines, ""]).encode("utf-8")


def _tabs(rows: Sequence[tuple[str, npt.NDArray[np.float64]]]) -> bytes:
    """Unit interval with a decimal point, tabs, headings such as R400nm, and a remark at the end."""
    lines = ["\t".join(["Name", "Remark", *(f"R{nm}nm" for nm in WAVELENGTHS)])]
    for label, values in rows:
        lines.append("\t".join([label, "made up", *(f"{value:.5f}" for value in values)]))
    return "\n".join([*lines, ""]).encode("utf-8")
