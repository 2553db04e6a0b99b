"""From readings to colours: each under one view, with its stage, geometry and grade kept beside it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from sprayout_core.errors import SprayoutError

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

    from sprayout_core.documents import Library, Measured, Reading
    from sprayout_core.light import Colour as SeenColour
    from sprayout_core.light import View

    Array = npt.NDArray[np.float64]

__all__ = ["Colour", "NoColour", "Spot", "colours_of", "default_view", "in_force", "repeats_of", "spectra_of", "spots"]


class NoColour(SprayoutError):
    """A reading that says nothing under the light asked for."""


@dataclass(frozen=True, order=True, slots=True)
class Spot:
    """What was measured and how: readings of one spot may be averaged, those of two never are."""

    panel: str
    zone: str
    step: str
    stage: str
    grade: str

    def said(self) -> str:
        """Return the spot in words, without its panel."""
        place = " ".join(
            part for part in (self.zone.replace("_", " "), f"step {self.step}" if self.step else "") if part
        )
        return ", ".join(part for part in (place, self.stage, self.grade) if part)


@dataclass(frozen=True, slots=True)
class Colour:
    """The colours of one spot by geometry, and the readings they rest on."""

    spot: Spot
    seen: Mapping[str, SeenColour]
    readings: tuple[str, ...]
    left_out: tuple[str, ...] = field(default=())


def default_view(manifest: Library | None) -> View:
    """Return the view that the library's manifest chose; D65 and 10 degrees where there is none."""
    from sprayout_core.light import View

    if manifest is None or manifest.illuminant is None or manifest.observer is None:
        return View()
    return View(manifest.illuminant, manifest.observer)


def in_force(readings: Iterable[Reading]) -> list[Reading]:
    """Return the readings that count: not withdrawn, and not superseded by one that is not withdrawn."""
    kept = [reading for reading in readings if reading.withdrawn is None]
    replaced = {reading.supersedes for reading in kept if reading.supersedes}
    return [reading for reading in kept if reading.id not in replaced]


def spots(readings: Iterable[Reading]) -> dict[Spot, list[Reading]]:
    """Return readings by the spot they measured; withdrawn and superseded ones are left out."""
    by_spot: dict[Spot, list[Reading]] = defaultdict(list)
    for reading in in_force(readings):
        spot = Spot(reading.panel, reading.zone or "", reading.step or "", reading.stage.surface, reading.grade)
        by_spot[spot].append(reading)
    return dict(sorted(by_spot.items()))


def colours_of(readings: Iterable[Reading], view: View) -> list[Colour]:
    """Return the colour of every spot measured, under one view: the mean of its repeats at each geometry.

    Spectra are computed; coordinates count only where they were given for this very view. Grades are never mixed.
    """
    found = []
    for spot, repeats in spots(readings).items():
        by_geometry: dict[str, list[SeenColour]] = defaultdict(list)
        left_out = []
        for reading in repeats:
            for one in reading.measured:
                try:
                    colour = _seen(one, view, spot.stage)
                except NoColour as error:
                    left_out.append(error.fault.problem)
                else:
                    by_geometry[one.geometry].append(colour)
        seen = {geometry: _mean(colours) for geometry, colours in sorted(by_geometry.items())}
        identities = tuple(sorted(reading.id for reading in repeats))
        found.append(Colour(spot, seen, identities, tuple(dict.fromkeys(left_out))))
    return found


def _seen(one: Measured, view: View, stage: str) -> SeenColour:
    import numpy as np

    from sprayout_core.light import Colour as SeenColour
    from sprayout_core.light import Conditions, GridError, View, colour, white

    conditions = Conditions(stage, one.geometry)
    spectrum = one.reduced or one.spectrum
    if spectrum is not None:
        try:
            return colour(np.array(spectrum.values, dtype=float), np.array(spectrum.grid()), view, conditions)
        except GridError as error:  # a reading is kept as it was made, also where no colour follows from it
            raise NoColour(f"no colour: {error.fault.problem}", error.fault.remedy) from None
    given = one.coordinates
    assert given is not None
    if (given.illuminant, given.observer) != (str(view.illuminant), view.observer):
        raise NoColour(
            f"L*a*b* for {given.illuminant}/{given.observer}° says nothing about {view}",
            "Measure a spectrum, or ask for the light it was given for.",
        )
    against = given.white or white(View(given.illuminant, given.observer), np.arange(400.0, 701.0, 10.0)).tolist()
    return SeenColour(np.array(given.lab, dtype=float), view, np.array(against), conditions)


def _mean(colours: list[SeenColour]) -> SeenColour:
    import numpy as np

    from sprayout_core.light import Colour as SeenColour
    from sprayout_core.light import comparable

    first = colours[0]
    for other in colours[1:]:
        comparable(first, other)
    return SeenColour(np.mean([one.lab for one in colours], axis=0), first.view, first.white, first.conditions)


def spectra_of(readings: Iterable[Reading]) -> dict[tuple[Spot, str], tuple[Array, Array]]:
    """Return the mean spectrum of each spot and geometry: wavelengths in nm and reflectance factors, (n,) each.

    Repeats on another grid than the first are left out of the mean.
    """
    import numpy as np

    found: dict[tuple[Spot, str], list[tuple[list[float], list[int | float]]]] = defaultdict(list)
    for spot, repeats in spots(readings).items():
        for reading in repeats:
            for one in reading.measured:
                spectrum = one.reduced or one.spectrum
                if spectrum is not None:
                    found[spot, one.geometry].append((spectrum.grid(), spectrum.values))
    means = {}
    for key, measured in found.items():
        grid = measured[0][0]
        rows = [values for nm, values in measured if nm == grid]
        means[key] = (np.array(grid), np.mean(np.array(rows, dtype=float), axis=0))
    return means


def repeats_of(readings: Iterable[Reading], view: View) -> dict[tuple[Spot, str], Array]:
    """Return L* a* b* of every single reading of each spot and geometry under a view, (n, 3)."""
    import numpy as np

    found: dict[tuple[Spot, str], list[Array]] = defaultdict(list)
    for spot, repeats in spots(readings).items():
        for reading in repeats:
            for one in reading.measured:
                try:
                    colour = _seen(one, view, spot.stage)
                except NoColour:
                    continue
                found[spot, one.geometry].append(colour.lab)
    return {key: np.array(labs) for key, labs in found.items()}
