"""Evening out: the light's field from bare paper and grey strips, and the grey beside each patch."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from sprayout_core.card import CardRefused, Frame, LightField, Rect, Refusal, fit_light
from sprayout_plugins.card_scan.plan import BARE, Plan, Spot

__all__ = ["Evened", "even", "even_out", "grey_beside"]

Array = npt.NDArray[np.float64]

_UNEVEN = 0.06
_WEAKEST = 0.2
_FEWEST_SQUARES = 12
_CLIPPED_SHARE = 0.2
_TOP = 0.996
_NEAREST = 6


@dataclass(frozen=True)
class Evened:
    """The light's field, and how far each place it was fitted to strays from it, relative."""

    field: LightField
    middles: Array
    strays: Array

    def around(self, area: Rect) -> float:
        """Return how far the paper nearest to an area strays: the median of the six nearest places."""
        away = self.middles - np.array(_middle(area))
        nearest = np.argpartition((away * away).sum(axis=1), _NEAREST)[:_NEAREST]
        return float(np.median(self.strays[nearest]))


def even_out(frame: Frame, plan: Plan, light: Array, stored: npt.NDArray[np.integer], top: int) -> Evened:
    """Return how the light falls on the sheet; raises CardRefused where it cannot be repaired."""
    squares = [(spot, part, 0) for spot, part in plan.of(BARE)]
    squares += [(spot, part, 1) for spot, part in plan.of("strip")]
    usable = [
        (spot, part, ink)
        for spot, part, ink in squares
        if (stored[part] >= _TOP * top).any(axis=1).mean() < _CLIPPED_SHARE
    ]
    paper = sum(ink == 0 for _, _, ink in usable)
    if paper < _FEWEST_SQUARES:
        raise CardRefused(
            Refusal.CLIPPED,
            "the bare paper is at the top of the scale, so how the light falls cannot be seen",
            "Expose a little less, or scan without automatic exposure: paper should stay below 250 of 255.",
        )
    middles = np.array([_middle(spot.area) for spot, _, _ in usable])
    levels = np.stack([_mean(light[part]) for _, part, _ in usable])
    if (levels <= 1e-4).any():
        raise CardRefused(Refusal.UNEVEN, "part of the sheet is black", "Uncover the sheet and light all of it.")
    inks = np.array([ink for _, _, ink in usable])
    field = fit_light(middles, levels, inks, (frame.width, frame.height))
    if field.residual > _UNEVEN:
        raise CardRefused(
            Refusal.UNEVEN,
            f"the light on the paper jumps by {field.residual:.0%}, {_UNEVEN:.0%} can be borne",
            "Keep shadows and reflections off the sheet; use the scanner, or soft light from two sides.",
        )
    if field.weakest < _WEAKEST:
        raise CardRefused(
            Refusal.UNEVEN,
            f"the darkest part of the sheet has {field.weakest:.0%} of the light of the brightest",
            "Use the scanner, or soft light from two sides.",
        )
    return Evened(field, middles, _away(field, middles, levels, inks))


def even(field: LightField, spot: Spot, light: Array) -> Array:
    """Return a spot's linear light with bare paper = 1 (samples, 3)."""
    result: Array = light / field.over(spot.area, spot.columns, spot.rows)
    return result


def _away(field: LightField, middles: Array, levels: Array, inks: npt.NDArray[np.integer]) -> Array:
    over = levels / field.level(middles)
    for ink in set(inks.tolist()) - {0}:
        over[inks == ink] /= np.median(over[inks == ink], axis=0)
    away: Array = np.abs(over - 1.0).max(axis=1)
    return away


def grey_beside(plan: Plan, light: Array, field: LightField) -> Mapping[str, list[tuple[Rect, Array]]]:
    """Return each window's grey strip pieces: area, and linear light with bare paper = 1."""
    found: dict[str, list[tuple[Rect, Array]]] = {}
    for spot, part in plan.of("strip"):
        level = _mean(light[part]) / field.level(_middle(spot.area))
        found.setdefault(spot.window, []).append((spot.area, level))
    return found


def _middle(area: Rect) -> tuple[float, float]:
    return area.x + area.width / 2, area.y + area.height / 2


def _mean(light: Array) -> Array:
    """Return the mean without the extremes: printed grey is made of dots, a median would pick one ink."""
    ordered = np.sort(light, axis=0)
    cut = len(ordered) // 10
    mean: Array = ordered[cut : len(ordered) - cut].mean(axis=0)
    return mean
