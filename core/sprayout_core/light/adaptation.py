"""How a colour looks to an eye that has got used to another light: chromatic adaptation."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from sprayout_core.light.cielab import lab, triples
from sprayout_core.light.tristimulus import tristimulus, white
from sprayout_core.light.view import View

__all__ = ["adapted", "adapted_lab"]

Array = npt.NDArray[np.float64]

CAT16 = np.array(
    [
        [0.401288, 0.650173, -0.051461],
        [-0.250268, 1.204414, 0.045854],
        [-0.002079, 0.048952, 0.953127],
    ]
)
"""Cone-like responses of the CAT16 transform (CIE 248:2022; Li et al. 2017)."""


def adapted(xyz: npt.ArrayLike, from_white: npt.ArrayLike, to_white: npt.ArrayLike) -> Array:
    """Return tristimulus values that look, in another light, as these do in theirs.

    xyz         X, Y, Z in the first light                      (..., 3)
    from_white  X, Y, Z of the perfect diffuser there           (3,)
    to_white    X, Y, Z of the perfect diffuser in the other    (3,)
    returns     X, Y, Z in the other light                      (..., 3)
    raises      ShapeError, NotFiniteError

    CAT16 with full adaptation (CIE 248:2022), one step. White goes to white.
    """
    values = triples(xyz, "xyz")
    source, target = triples(from_white, "from_white"), triples(to_white, "to_white")
    gains = (CAT16 @ target) / (CAT16 @ source)
    matrix = np.linalg.solve(CAT16, gains[:, np.newaxis] * CAT16)
    result: Array = values @ matrix.T
    return result


def adapted_lab(reflectance: npt.ArrayLike, wavelengths: npt.ArrayLike, seen_in: View, told_in: View) -> Array:
    """Return the CIELAB coordinates, told in one view, of a surface as it looks in another light.

    reflectance  (..., n)
    wavelengths  nm (n,)
    seen_in      the light the surface stands in
    told_in      the view whose coordinates are given
    returns      L*, a*, b* in `told_in`; the plain CIELAB values where the views are the same   (..., 3)
    """
    target = white(told_in, wavelengths)
    xyz = tristimulus(reflectance, wavelengths, seen_in)
    if seen_in != told_in:
        xyz = adapted(xyz, white(seen_in, wavelengths), target)
    return lab(xyz, target)
