"""What the pixels of one patch say: middle, spread, clipping, glints, and whether it is one colour at all."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from sprayout_core.errors import Fault

__all__ = ["PixelSummary", "fit_to_measure", "summarise", "summarise_all"]

Array = npt.NDArray[np.float64]
Floats = npt.NDArray[np.floating]

_TOP_SHARE = 0.996  # 254 of 255: JPEG smears what was clipped
_BOTTOM_SHARE = 0.0005  # 0 of 255, up to 32 of 65,535
_CLIPPED = 0.05
_DRIFT = 0.25
_DARK = 0.02


@dataclass(frozen=True)
class PixelSummary:
    """A patch in one line.

    median   linear light per channel                                            (3,)
    spread   robust standard deviation of a pixel over the median, per channel   (3,)
    clipped_low, clipped_high   share of pixels at an end of the scale in any channel, 0 to 1
    glints   share of pixels far brighter than the patch, 0 to 1
    drift    largest relative difference between the quarters of the patch
    """

    median: Array
    spread: Array
    clipped_low: float
    clipped_high: float
    glints: float
    drift: float


def summarise(light: Array, stored: npt.NDArray[np.integer], top: int, columns: int) -> PixelSummary:
    """Summarise a patch's pixels.

    light    linear light, relative to bare paper, row by row     (rows * columns, 3)
    stored   the same pixels as the file holds them               (rows * columns, 3)
    top      the largest value the file can hold: 255 or 65535
    columns  pixels in a row

    The median is taken per channel, so glints of flakes, dust and scratches do not move it; the share they
    cover is told as `glints`.
    """
    return summarise_all(np.ascontiguousarray(light.T)[np.newaxis], stored.T[np.newaxis], top, columns)[0]


def summarise_all(light: Array, stored: npt.NDArray[np.integer], top: int, columns: int) -> list[PixelSummary]:
    """Summarise patches of equally many pixels at once, as `summarise` does one.

    light    linear light, relative to bare paper, row by row     (patches, 3, rows * columns)
    stored   the same pixels as the file holds them               (patches, 3, rows * columns)
    """
    # a median along contiguous rows is several times faster than one across them
    median = _median(light)
    # what says how far pixels stray is needed to two figures: single precision, which is parted in half the time
    rough, middles = light.astype(np.float32), median.astype(np.float32)
    away = 1.4826 * _median_away(rough, middles)
    floor = np.maximum(median, 1e-4)
    sum_light, middle = rough.sum(axis=1), middles.sum(axis=1)
    noise = 1.4826 * _median_away(sum_light, middle)
    # a glint is told from noise by standing out twice: from the noise and from the patch
    bright = middle + np.maximum(6.0 * noise, 0.15 * middle)
    glints = (sum_light > bright[:, np.newaxis]).mean(axis=1)
    low = (stored.min(axis=1) <= _BOTTOM_SHARE * top).mean(axis=1)
    high = (stored.max(axis=1) >= _TOP_SHARE * top).mean(axis=1)
    shares = np.stack([low, high, glints, _drift(rough, columns)], axis=1).tolist()
    return [PixelSummary(*one, *share) for *one, share in zip(median, away / floor, shares, strict=True)]


def fit_to_measure(summary: PixelSummary, place: str) -> Fault | None:
    """Return why a patch gives no colour, or None."""
    if summary.clipped_high > _CLIPPED:
        return Fault(
            place,
            f"{summary.clipped_high:.0%} of its pixels are at the top of the scale",
            "Expose less, or scan without automatic exposure.",
        )
    if summary.clipped_low > _CLIPPED:
        return Fault(
            place,
            f"{summary.clipped_low:.0%} of its pixels are at zero in a channel",
            "Save as 16 bit with a wide colour space, or expose more; this colour may be outside what the "
            "picture can hold.",
        )
    if summary.drift > _DRIFT:
        return Fault(
            place,
            f"it is not one colour: its quarters differ by {summary.drift:.0%}",
            "Lay the piece so that it fills its window, free of shadow and reflections.",
        )
    return None


def _drift(light: Floats, columns: int) -> Array:
    count = len(light)
    square = light.reshape(count, 3, -1, columns)
    rows, half = square.shape[2] // 2, columns // 2
    if rows == 0 or half == 0:
        return np.zeros(count)
    quarters = square[:, :, : 2 * rows, : 2 * half].reshape(count, 3, 2, rows, 2, half).transpose(0, 1, 2, 4, 3, 5)
    levels = _median(quarters.reshape(count, 3, 4, -1))
    away = levels.max(axis=2) - levels.min(axis=2)
    result: Array = (away / np.maximum(levels.mean(axis=2), _DARK)).max(axis=1)
    return result


def _median(values: Floats) -> Array:
    """Return the median along the last axis: what `np.median` gives, in a third of the time for short rows."""
    return _middle(np.partition(values, values.shape[-1] // 2))


def _median_away(values: Floats, middle: Floats) -> Array:
    """Return the median distance from a middle along the last axis."""
    away = values - middle[..., np.newaxis]
    np.abs(away, out=away)
    away.partition(away.shape[-1] // 2)
    return _middle(away)


def _middle(parted: Floats) -> Array:
    """Return the median of what was parted at half its length along the last axis."""
    half, odd = divmod(parted.shape[-1], 2)
    upper: Array = parted[..., half].astype(float)
    return upper if odd else (parted[..., :half].max(axis=-1) + upper) / 2.0
