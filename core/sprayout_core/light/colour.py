"""A colour with everything it depends on: view, white, geometry and the stage of the panel."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from sprayout_core.light.cielab import lab, triples
from sprayout_core.light.errors import ViewMismatchError
from sprayout_core.light.tristimulus import tristimulus, white
from sprayout_core.light.view import View

__all__ = ["Colour", "Conditions", "colour", "comparable"]

Array = npt.NDArray[np.float64]

_SAME_WHITE = 0.05
"""Two printed roundings of one white differ by up to 0.02; whites further apart are different whites."""


@dataclass(frozen=True, slots=True)
class Conditions:
    """How a panel was when it was measured, and from where: words of the record, empty where unknown.

    stage     bare, cleared or polished
    geometry  45:0, d:8, 45as15 and the like
    """

    stage: str = ""
    geometry: str = ""


@dataclass(frozen=True, eq=False, slots=True)
class Colour:
    """CIELAB coordinates with the view and the white they were computed for.

    lab         L*, a*, b*                                (..., 3)
    view        illuminant and observer
    white       X, Y, Z of the perfect diffuser           (3,)
    conditions  stage and geometry
    raises      ShapeError, NotFiniteError
    """

    lab: Array
    view: View
    white: Array
    conditions: Conditions = Conditions()

    def __post_init__(self) -> None:
        object.__setattr__(self, "lab", triples(self.lab, "lab"))
        object.__setattr__(self, "white", triples(self.white, "white"))

    def __str__(self) -> str:
        said = " ".join(part for part in (self.conditions.stage, self.conditions.geometry) if part)
        return f"{said} {self.view}".strip()


def colour(
    reflectance: npt.ArrayLike,
    wavelengths: npt.ArrayLike,
    view: View | None = None,
    conditions: Conditions | None = None,
) -> Colour:
    """Return the colour of reflectance spectra (..., n) on wavelengths nm (n,), its white with it.

    raises  GridError, ShapeError, NotFiniteError
    """
    seen = view or View()
    reference = white(seen, wavelengths)
    xyz = tristimulus(reflectance, wavelengths, seen)
    return Colour(lab(xyz, reference), seen, reference, conditions or Conditions())


def comparable(standard: Colour, trial: Colour) -> None:
    """Raise ViewMismatchError unless two colours were made in the same way; return quietly if they were.

    Views, whites, geometries and stages must agree; both sides are named. A bare panel is never compared
    with a cleared one: a clear changes the colour more than most corrections do.
    """
    for word, ours, theirs, remedy in (
        ("view", str(standard.view), str(trial.view), "Compute both for one light and observer."),
        ("geometry", standard.conditions.geometry, trial.conditions.geometry, "Compare one geometry."),
        ("stage", standard.conditions.stage, trial.conditions.stage, "Measure both at the same stage."),
    ):
        if ours != theirs:
            raise ViewMismatchError(
                f"the standard is {ours or 'not said'}, the trial is {theirs or 'not said'}",
                remedy,
                place=word,
            )
    if standard.view != trial.view:  # two tables under one name
        raise ViewMismatchError(
            f"two different lights are both called {standard.view}", "Give each its own name.", place="view"
        )
    if np.abs(standard.white - trial.white).max() > _SAME_WHITE:
        raise ViewMismatchError(
            f"the standard's white is {_told(standard.white)}, the trial's is {_told(trial.white)}",
            "Compute both from spectra, or against one white.",
            place="white",
        )


def _told(white: Array) -> str:
    return " ".join(f"{value:.3f}" for value in white)
