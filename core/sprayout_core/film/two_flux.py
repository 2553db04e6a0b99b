"""Films that scatter as well as absorb: two fluxes of light, hiding, and the opaque mix of a keyed ground."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sprayout_core.errors import SprayoutError
from sprayout_core.film.given import numbers, together

__all__ = [
    "coats_to_hide",
    "contrast_ratio",
    "opaque",
    "opaque_mix",
    "opaque_ratio",
    "relative_constants",
    "two_flux",
    "two_flux_transmittance",
]

Array = NDArray[np.float64]
_TINY = 1e-300
_ENDLESS, _STRONGEST = 1e150, 1e100


def two_flux(absorption: ArrayLike, scattering: ArrayLike, thickness: ArrayLike, ground: ArrayLike) -> Array:
    """Return the reflectance of a scattering and absorbing layer over a ground, without any surface.

    absorption   K, per unit of thickness, not negative                          (..., n)
    scattering   S, per unit of thickness, not negative                          (..., n)
    thickness    in the same unit (coats, or um of dry film); infinity allowed   (..., n) or broadcast to it
    ground       reflectance under the layer, 0 to 1                             (..., n)
    returns      reflectance, 0 to 1                                             (..., n)

    Kubelka and Munk 1931, Kubelka 1948. Written with exp and expm1 of -b S X, so that no scattering, no
    absorption, no thickness and opaque layers give their limits and never NaN.
    """
    K, S, X, ground_ = _arrays(absorption, scattering, thickness, ground)
    x, u, scattered, absorbed = _common(K, S, X)
    # The sinh and cosh of the textbook, divided by e^bSX: u = (1 + e^-2x)/2, scattered = SX (1 - e^-2x)/(2x),
    # absorbed the same with K; written so that neither a bare scatterer over white nor an endless film cancels.
    free = scattered * (1.0 - ground_)
    result = (ground_ * u + free - ground_ * absorbed) / np.maximum(u + free + absorbed, _TINY)
    return np.where(x > 300.0, opaque(K, S), np.clip(result, 0.0, 1.0))


def two_flux_transmittance(absorption: ArrayLike, scattering: ArrayLike, thickness: ArrayLike) -> Array:
    """Return the share of diffuse light that passes the layer of `two_flux` once: b / (a sinh bSX + b cosh bSX)."""
    K, S, X = _arrays(absorption, scattering, thickness)
    x, u, scattered, absorbed = _common(K, S, X)
    return np.asarray(np.exp(-np.minimum(x, 740.0)) / (u + scattered + absorbed), float)


def opaque(absorption: ArrayLike, scattering: ArrayLike) -> Array:
    """Return the reflectance of a layer thick enough that its ground no longer shows: 0 to 1, (..., n).

    R_inf = S / (K + S + sqrt(K (K + 2 S))), which is 1 + K/S - sqrt((K/S)^2 + 2 K/S) without its
    cancellation. A layer that neither absorbs nor scatters has no opaque state; 0 is returned, a black hole.
    """
    K, S = _arrays(absorption, scattering)
    return np.asarray(S / np.maximum(K + S + np.sqrt(K) * np.sqrt(K + 2.0 * S), _TINY), float)


def opaque_ratio(reflectance: ArrayLike) -> Array:
    """Return K/S of an opaque layer from its reflectance without surface, (1 - R)^2 / (2 R), over 0 to 1."""
    inner = numbers(reflectance, "reflectance")
    if not np.all((inner > 0) & (inner <= 1)):
        raise SprayoutError("K/S needs a reflectance above 0 and up to 1", "Take the surface off first.")
    return np.asarray((1.0 - inner) ** 2 / (2.0 * inner), float)


def contrast_ratio(over_black: ArrayLike, over_white: ArrayLike) -> Array:
    """Return the contrast ratio Y over black / Y over white (ISO 6504-1); 0.98 counts as hidden by convention."""
    black, white = np.asarray(over_black, float), np.asarray(over_white, float)
    if not np.all(white > 0):
        raise SprayoutError("the reading over white is not positive", "Check which zone is which.", place="over_white")
    return np.asarray(black / white, float)


def coats_to_hide(coats: ArrayLike, ratios: ArrayLike, limit: float = 0.98) -> float | None:
    """Return the number of coats at which a rising contrast ratio crosses the limit, or None where it never does.

    coats    number of coats, rising   (k,)
    ratios   contrast ratio at each    (k,)
    """
    count, ratio = np.asarray(coats, float), np.asarray(ratios, float)
    above = np.flatnonzero(ratio >= limit)
    if above.size == 0:
        return None
    first = int(above[0])
    if first == 0:
        return float(count[0])
    # 1 - CR falls about exponentially with film, so the crossing is found in its logarithm.
    left, right = np.log(1.0 - ratio[first - 1]), np.log(max(1.0 - ratio[first], 1e-12))
    part = (left - np.log(1.0 - limit)) / max(left - right, 1e-12)
    return float(count[first - 1] + min(max(part, 0.0), 1.0) * (count[first] - count[first - 1]))


def opaque_mix(absorptions: ArrayLike, scatterings: ArrayLike, shares: ArrayLike) -> Array:
    """Return the reflectance without surface of an opaque mix, by two-constant mixing.

    absorptions, scatterings   K and S of each component on one volume basis   (components, n)
    shares                     of dry film volume per component                (..., components)
    returns                    reflectance, 0 to 1                             (..., n)

    K = sum c K_i, S = sum c S_i (Duncan 1940).
    """
    share = np.asarray(shares, float)
    return opaque(share @ np.asarray(absorptions, float), share @ np.asarray(scatterings, float))


def relative_constants(
    white: ArrayLike, colour: ArrayLike, tint: ArrayLike, colour_share: float
) -> tuple[Array, Array]:
    """Return K and S of an opaque colour relative to a white whose scattering is 1.

    white, colour   reflectance without surface of each alone, opaque    (n,)
    tint            of the two mixed, opaque                             (n,)
    colour_share    of dry film volume that is colour in the tint, 0 to 1
    returns         K, S of the colour where the white's S is 1          (n,), (n,)

    From Q_tint (c S + 1 - c) = c Q_colour S + (1 - c) Q_white. Where the tint does not lie between its two
    parts the colour's scattering cannot be found; those bands are set to 0 scattering.
    """
    if not 0 < colour_share < 1:
        raise SprayoutError("the colour's share of the tint must lie between 0 and 1", place="colour_share")
    q_white, q_colour, q_tint = (opaque_ratio(each) for each in (white, colour, tint))
    rest = (1.0 - colour_share) / colour_share
    gap = q_colour - q_tint
    with np.errstate(divide="ignore", invalid="ignore"):
        S = np.where(np.abs(gap) > 1e-12, rest * (q_tint - q_white) / gap, 0.0)
    S = np.where(np.isfinite(S) & (S > 0), S, 0.0)
    # A strong dye without scattering of its own still absorbs: K follows from the tint, not from Q * 0.
    K = np.where(S > 0, q_colour * S, np.maximum(rest * (q_tint - q_white), 0.0))
    return K, S


def _common(K: Array, S: Array, X: Array) -> tuple[Array, Array, Array, Array]:
    """Return x = bSX, (1 + e^-2x)/2, SX (1 - e^-2x)/(2x) and KX (1 - e^-2x)/(2x)."""
    thickness = np.minimum(X, _ENDLESS)
    x = np.sqrt(K) * np.sqrt(K + 2.0 * S) * thickness
    decay = np.exp(-2.0 * np.minimum(x, 370.0))
    small = x < 1e-8
    ratio = np.where(small, 1.0 - x, -np.expm1(-2.0 * np.minimum(x, 370.0)) / (2.0 * np.where(small, 1.0, x)))
    return x, 0.5 * (1.0 + decay), ratio * (S * thickness), ratio * (K * thickness)


def _arrays(*values: ArrayLike) -> tuple[Array, ...]:
    names = ("absorption", "scattering", "thickness", "ground")[: len(values)]
    arrays = tuple(numbers(value, name) for value, name in zip(values, names, strict=True))
    for array, name in zip(arrays, names, strict=True):
        if not np.all(array >= 0) or (name != "thickness" and not np.all(np.isfinite(array))):
            raise SprayoutError(f"{name} holds a negative value or no number", "Values start at 0.", place=name)
    together(**dict(zip(names, arrays, strict=True)))
    # Beyond this nothing changes any more, and no product of them overflows.
    arrays = (*(np.minimum(array, _STRONGEST) for array in arrays[:2]), *arrays[2:])
    if len(arrays) == 4 and not np.all(arrays[3] <= 1):
        raise SprayoutError("a ground reflectance without surface lies over 1", "Take the surface off.", place="ground")
    return arrays
