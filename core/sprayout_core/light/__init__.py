"""Light: from a reflectance spectrum, a light and an observer to a colour, as the published standards say."""

from sprayout_core.light.cielab import from_lch, lab, lch, xyz
from sprayout_core.light.errors import (
    GridError,
    LightError,
    NotFiniteError,
    ShapeError,
    UnknownLightError,
    ViewMismatchError,
)
from sprayout_core.light.grid import Grid, Reduced, reduced, understood
from sprayout_core.light.tristimulus import tristimulus, weights, white
from sprayout_core.light.view import (
    ILLUMINANTS,
    OBSERVERS,
    VIEWS,
    Light,
    View,
    light_from_table,
    named_view,
)

__all__ = [
    "ILLUMINANTS",
    "OBSERVERS",
    "VIEWS",
    "Grid",
    "GridError",
    "Light",
    "LightError",
    "NotFiniteError",
    "Reduced",
    "ShapeError",
    "UnknownLightError",
    "View",
    "ViewMismatchError",
    "from_lch",
    "lab",
    "lch",
    "light_from_table",
    "named_view",
    "reduced",
    "tristimulus",
    "understood",
    "weights",
    "white",
    "xyz",
]
