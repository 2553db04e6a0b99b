"""Spot repair: what the fading edge of a transparent coat will show. A picture of the risk, never a promise."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sprayout_core.difference import ciede2000
from sprayout_core.errors import SprayoutError
from sprayout_core.film.colour import Eye
from sprayout_core.film.geometry import geometry_of
from sprayout_core.film.knowledge import Learned
from sprayout_core.film.panel import Ground
from sprayout_core.film.prediction import D65_10, predict_readings
from sprayout_core.light import View

__all__ = ["SpotRepair", "spot_repair"]

Array = NDArray[np.float64]

_BUILD = np.array([1.0, 0.5, 1.5, 2.0, 0.0])


@dataclass(frozen=True, slots=True, eq=False)
class SpotRepair:
    """A repaired spot's edge against the whole colour beside it.

    half       L*a*b* at half build over fresh ground, per geometry            (3,)
    fresh      dE00 at half build over fresh ground, worst angle: of a clear dye the edge shows lighter
    overlap    dE00 where half a build lies over the old whole one: of a clear dye the edge shows darker
    double     dE00 where the whole new build lies over the old one
    risk       what to make of it
    """

    half: Mapping[str, Array]
    fresh: float
    overlap: float
    double: float
    risk: str
    words: str


def spot_repair(
    learned: Learned,
    ground: Ground,
    mix: Mapping[str, float],
    coats: float,
    geometries: Sequence[str],
    view: View = D65_10,
) -> SpotRepair:
    """Return the predicted colour at half build and what a blend will show, dE00 at the worst angle."""
    if not coats > 0:
        raise SprayoutError("a repair needs at least part of a coat", place="coats")
    eye = Eye.of(learned.wavelengths, view)
    shares = np.broadcast_to(learned.shares([mix])[0], (_BUILD.size, len(learned.dyes)))
    half: dict[str, Array] = {}
    worst = np.zeros(_BUILD.size)
    way = np.zeros(_BUILD.size)
    for each in geometries:
        name = geometry_of(each).name
        trap = learned.trapped(ground, name)
        colours = eye.lab(predict_readings(learned, ground.reading(name), shares, _BUILD * coats, name, trap))
        half[name] = colours[1]
        way += colours[:, 0] - colours[0, 0]
        worst = np.maximum(worst, np.asarray(ciede2000(colours[0], colours)))
    return SpotRepair(half, float(worst[1]), float(worst[2]), float(worst[3]), _risk(worst), _words(worst, way))


def _risk(worst: Array) -> str:
    edge = max(worst[1], worst[2])
    if edge < 1.0:
        return "a wide, soft edge may pass"
    if edge < 3.0:
        return "the edge will show in some lights: fade over a long way, or to a line of the piece"
    return "the edge will show: take the colour to a line of the piece, or redo the whole part"


def _words(worst: Array, way: Array) -> str:
    fresh, over = ("lighter" if each > 0 else "darker" for each in way[1:3])
    return (
        f"half build over fresh ground is {worst[1]:.1f} off ({fresh}), half a build over the old one {worst[2]:.1f} "
        f"({over}); {_risk(worst)}. A prediction, not a promise: spray a test blend first"
    )
