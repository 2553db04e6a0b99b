"""Evening out: the light's field from bare paper and grey strips, and the grey beside each patch."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
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

    def around(self, areas: Sequence[Rect]) -> Array:
        """Return how far the paper nearest to each area strays: the median of the six nearest places."""
        away = self.middles - np.array([_middle(area) for area in areas])[:, np.newaxis]
        nearest = np.argpartition((away * away).sum(axis=2), _NEAREST)[:, :_NEAREST]
        result: Array = np.median(self.strays[nearest], axis=1)
        return result


def even_out(frame: Frame, plan: Plan, light: Array, stored: npt.NDArray[np.integer], top: int) -> Evened:
    """Return how the light falls on the sheet; raises CardRefused where it cannot be repaired."""
    middles, levels, clipped, inks = (
        np.concatenate(each) for each in zip(*_squares(plan, light, stored, top), strict=True)
    )
    usable = clipped < _CLIPPED_SHARE
    middles, levels, inks = middles[usable], levels[usable], inks[usable]
    if (inks == 0).sum() < _FEWEST_SQUARES:
        raise CardRefused(
            Refusal.CLIPPED,
            "the bare paper is at the top of the scale, so how the light falls cannot be seen",
            "Expose a little less, or scan without automatic exposure: paper should stay below 250 of 255.",
        )
    if (levels <= 1e-4).any():
        raise CardRefused(Refusal.UNEVEN, "part of the sheet is black", "Uncover the sheet and light all of it.")
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


def even(field: LightField, spots: Sequence[Spot], light: Array) -> Array:
    """Return linear light with bare paper = 1 of spots with one lattice (spots, 3, samples)."""
    flat = field.over_all([spot.area for spot in spots], spots[0].columns, spots[0].rows)
    result: Array = np.divide(light.reshape(len(spots), -1, 3).transpose(0, 2, 1), flat, out=flat)
    return result


def _squares(
    plan: Plan, light: Array, stored: npt.NDArray[np.integer], top: int
) -> Iterator[tuple[Array, Array, Array, npt.NDArray[np.integer]]]:
    """Give middles, levels, shares of clipped pixels and inks of the squares of paper, then of the strips."""
    yield np.empty((0, 2)), np.empty((0, 3)), np.empty(0), np.empty(0, dtype=int)
    for ink, role in enumerate((BARE, "strip")):
        for spots, part in plan.alike(role):
            held = stored[part].reshape(len(spots), -1, 3)
            clipped = (held.max(axis=2) >= _TOP * top).mean(axis=1)
            middles = np.array([_middle(spot.area) for spot in spots])
            yield middles, _mean(light[part].reshape(len(spots), -1, 3)), clipped, np.full(len(spots), ink)


def _away(field: LightField, middles: Array, levels: Array, inks: npt.NDArray[np.integer]) -> Array:
    over = levels / field.level(middles)
    for ink in set(inks.tolist()) - {0}:
        over[inks == ink] /= np.median(over[inks == ink], axis=0)
    away: Array = np.abs(over - 1.0).max(axis=1)
    return away


def grey_beside(plan: Plan, light: Array, field: LightField) -> Mapping[str, list[tuple[Rect, Array]]]:
    """Return each window's grey strip pieces: area, and linear light with bare paper = 1."""
    found: dict[str, list[tuple[Rect, Array]]] = {}
    for spots, part in plan.alike("strip"):
        levels = _mean(light[part].reshape(len(spots), -1, 3))
        levels = levels / field.level([_middle(spot.area) for spot in spots])
        for spot, level in zip(spots, levels, strict=True):
            found.setdefault(spot.window, []).append((spot.area, level))
    return found


def _middle(area: Rect) -> tuple[float, float]:
    return area.x + area.width / 2, area.y + area.height / 2


def _mean(light: Array) -> Array:
    """Return the mean without the extremes, (spots, samples, 3) -> (spots, 3).

    Printed grey is made of dots, a median would pick one ink.
    """
    ordered = np.sort(light, axis=1)
    cut = ordered.shape[1] // 10
    mean: Array = ordered[:, cut : ordered.shape[1] - cut].mean(axis=1)
    return mean
