"""What an instrument gives at one geometry: a spectrum, coordinates, or both."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from typing import Annotated, Literal

from pydantic import Field, model_validator

from sprayout_core.documents import ways
from sprayout_core.documents.head import Part
from sprayout_core.documents.spelling import Geometry, Rule, fault, refuse
from sprayout_core.documents.values import Coordinate, Nanometres, Number, Reflectance, Text

__all__ = ["Coordinates", "Measured", "Spectrum"]

#: A reflectance factor above this is none where nothing shines: it was given in percent.
_BRIGHTEST = 2


class Spectrum(Part):
    """Reflectance factors, unit interval; on an even grid, or on the wavelengths given."""

    start_nm: Nanometres | None = None
    end_nm: Nanometres | None = None
    step_nm: Annotated[Number, Field(gt=0, le=100)] | None = None
    wavelengths_nm: list[Nanometres] | None = None
    values: list[Reflectance] = Field(min_length=2, max_length=3000)
    bandpass: Literal["corrected", "not-corrected"] | None = None

    @model_validator(mode="after")
    def _grid(self) -> Spectrum:
        even = (self.start_nm, self.end_nm, self.step_nm)
        if self.wavelengths_nm is not None:
            if any(part is not None for part in even):
                raise fault("an even grid and wavelengths at once", "Give one of them.")
            nm = self.wavelengths_nm
            if any(b <= a for a, b in pairwise(nm)):
                raise fault("wavelengths do not rise", "Sort them from short to long, each once.", "wavelengths_nm")
            expected = len(nm)
        else:
            if self.start_nm is None or self.end_nm is None or self.step_nm is None:
                raise fault("no grid", "Give start_nm, end_nm and step_nm, or wavelengths_nm.")
            if self.end_nm <= self.start_nm:
                raise fault("the grid does not rise", "start_nm is the shorter wavelength.", "end_nm")
            steps = (self.end_nm - self.start_nm) / self.step_nm
            if abs(steps - round(steps)) > 1e-9:
                raise fault("the step does not reach the end", "Mend start_nm, end_nm or step_nm.", "step_nm")
            expected = round(steps) + 1
        if len(self.values) != expected:
            raise fault(f"{len(self.values)} values for {expected} wavelengths", "Give one for each.", "values")
        return self

    def grid(self) -> list[float]:
        """Return the wavelengths in nm."""
        return ways.grid(self)


class Coordinates(Part):
    """CIELAB under a named view, with the white it was computed against where that is known."""

    lab: list[Coordinate] = Field(min_length=3, max_length=3)
    illuminant: Text
    observer: Literal[2, 10]
    white: list[Annotated[Number, Field(gt=0)]] | None = Field(default=None, min_length=3, max_length=3)


class Measured(Part):
    """What was measured at one geometry."""

    geometry: Geometry
    spectrum: Spectrum | None = None
    reduced: Spectrum | None = None
    coordinates: Coordinates | None = None
    uncertainty: Annotated[Number, Field(gt=0)] | None = None

    @model_validator(mode="after")
    def _something(self) -> Measured:
        refuse(self._broken())
        return self

    def _broken(self) -> Iterator[Rule]:
        if self.spectrum is None and self.coordinates is None:
            yield Rule("nothing measured", "Give a spectrum or coordinates.")
        if "as" in self.geometry:
            return
        for name in ("spectrum", "reduced"):
            one: Spectrum | None = getattr(self, name)
            if one is not None and max(one.values) > _BRIGHTEST:
                problem = f"{max(one.values)} at {self.geometry} is no reflectance factor"
                yield Rule(problem, "Write 0 to 1 for black to white, not percent.", f"{name}/values")
