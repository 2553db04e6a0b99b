"""A view: the light a colour is seen in and the observer who sees it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np
import numpy.typing as npt

from sprayout_core.light import tables
from sprayout_core.light.errors import LightError, NotFiniteError, UnknownLightError

__all__ = ["ILLUMINANTS", "OBSERVERS", "VIEWS", "Light", "View", "light_from_table", "named_view", "power"]

Array = npt.NDArray[np.float64]

OBSERVERS = (2, 10)
"""The standard observers, by the field they look at, in degrees."""

ILLUMINANTS = (
    "A", "C", "D50", "D55", "D65", "D75", "FL2", "FL7", "FL11",
    "LED-B1", "LED-B2", "LED-B3", "LED-B4", "LED-B5", "LED-V1",
)  # fmt: skip
"""The tabulated illuminants; a test holds that the packaged table carries exactly these."""

_FIRST, _LAST = 380.0, 780.0
_WIDEST_STEP = 20.0


@dataclass(frozen=True, slots=True)
class Light:
    """A light given as a table: a name, wavelengths in nm and relative power, in pairs.

    Make one with `light_from_table`, which checks it.
    """

    name: str
    wavelengths: tuple[float, ...]
    power: tuple[float, ...]

    def __str__(self) -> str:
        return self.name


def light_from_table(name: str, wavelengths: npt.ArrayLike, power: npt.ArrayLike) -> Light:
    """Return a light of the user's own from its table.

    wavelengths  nm, increasing, covering 380 to 780 in steps of at most 20   (n,)
    power        relative spectral power in any unit, none negative           (n,)
    raises       LightError, NotFiniteError

    Between the tabulated wavelengths the power is interpolated linearly, as CIE 15:2004 does for its
    daylight illuminants; outside them it is taken as zero.
    """
    nm, watts = np.asarray(wavelengths, dtype=float), np.asarray(power, dtype=float)
    if nm.ndim != 1 or nm.shape != watts.shape or nm.size < 2:
        raise LightError(
            f"{nm.size} wavelengths but {watts.size} powers",
            "Give one power for each wavelength.",
            place=name,
        )
    if not (np.isfinite(nm).all() and np.isfinite(watts).all()):
        raise NotFiniteError("the table holds a value that is not a number", "Correct the table.", place=name)
    steps = np.diff(nm)
    if not (steps > 0).all():
        raise LightError("the wavelengths do not increase", "Sort the table by wavelength.", place=name)
    if nm[0] > _FIRST or nm[-1] < _LAST or steps.max() > _WIDEST_STEP:
        raise LightError(
            f"the table runs from {nm[0]:g} to {nm[-1]:g} nm in steps of up to {steps.max():g} nm",
            f"Give the power from {_FIRST:g} to {_LAST:g} nm, every {_WIDEST_STEP:g} nm or closer.",
            place=name,
        )
    if (watts < 0).any() or not watts.any():
        raise LightError("the power is negative or zero throughout", "Correct the table.", place=name)
    return Light(name, tuple(nm.tolist()), tuple(watts.tolist()))


@dataclass(frozen=True, slots=True)
class View:
    """The conditions a colour is computed for: illuminant and observer.

    illuminant  the name of a tabulated illuminant (see ILLUMINANTS) or a Light of the user's own
    observer    2 or 10: the CIE 1931 or 1964 standard observer
    raises      UnknownLightError
    """

    illuminant: str | Light = "D65"
    observer: int = 10

    def __post_init__(self) -> None:
        if isinstance(self.illuminant, str) and self.illuminant not in ILLUMINANTS:
            raise UnknownLightError(
                f"no illuminant is called {self.illuminant!r}",
                f"Use one of {', '.join(ILLUMINANTS)}, or give the light as a table.",
                place="illuminant",
            )
        if self.observer not in OBSERVERS:
            raise UnknownLightError(
                f"no standard observer has a field of {self.observer!r} degrees",
                "Use 2 or 10.",
                place="observer",
            )

    def __str__(self) -> str:
        return f"{self.illuminant}/{self.observer}°"


VIEWS: Mapping[str, View] = MappingProxyType(
    {
        "daylight": View("D65"),
        "direct sun": View("D50"),
        "open shade": View("D75"),
        "tungsten": View("A"),
        "tube": View("FL2"),
        "three-band tube": View("FL11"),
        "shop LED": View("LED-B4"),
        "warm LED": View("LED-B1"),
    }
)
"""The lights a shop meets, by plain name, for the 10 degree observer.

D50 stands for direct sun and D75 for open shade because they are the tabulated phases of daylight
nearest to the colour temperatures of those two lights; a measured table of the real light is better.
"""


def named_view(name: str) -> View:
    """Return the view with a plain name, such as "direct sun", or an illuminant's name for 10 degrees.

    raises  UnknownLightError
    """
    if name in VIEWS:
        return VIEWS[name]
    if name in ILLUMINANTS:
        return View(name)
    raise UnknownLightError(
        f"no light is called {name!r}",
        f"Use one of {', '.join((*VIEWS, *ILLUMINANTS))}.",
        place="light",
    )


def power(illuminant: str | Light, wavelengths: npt.ArrayLike) -> Array:
    """Return the relative spectral power of a light at any wavelengths, nm (n,) -> (n,).

    Linear between the tabulated wavelengths (CIE 15:2004), zero outside them.
    """
    if isinstance(illuminant, Light):
        nm, watts = np.array(illuminant.wavelengths), np.array(illuminant.power)
    else:
        nm, watts = tables.illuminant(illuminant)
    result: Array = np.interp(np.asarray(wavelengths, dtype=float), nm, watts, left=0.0, right=0.0)
    return result
