"""What an instrument gives at one geometry: a spectrum, coordinates, or both."""

from __future__ import annotations

from itertools import pairwise
from typing import Annotated, Literal

from pydantic import Field, model_validator

from sprayout_core.documents.head import Part
from sprayout_core.documents.values import Number, Text, fault

__all__ = ["Coordinates", "Measured", "Spectrum"]

#: 45:0, 0:45, diffuse with specular included or excluded (di:8, de:8; CIE 15), or illumination
#: and aspecular angle in degrees, positive toward the normal (45as15; ASTM E2539).
Geometry = Annotated[str, Field(pattern=r"^(45:0|0:45|d[ie]:8|[0-9]{1,2}as-?[0-9]{1,3})$")]


class Spectrum(Part):
    """Reflectance factors, unit interval; on an even grid, or on the wavelengths given."""

    start_nm: Annotated[Number, Field(ge=200, le=3000)] | None = None
    end_nm: Annotated[Number, Field(ge=200, le=3000)] | None = None
    step_nm: Annotated[Number, Field(gt=0, le=100)] | None = None
    wavelengths_nm: list[Annotated[Number, Field(ge=200, le=3000)]] | None = None
    values: list[Annotated[Number, Field(ge=-1, le=100)]] = Field(min_length=2, max_length=3000)
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
        if self.wavelengths_nm is not None:
            return [float(nm) for nm in self.wavelengths_nm]
        assert self.start_nm is not None
        assert self.step_nm is not None
        return [float(self.start_nm + self.step_nm * place) for place in range(len(self.values))]


class Coordinates(Part):
    """CIELAB under a named view, with the white it was computed against where that is known."""

    lab: list[Number] = Field(min_length=3, max_length=3)
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
        if self.spectrum is None and self.coordinates is None:
            raise fault("nothing measured", "Give a spectrum or coordinates.")
        return self
