"""A film that is both hazy and dyed, under its surface: directed light turns diffuse on its way through."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sprayout_core.errors import SprayoutError
from sprayout_core.film.clear import checked_trapping, clear_base, optics_at
from sprayout_core.film.geometry import path
from sprayout_core.film.given import numbers, together
from sprayout_core.film.two_flux import two_flux, two_flux_transmittance

__all__ = ["hazy_layer"]

Array = NDArray[np.float64]

# Found once by fitting two-flux to adding-doubling films from faint haze to nearly opaque and from white to black
# (asymmetry 0.3 to 0.5), the absorption given, one scale for all scattering of a pigment.
_DIRECTED_SCATTER = 0.532  # light still directed is scattered back less than diffuse light
_TURNING = 2.77  # per unit of S X, how fast directed light becomes diffuse
_DIFFUSE_PATH = 1.80  # absorption met by diffuse light, per unit met along the normal
_KEPT_PATH = 2.32  # the same for light kept inside by the surface, which runs flat
_KEPT_SCATTER = 3.54
_LONGER, _LONGER_TO = 0.133, 1.66  # haze without much dye lengthens the way through the dye
_DARKER = 0.129  # light that dye takes on its way is not there to be scattered back


def hazy_layer(
    ground: ArrayLike,
    absorption: ArrayLike,
    scattering: ArrayLike,
    geometry: str,
    n: float = 1.5,
    trapping: ArrayLike | None = None,
) -> Array:
    """Return the reading of a ground after a scattering, absorbing layer is put under the same surface.

    ground       reading of the ground under a clear of index n, in this geometry; over 1 is legal   (..., n)
    absorption   natural optical thickness of absorption, one pass along the normal                  (..., n)
    scattering   S X of two-flux for diffuse light, whole layer                                      (..., n)
    geometry     as for `clear_layer`
    trapping     as for `clear_layer`
    returns      reading in the same geometry                                                        (..., n)

    Two-flux (Kubelka 1948) inside, the surface as in `clear_layer`. Light comes in directed and is turned
    diffuse by the haze, so the first passage takes its constants between the two; light kept inside by the
    surface is diffuse and flat. Two-flux takes scattering as if it knew nothing of absorption; in a real film dye
    lowers it, so both constants bend with K/S before they enter: a dye's and a pearl's, each learned alone, then
    add up in their mix. Eight constants, the same for every film, carry this.
    """
    optics = optics_at(geometry, n)
    base = clear_base(ground, optics)
    trap = checked_trapping(trapping)
    K, SX = numbers(absorption, "absorption"), numbers(scattering, "scattering")
    together(ground=base, absorption=K, scattering=SX, trapping=trap)
    for each, name in ((K, "absorption"), (SX, "scattering")):
        if not np.all((each >= 0) & np.isfinite(each)):
            raise SprayoutError(f"{name} holds a negative value or no number", "Values start at 0.", place=name)
    K, SX = _bent(K, SX)
    inner = base / (optics.gain + trap * optics.kept * base)
    directed = np.exp(-_TURNING * SX)
    way = 0.5 * optics.path
    if optics.geometry.light_deg is None:
        # Diffuse light comes in over all directions within the critical angle: their mean path.
        way = 0.5 * (path(optics.geometry.view_deg, float(n)) + optics.mean_out)
    first = _over(
        K * (directed * way + (1.0 - directed) * _DIFFUSE_PATH),
        SX * (directed * _DIRECTED_SCATTER + 1.0 - directed),
        inner,
    )
    albedo = np.minimum(inner, 1.0)
    kept = two_flux(K * _KEPT_PATH, SX * _KEPT_SCATTER, 1.0, albedo)
    if trap.ndim or trap != 1.0:
        # Only the ground's own light is kept less; the haze's is diffuse whatever lies below.
        own = two_flux(K * _KEPT_PATH, SX * _KEPT_SCATTER, 1.0, 0.0)
        ground_part = (kept - own) * trap * np.where(inner > 1.0, inner, 1.0)
        kept = own + ground_part
    return np.asarray(optics.shine + optics.gain * first / (1.0 - optics.kept * kept), float)


def _bent(K: Array, S: Array) -> tuple[Array, Array]:
    """Return K and S as two-flux must take them; a film without scattering keeps its K."""
    ratio = K / np.maximum(S, 1e-12)
    return K * (1.0 + _LONGER / (1.0 + (ratio / _LONGER_TO) ** 2)), S * (1.0 + ratio) ** -_DARKER


def _over(K: Array, S: Array, ground: Array) -> Array:
    """Return the layer over a ground whose directed reflectance may exceed 1 (near the gloss angle)."""
    if np.all(ground <= 1.0):
        return two_flux(K, S, 1.0, ground)
    alone = two_flux(K, S, 1.0, 0.0)
    through = two_flux_transmittance(K, S, 1.0)
    return np.asarray(alone + through**2 * ground / (1.0 - alone * np.minimum(ground, 1.0)), float)
