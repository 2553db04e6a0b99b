"""What a card gives: every patch with its colour, interval and quality, and how it was found."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from sprayout_core.card.choose import CorrectionModel
from sprayout_core.card.hiding import Hiding
from sprayout_core.card.layout import Frame, Rect, WindowKind
from sprayout_core.card.steps import StepBounds
from sprayout_core.errors import Fault
from sprayout_core.light import View

__all__ = ["GRADE", "CardResult", "PatchResult", "Reference", "Triple"]

GRADE = "image-derived"
"""The grade of every colour from a card: kept apart from spectra and from colorimeters for ever."""

Triple = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Reference:
    """The known colours on a frame.

    name     where the values come from, for the reader
    view     light and observer of the values, and so of every colour the card gives
    colours  L*, a*, b* by 'window/label' of the frame's reference windows
    """

    name: str
    view: View
    colours: Mapping[str, Triple]


@dataclass(frozen=True, slots=True)
class PatchResult:
    """One patch.

    area      what was looked at, mm on the sheet
    light     linear light, red green blue, bare paper = 1; None where refused
    lab       L*, a*, b* in the reference's view; None where refused
    interval  CIEDE2000 that the error stays below, about 95 times in 100; None where refused
    spread    robust standard deviation of a pixel over the median, per channel: grain, flakes and noise
    clipped_low, clipped_high, glints   shares of pixels, 0 to 1
    drift     largest relative difference between the quarters of the patch
    grey      linear light of the grey strips beside it, bare paper = 1, where there are any
    known     the reference colour, for reference patches that have one
    left_out  CIEDE2000 when this reference patch was left out of the fit
    refusal   why there is no colour
    """

    window: str
    label: str
    kind: WindowKind
    area: Rect
    light: Triple | None
    lab: Triple | None
    interval: float | None
    spread: Triple
    clipped_low: float
    clipped_high: float
    glints: float
    drift: float
    grey: Triple | None = None
    known: Triple | None = None
    left_out: float | None = None
    refusal: Fault | None = None


class _Drawn:
    """A field of bytes that may be given as a function without arguments, which is called when they are first read."""

    def __set_name__(self, owner: type, name: str) -> None:
        self._name = name

    def __get__(self, result: object | None, owner: type | None = None) -> bytes:
        if result is None:
            raise AttributeError(self._name)  # so that the field has no default and must be given
        given: bytes | Callable[[], bytes] = result.__dict__[self._name]
        if callable(given):
            given = result.__dict__[self._name] = given()
        return given

    def __set__(self, result: object, given: bytes | Callable[[], bytes]) -> None:
        result.__dict__[self._name] = given


@dataclass(frozen=True)
class CardResult:
    """Everything one picture of a card gave.

    picture   SHA-256 of the picture's bytes
    profile   what the file says about its colours, or 'none: sRGB assumed' and the like
    profile_digest  SHA-256 of the embedded profile, or ''
    bits      per channel, 8 or 16
    pixels_per_mm   least of the sheet
    blur      width (standard deviation) of an edge, mm
    uneven    relative misfit of the light's field that 90 % of the paper stays below
    weakest   least light on the sheet over the most
    notes     what a reader should know, in sentences
    overlay   PNG: the straightened picture with every area that was looked at; given as bytes, or as a function
              that draws it when it is first read and may raise CardRefused
    located   whether the picture tells where on earth it was taken
    """

    frame: Frame
    reference: Reference
    picture: str
    profile: str
    profile_digest: str
    bits: int
    pixels_per_mm: float
    blur: float
    uneven: float
    weakest: float
    model: CorrectionModel
    patches: tuple[PatchResult, ...]
    steps: Mapping[str, StepBounds]
    hidings: Mapping[str, Hiding]
    notes: tuple[str, ...]
    overlay: _Drawn = _Drawn()
    grade: str = GRADE
    located: bool = False

    def patch(self, window: str, label: str) -> PatchResult:
        """Return one patch; KeyError where the frame has none of that name."""
        return {(patch.window, patch.label): patch for patch in self.patches}[window, label]
