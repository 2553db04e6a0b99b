"""Opaque keyed grounds: the colour of a mix of opaque colours and white from what was read of its parts."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sprayout_core.errors import SprayoutError
from sprayout_core.film.clear import cleared_to_inner, inner_to_cleared
from sprayout_core.film.geometry import geometry_of
from sprayout_core.film.panel import Ground, GroundKind
from sprayout_core.film.two_flux import opaque_mix, opaque_ratio, relative_constants

__all__ = ["Pigment", "keyed_ground", "pigment_from_tint", "white_pigment"]

Array = NDArray[np.float64]

_LEAST, _MOST = 1e-4, 0.9999


@dataclass(frozen=True, slots=True, eq=False)
class Pigment:
    """An opaque colour beside the white it is mixed with: K and S per volume of dry film, the white's S being 1.

    absorption, scattering   in the geometry that both were read in    (n,)
    """

    absorption: Array
    scattering: Array


def white_pigment(white: ArrayLike, geometry: str, n: float = 1.5) -> Pigment:
    """Return the white itself, from its cleared reading where it hides, (n,)."""
    inner = _inner(white, geometry, n)
    return Pigment(opaque_ratio(inner), np.ones_like(inner))


def pigment_from_tint(
    white: ArrayLike,
    tint: ArrayLike,
    share: float,
    geometry: str,
    neat: ArrayLike | None = None,
    n: float = 1.5,
) -> Pigment:
    """Return a colour from cleared readings where they hide: of the white, a tint of the two, and the colour neat.

    share   of the tint's dry film volume that is colour, 0 to 1
    neat    (n,); None for a colour that does not hide by itself, such as a dye: it then scatters nothing

    Two constants from masstone and letdown (Duncan 1940, surface taken off as Saunderson 1942 does).
    """
    if not 0 < share < 1:
        raise SprayoutError("the colour's share of a tint must lie between 0 and 1", place="tint")
    base, mixed = _inner(white, geometry, n), _inner(tint, geometry, n)
    if neat is not None:
        absorbed, scattered = relative_constants(base, _inner(neat, geometry, n), mixed, share)
        return Pigment(absorbed, scattered)
    more = np.maximum(opaque_ratio(mixed) - opaque_ratio(base), 0.0)
    return Pigment(np.asarray((1.0 - share) / share * more, float), np.zeros_like(base))


def keyed_ground(
    name: str,
    pigments: Mapping[str, Mapping[str, Pigment]],
    shares: Mapping[str, float],
    n: float = 1.5,
) -> Ground:
    """Return the ground that a mix makes where it hides, marked as computed.

    pigments   by geometry and by component
    shares     of the dry film per component, above 0; what neither absorbs nor scatters (carrier) is left out

    It is a diffusing ground; `predict` widens what rests on it, for it was computed and not read.
    """
    if not shares or min(shares.values()) <= 0:
        raise SprayoutError("a keyed ground needs parts above 0", place=f"ground {name}")
    readings: dict[str, Array] = {}
    for each, known in pigments.items():
        geometry = geometry_of(each).name
        parts = [known[component] for component in shares]
        absorbed = np.stack([part.absorption for part in parts])
        scattered = np.stack([part.scattering for part in parts])
        if not np.all(np.array(list(shares.values())) @ scattered > 0):
            raise SprayoutError(f"{name} holds nothing that hides", "Put white or a solid colour in.", place=name)
        inner = opaque_mix(absorbed, scattered, np.array(list(shares.values())))
        readings[geometry] = inner_to_cleared(inner, geometry, n)
    return Ground(name, GroundKind.DIFFUSING, readings, computed=True)


def _inner(reading: ArrayLike, geometry: str, n: float) -> Array:
    return np.clip(cleared_to_inner(np.asarray(reading, float), geometry, n), _LEAST, _MOST)
