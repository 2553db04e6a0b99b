"""What was sprayed and read, as the film model sees it: grounds, steps of panels, and the shop's marks on them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sprayout_core.errors import SprayoutError
from sprayout_core.film.clear import bare_to_cleared
from sprayout_core.film.geometry import geometry_of
from sprayout_core.film.given import numbers, refuse_percent

__all__ = ["Ground", "GroundKind", "PanelStep", "ground_from_bare"]

Array = NDArray[np.float64]


class GroundKind(StrEnum):
    """How a ground sends light back: over all directions, or along its flakes."""

    DIFFUSING = "diffusing"
    METALLIC = "metallic"


@dataclass(frozen=True, slots=True, eq=False)
class Ground:
    """A ground and its readings under a clear.

    name       what the library calls it
    kind       diffusing (solid colours, white, black, keyed) or metallic (metallics and pearls)
    readings   reading per geometry, reflectance factor; over 1 is legal   (n,) each
    converted  whether the readings were taken bare and converted to cleared
    computed   whether nothing was read: a keyed ground from what was read of its parts
    """

    name: str
    kind: GroundKind
    readings: Mapping[str, Array]
    converted: bool = False
    computed: bool = False

    def __post_init__(self) -> None:
        clean = {
            geometry_of(name).name: spectrum(value, f"ground {self.name}") for name, value in self.readings.items()
        }
        for geometry, reading in clean.items():
            refuse_percent(reading, geometry_of(geometry), f"ground {self.name}")
        if not clean:
            raise SprayoutError("a ground without a reading", "Read it once before the dye goes on.", place=self.name)
        object.__setattr__(self, "readings", clean)
        object.__setattr__(self, "kind", kind_of(self.kind, self.name))

    def reading(self, geometry: str) -> Array:
        """Return the cleared reading in a geometry, or refuse with what to measure."""
        name = geometry_of(geometry).name
        if name not in self.readings:
            raise SprayoutError(
                f"no {name} reading of this ground",
                f"Measure it cleared in {name}.",
                place=f"ground {self.name}",
            )
        return self.readings[name]


def kind_of(kind: str, name: str) -> GroundKind:
    """Return the kind of a ground from its word, or refuse it."""
    if kind not in list(GroundKind):
        known = ", ".join(GroundKind)
        raise SprayoutError(f"no kind of ground called {kind!r}", f"Use one of: {known}.", place=f"ground {name}")
    return GroundKind(kind)


def ground_from_bare(name: str, kind: GroundKind, readings: Mapping[str, ArrayLike], n: float = 1.5) -> Ground:
    """Return a ground from readings of its bare, matt surface, converted to cleared and marked as converted.

    A metallic ground is taken as a mirror (nothing trapped) for the conversion, since its trapping is not yet
    known; its own cleared reading is better wherever one can be had.
    """
    trapping = 1.0 if kind_of(kind, name) is GroundKind.DIFFUSING else 0.0
    cleared = {geometry: bare_to_cleared(value, geometry, n, trapping) for geometry, value in readings.items()}
    return Ground(name, kind, cleared, converted=True)


@dataclass(frozen=True, slots=True, eq=False)
class PanelStep:
    """One reading of one step (or zone) of one panel.

    panel        the physical panel; steps of one panel share its coats, and zones of one step its film
    ground       what lies under this zone
    shares       dry-film share of each dye or base, neat = 1; the rest of the film is clear carrier
    coats        coats counted at this step, above 0
    geometry     of the reading
    reading      reflectance factor under clear                                     (n,)
    film_um      dry film of the dye coats at this step where it was measured; wins over coats
    weight       how much this reading counts: 1 for a meter, less for scanned cards and single shots
    shop         who sprayed it: has a film factor of its own
    paint        class of paint: learns its own freedom of coats and its own accuracy
    """

    panel: str
    ground: Ground
    shares: Mapping[str, float]
    coats: float
    geometry: str
    reading: Array
    film_um: float | None = None
    weight: float = 1.0
    shop: str = ""
    paint: str = ""
    place: str = field(init=False, default="")

    def __post_init__(self) -> None:
        object.__setattr__(self, "place", f"panel {self.panel}")
        object.__setattr__(self, "geometry", geometry_of(self.geometry).name)
        object.__setattr__(self, "reading", spectrum(self.reading, self.place))
        refuse_percent(self.reading, geometry_of(self.geometry), self.place)
        if self.reading.shape != self.ground.reading(self.geometry).shape:
            raise SprayoutError("reading and ground have different wavelengths", "Use one grid.", place=self.place)
        counted = (self.coats, self.weight, 1.0 if self.film_um is None else self.film_um)
        if not all(0 < one < np.inf for one in counted):
            raise SprayoutError("coats, film and weight must be above 0", "Step 0 is the ground.", place=self.place)
        total = sum(self.shares.values())
        if not self.shares or min(self.shares.values()) < 0 or not 0 < total <= 1 + 1e-9:
            raise SprayoutError(
                "shares of the dry film must not be negative and sum to at most 1",
                "Give each dye's share of the mix; carrier is the rest.",
                place=self.place,
            )


def spectrum(values: ArrayLike, place: str) -> Array:
    """Return a finite, one-dimensional float array or refuse it; small negatives of instruments become 0."""
    array = numbers(values, place)
    if array.ndim != 1 or array.size == 0 or not np.all(np.isfinite(array)) or np.any(array < -0.01):
        raise SprayoutError("a reading must be a list of finite numbers from 0 up", "Check the source.", place=place)
    return np.asarray(np.maximum(array, 0.0), float)
