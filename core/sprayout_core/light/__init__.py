"""Light: from a reflectance spectrum, a light and an observer to a colour, as the published standards say."""

from sprayout_core.light.adaptation import adapted, adapted_lab
from sprayout_core.light.cielab import from_lch, lab, lch, xyz
from sprayout_core.light.colour import Colour, Conditions, colour, comparable
from sprayout_core.light.errors import (
    GridError,
    LightError,
    NotFiniteError,
    ShapeError,
    UnknownLightError,
    ViewMismatchError,
)
from sprayout_core.light.grid import Grid, Reduced, reduced, understood
from sprayout_core.light.screen import Screen, hexadecimal, srgb
from sprayout_core.light.spaces import din99, din99o, luv
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
    "Colour",
    "Conditions",
    "Grid",
    "GridError",
    "Light",
    "LightError",
    "NotFiniteError",
    "Reduced",
    "Screen",
    "ShapeError",
    "UnknownLightError",
    "View",
    "ViewMismatchError",
    "adapted",
    "adapted_lab",
    "colour",
    "comparable",
    "din99",
    "din99o",
    "from_lch",
    "hexadecimal",
    "lab",
    "lch",
    "light_from_table",
    "luv",
    "named_view",
    "reduced",
    "srgb",
    "tristimulus",
    "understood",
    "weights",
    "white",
    "xyz",
]
