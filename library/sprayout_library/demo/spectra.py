"""Invented spectra: dyes as sums of bands, grounds as smooth curves, panels by the film optics of core."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

    Array = npt.NDArray[np.float64]

__all__ = ["WAVELENGTHS", "panel_reflectance"]

WAVELENGTHS = tuple(range(400, 701, 10))

#: Band centres in nm, widths in nm and heights in natural optical thickness a coat of the neat dye; invented.
_DYES: Mapping[str, tuple[tuple[float, float, float], ...]] = {
    "weak teal": ((655.0, 52.0, 0.21), (405.0, 30.0, 0.035)),
    "strong teal": ((640.0, 60.0, 0.83), (420.0, 34.0, 0.16)),
    "violet": ((546.0, 37.0, 0.43), (584.0, 20.0, 0.11), (462.0, 44.0, 0.035)),
    "moss": ((428.0, 50.0, 0.4), (662.0, 52.0, 0.26), (545.0, 90.0, 0.09)),
}
#: Reflectance at 400 and 700 nm and a bend between; invented.
_GROUNDS: Mapping[str, tuple[float, float, float]] = {
    "bright aluminium": (0.61, 0.66, 0.02),
    "bronze": (0.19, 0.47, 0.05),
    "graphite": (0.115, 0.135, 0.0),
}

#: How much light the invented flakes keep under the surface (0 a mirror, 1 a diffusing ground).
_TRAPPING = 0.3


def panel_reflectance(ground: str, dyes: Mapping[str, float], coats: float, film: float = 1.0) -> Array:
    """Return the reflectance factor at 45:0 of coats over a ground, (31,) at 400 to 700 nm.

    dyes   share of each neat dye in the film
    coats  0 is the bare ground
    film   how heavily the shop lays a coat, 1 as written
    """
    import numpy as np

    from sprayout_core.film import bare_to_cleared, clear_layer

    nm = np.array(WAVELENGTHS, dtype=float)
    bare = _bare(nm, ground)
    if not coats:
        return bare
    tau = sum((share * _band(nm, _DYES[dye]) for dye, share in dyes.items()), np.zeros_like(nm))
    under = bare_to_cleared(bare, "45:0", trapping=0.0)
    seen: Array = clear_layer(under, tau * coats * film, "45:0", trapping=_TRAPPING)
    return seen


def _bare(nm: Array, ground: str) -> Array:
    import numpy as np

    start, end, bend = _GROUNDS[ground]
    along = (nm - nm[0]) / (nm[-1] - nm[0])
    bare: Array = start + (end - start) * along + bend * np.sin(np.pi * along)
    return bare


def _band(nm: Array, bands: tuple[tuple[float, float, float], ...]) -> Array:
    import numpy as np

    height: Array = np.sum([top * np.exp(-(((nm - centre) / width) ** 2)) for centre, width, top in bands], axis=0)
    return height
