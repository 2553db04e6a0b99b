"""What the light room refuses, each refusal with its own type."""

from __future__ import annotations

from sprayout_core.errors import SprayoutError

__all__ = [
    "GridError",
    "LightError",
    "NotFiniteError",
    "ShapeError",
    "UnknownLightError",
    "ViewMismatchError",
]


class LightError(SprayoutError):
    """The root of every refusal about lights, observers, grids and colours."""


class UnknownLightError(LightError):
    """A light or an observer that is not in the tables was asked for."""


class GridError(LightError):
    """Wavelengths that no tristimulus value can be computed from."""


class ShapeError(LightError):
    """An array whose last axis is not the one that was asked for."""


class NotFiniteError(LightError):
    """A value that is not a number, or infinite."""


class ViewMismatchError(LightError):
    """Colours of different lights, observers, geometries or stages were put together."""
