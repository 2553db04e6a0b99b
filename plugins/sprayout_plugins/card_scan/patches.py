"""Each patch of the sheet, before colours: its light with bare paper = 1, its quality, or why it has none."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from sprayout_core.card import (
    Frame,
    PatchResult,
    Rect,
    StepBounds,
    WindowKind,
    find_steps,
    fit_to_measure,
    summarise_all,
)
from sprayout_core.errors import Fault
from sprayout_plugins.card_scan.light import Evened, even, grey_beside
from sprayout_plugins.card_scan.plan import INSIDE, Plan, Spot

__all__ = ["read_patches"]

Array = npt.NDArray[np.float64]
Strips = Mapping[str, list[tuple[Rect, Array]]]

_HATCHED = 0.06
_FAR_DARKER = 0.75
_PAPER = 0.12
_STRANGE = 0.04
_STEP_OUTSIDE = 1.0 - INSIDE


@dataclass(frozen=True)
class _Beside:
    """What every patch is seen against: the top of the scale, grey strips by window, and the light."""

    top: int
    greys: Strips
    evened: Evened


def read_patches(
    frame: Frame, plan: Plan, light: Array, stored: npt.NDArray[np.integer], top: int, evened: Evened
) -> tuple[tuple[PatchResult, ...], Mapping[str, StepBounds]]:
    """Return every patch in the frame's order, and where the steps of each step window were found."""
    field = evened.field
    beside = _Beside(top, grey_beside(plan, light, field), evened)
    kinds = {window.name: window.kind for window in frame.windows}
    found: dict[tuple[str, str], PatchResult] = {}
    steps = {}
    for spots, part in plan.alike("patch"):
        flat, held = even(field, spots, light[part]), _planes(stored[part], len(spots))
        for spot, patch in zip(spots, _patches(spots, kinds, flat, held, beside), strict=True):
            found[spot.window, spot.label] = patch
    for spot, part in plan.of("steps"):
        flat = even(field, [spot], light[part]).reshape(1, 3, spot.rows, spot.columns)
        held = _planes(stored[part], 1).reshape(flat.shape)
        labels = frame.window(spot.window).labels
        bounds = find_steps(np.median(flat[0], axis=1).T, len(labels))
        steps[spot.window] = bounds
        for number, label in enumerate(labels):
            step, columns = _step(spot, label, bounds.edges[number], bounds.edges[number + 1])
            inside, raw = flat[..., columns].reshape(1, 3, -1), held[..., columns].reshape(1, 3, -1)
            (found[spot.window, label],) = _patches([step], kinds, inside, raw, beside)
    ordered = tuple(found[window.name, label] for window in frame.windows for label in window.labels)
    return ordered, steps


def _planes(stored: npt.NDArray[np.integer], count: int) -> npt.NDArray[np.integer]:
    return np.ascontiguousarray(stored.reshape(count, -1, 3).transpose(0, 2, 1))


def _patches(
    spots: Sequence[Spot],
    kinds: Mapping[str, WindowKind],
    light: Array,
    stored: npt.NDArray[np.integer],
    beside: _Beside,
) -> Iterator[PatchResult]:
    """Give what spots with one lattice are, from their light and stored values (spots, 3, samples)."""
    summaries = summarise_all(light, stored, beside.top, spots[0].columns)
    dark = (light.min(axis=1) < _FAR_DARKER).mean(axis=1).tolist()
    strays = beside.evened.around([spot.area for spot in spots]).tolist()
    for spot, summary, share, stray in zip(spots, summaries, dark, strays, strict=True):
        place = f"{spot.window}/{spot.label}"
        refusal = _empty(summary.median, share, place) or fit_to_measure(summary, place) or _strange_light(stray, place)
        yield PatchResult(
            window=spot.window,
            label=spot.label,
            kind=kinds[spot.window],
            area=spot.area,
            light=_triple(summary.median) if refusal is None else None,
            lab=None,
            interval=None,
            spread=_triple(summary.spread),
            clipped_low=summary.clipped_low,
            clipped_high=summary.clipped_high,
            glints=summary.glints,
            drift=summary.drift,
            grey=_grey(spot, beside.greys),
            refusal=refusal,
        )


def _step(spot: Spot, label: str, begin: float, end: float) -> tuple[Spot, slice]:
    """Return the middle of one step as a spot of its own, and its columns in the window's lattice."""
    margin = (end - begin) * _STEP_OUTSIDE / 2
    first = round((begin + margin) * spot.columns)
    last = max(first + 2, round((end - margin) * spot.columns))
    columns = slice(first, min(last, spot.columns))
    count = columns.stop - columns.start
    area = Rect(
        spot.area.x + first * spot.area.width / spot.columns,
        spot.area.y,
        count * spot.area.width / spot.columns,
        spot.area.height,
    )
    return Spot("patch", spot.window, label, area, count, spot.rows), columns


def _empty(median: Array, dark: float, place: str) -> Fault | None:
    """Tell a window whose hatching still shows: mostly paper, with many pixels far darker than paper."""
    if np.abs(median - 1.0).max() > _PAPER or dark < _HATCHED:
        return None
    return Fault(place, "nothing lies here: the hatching shows", "Fill the window, or leave it out of account.")


def _strange_light(strays: float, place: str) -> Fault | None:
    if strays <= _STRANGE:
        return None
    return Fault(
        place,
        f"the paper around it strays by {strays:.0%} from how the light falls elsewhere",
        "Keep shadows and reflections off it, or copy the file again: it may be damaged.",
    )


def _grey(spot: Spot, greys: Strips) -> tuple[float, float, float] | None:
    """Return the mean of the strip pieces beside a patch, above and below; the nearest where none is."""
    pieces = greys.get(spot.window, [])
    if not pieces:
        return None
    left, right = spot.area.x, spot.area.x + spot.area.width
    beside = [level for area, level in pieces if area.x < right and left < area.x + area.width]
    if not beside:
        middle = (left + right) / 2
        nearest = min(abs(area.x + area.width / 2 - middle) for area, _ in pieces)
        beside = [level for area, level in pieces if abs(area.x + area.width / 2 - middle) <= nearest + 1e-6]
    return _triple(np.mean(beside, axis=0))


def _triple(values: Array) -> tuple[float, float, float]:
    return float(values[0]), float(values[1]), float(values[2])
