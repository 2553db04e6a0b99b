"""Depth against coverage of a dye and a pearl: what more dye or more coats buy, and what they cost."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sprayout_core.errors import SprayoutError
from sprayout_core.film.colour import Eye
from sprayout_core.film.knowledge import Learned
from sprayout_core.film.panel import Ground
from sprayout_core.film.prediction import D65_10, predict_readings
from sprayout_core.film.two_flux import coats_to_hide, contrast_ratio
from sprayout_core.light import View

__all__ = ["DepthAndCoverage", "depth_against_coverage"]

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class DepthAndCoverage:
    """A chart: ratios of dye to pearl (rows) by coats (columns).

    coverage        contrast ratio Y over black / Y over white (ISO 6504-1)     (ratios, coats)
    lightness       L* over the white                                           (ratios, coats)
    chroma          C* over the white                                           (ratios, coats)
    colour          L*, a*, b* over the white                                   (ratios, coats, 3)
    coats_to_hide   coats until the contrast ratio is 0.98, None where the coats asked for do not reach it
    """

    ratios: tuple[tuple[float, float], ...]
    coats: tuple[float, ...]
    coverage: Array
    lightness: Array
    chroma: Array
    colour: Array
    coats_to_hide: tuple[float | None, ...]


def depth_against_coverage(
    learned: Learned,
    dye: str,
    pearl: str,
    ratios: Sequence[tuple[float, float]],
    coats: Sequence[float],
    white: Ground,
    black: Ground,
    geometry: str,
    view: View = D65_10,
) -> DepthAndCoverage:
    """Return depth against coverage for parts of dye to parts of pearl, by parts of equal solids.

    Raises SprayoutError where the pearl was learned without scattering: it then needs panels over white and black.
    """
    if pearl not in learned.scattering_dyes:
        raise SprayoutError(
            f"{pearl!r} was not learned as scattering",
            "Learn it from panels over white and black.",
            place=f"dye {pearl}",
        )
    shares = np.zeros((len(ratios), 1, len(learned.dyes)))
    for place, (one, two) in enumerate(ratios):
        if one < 0 or two < 0 or one + two <= 0:
            raise SprayoutError(f"{one}:{two} is no ratio", place="ratio")
        shares[place, 0, learned.row(dye)] = one / (one + two)
        shares[place, 0, learned.row(pearl)] = two / (one + two)
    counts = np.broadcast_to(np.asarray(coats, float), (len(ratios), len(coats)))
    eye = Eye.of(learned.wavelengths, view)
    mixes = np.broadcast_to(shares, (*counts.shape, shares.shape[-1]))
    over = {
        ground.name: predict_readings(
            learned, ground.reading(geometry), mixes, counts, geometry, learned.trapped(ground, geometry)
        )
        for ground in (white, black)
    }
    colour = eye.lab(over[white.name])
    luminance = {name: reading @ eye.matrix[:, 1] for name, reading in over.items()}
    coverage = contrast_ratio(luminance[black.name], luminance[white.name])
    return DepthAndCoverage(
        tuple((float(one), float(two)) for one, two in ratios),
        tuple(float(count) for count in coats),
        coverage,
        colour[..., 0],
        np.hypot(colour[..., 1], colour[..., 2]),
        colour,
        tuple(coats_to_hide(row, ratio) for row, ratio in zip(counts, coverage, strict=True)),
    )
