"""What the film's surface does to light: Fresnel reflection, light kept inside, Saunderson's correction."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sprayout_core.errors import SprayoutError
from sprayout_core.film.given import numbers, one_number, together

__all__ = [
    "diffuse_external",
    "diffuse_internal",
    "fresnel",
    "saunderson",
    "saunderson_excluded",
    "saunderson_excluded_inverse",
    "saunderson_inverse",
]

Array = NDArray[np.float64]


def fresnel(n: ArrayLike, angle_deg: ArrayLike) -> Array:
    """Return the reflectance of a smooth surface for unpolarised light.

    n           refractive index behind the surface relative to the index in front of it   (...)
    angle_deg   angle from the normal in front of the surface, degrees, 0 to 90            (...)
    returns     reflectance, 0 to 1; 1 beyond the critical angle where n < 1               (...)

    Fresnel's equations, mean of the two polarisations (Born and Wolf, Principles of Optics, 1.5).
    Raises SprayoutError for n not positive or an angle outside 0 to 90 degrees.
    """
    index, angle = numbers(n, "n"), numbers(angle_deg, "angle_deg")
    together(n=index, angle_deg=angle)
    if not np.all((index > 0) & np.isfinite(index)):
        raise SprayoutError("a refractive index must be positive", "Give about 1.5 for a clear.", place="n")
    if not np.all((angle >= 0) & (angle <= 90)):
        raise SprayoutError("an angle lies outside 0 to 90 degrees", "Measure it from the normal.", place="angle_deg")
    sine, cosine = np.sin(np.radians(angle)), np.cos(np.radians(angle))
    inside = np.sqrt(np.maximum(0.0, 1.0 - (sine / index) ** 2))
    s_wave = (cosine - index * inside) / (cosine + index * inside)
    p_wave = (index * cosine - inside) / (index * cosine + inside + 1e-300)
    return np.asarray(np.where(sine >= index, 1.0, 0.5 * (s_wave**2 + p_wave**2)), float)


@lru_cache(maxsize=64)
def diffuse_external(n: float) -> float:
    """Return the surface's reflectance for diffuse light from outside; 0.0918 at n = 1.5.

    Integral of Fresnel's reflectance over the cosine-weighted hemisphere (Walsh 1926).
    """
    points, weights = np.polynomial.legendre.leggauss(96)
    cosine = 0.5 * (points + 1.0)
    reflected = fresnel(n, np.degrees(np.arccos(cosine)))
    return float(np.sum(weights * cosine * reflected))


def diffuse_internal(n: float) -> float:
    """Return the surface's reflectance for diffuse light from inside; 0.596 at n = 1.5.

    r_i = 1 - (1 - r_e) / n^2 (Walsh 1926).
    """
    return 1.0 - (1.0 - diffuse_external(n)) / n**2


def saunderson(reflectance: ArrayLike, k1: float, k2: float) -> Array:
    """Return the measured reflectance, specular included, of a film whose inside reflects `reflectance`.

    reflectance   of the film without its surface, 0 to 1       (..., n)
    k1            the surface's reflection of the light from outside, about 0.04
    k2            the surface's reflection of diffuse light from inside, 0.596 in theory at n = 1.5
    returns       reflectance, 0 to 1                           (..., n)

    Saunderson 1942 (J. Opt. Soc. Am. 32:727), as in ISO 18314-2: k1 + (1-k1)(1-k2) R / (1 - k2 R).
    """
    return k1 + saunderson_excluded(reflectance, k1, k2)


def saunderson_excluded(reflectance: ArrayLike, k1: float, k2: float) -> Array:
    """Return the same as `saunderson` for a geometry that leaves the surface's own reflection out (45:0, de:8)."""
    inner = _within_unit(reflectance, k1, k2)
    return np.asarray((1.0 - k1) * (1.0 - k2) * inner / (1.0 - k2 * inner), float)


def saunderson_inverse(measured: ArrayLike, k1: float, k2: float) -> Array:
    """Return the reflectance of the film without its surface from a reading with the specular included.

    The inverse of `saunderson`: (Rm - k1) / (1 - k1 - k2 (1 - Rm)). A reading below k1 cannot hold the
    surface's reflection and is refused: it was most likely taken with the specular excluded. So is one over 1,
    which no film gives that sends light over all directions.
    """
    reading = _film_reading(measured, 1.0)
    _check_constants(k1, k2)
    if np.any(reading < k1):
        raise SprayoutError(
            f"a reading of {float(np.min(reading)):.4g} lies below the surface's own reflection {k1:g}",
            "Was it taken with the specular excluded? Then use saunderson_excluded_inverse.",
            place="measured",
        )
    return np.asarray((reading - k1) / (1.0 - k1 - k2 * (1.0 - reading)), float)


def saunderson_excluded_inverse(measured: ArrayLike, k1: float, k2: float) -> Array:
    """Return the reflectance of the film without its surface from a reading with the specular left out."""
    _check_constants(k1, k2)
    reading = _film_reading(measured, 1.0 - k1)
    return np.asarray(reading / ((1.0 - k1) * (1.0 - k2) + k2 * reading), float)


def _film_reading(measured: ArrayLike, most: float) -> Array:
    reading = numbers(measured, "measured")
    if not np.all(reading >= 0):
        raise SprayoutError("a reading is negative or not a number", "Clip noise or leave it out.", place="measured")
    if not np.all(reading <= most * (1.0 + 1e-9)):
        raise SprayoutError(
            f"a reading of {float(np.max(reading)):.4g} is more than a film can send back ({most:g})",
            "Are these percent? Then divide by 100. Readings over 1 are directional: Saunderson does not hold there.",
            place="measured",
        )
    return reading


def _check_constants(k1: float, k2: float) -> None:
    k1, k2 = one_number(k1, "k1"), one_number(k2, "k2")
    if not (0 <= k1 < 1 and 0 <= k2 < 1):
        raise SprayoutError(f"k1 = {k1:g}, k2 = {k2:g} are no surface constants", "Both lie from 0 to below 1.")


def _within_unit(reflectance: ArrayLike, k1: float, k2: float) -> Array:
    inner = numbers(reflectance, "reflectance")
    _check_constants(k1, k2)
    if not np.all((inner >= 0) & (inner <= 1)):
        raise SprayoutError(
            "a reflectance inside the film lies outside 0 to 1",
            "Readings over 1 are directional.",
            place="reflectance",
        )
    return inner
