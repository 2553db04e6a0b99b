"""Lines: reflectance over wavelength, and a quantity over aspecular angles."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from sprayout_core.pictures.axes import Scale, apart, finite, grid, scale
from sprayout_core.pictures.svg import INK, PictureError, colour, element, framed, polyline, room, words

__all__ = ["Curve", "spectra", "travel"]

_HEIGHT = 330.0
_LEFT, _RIGHT, _TOP, _BOTTOM = 48.0, 430.0, 56.0, 282.0
_DASHES = ("", "3 9", "9 9", "2 4")
"""Lines differ by their dashes too, so that they can be told apart without seeing colour."""


@dataclass(frozen=True, slots=True)
class Curve:
    """A named line.

    across  wavelengths in nm, or aspecular angles in degrees
    up      as many values
    colour  #rrggbb, the colour of the panel
    """

    label: str
    across: Sequence[float]
    up: Sequence[float]
    colour: str = INK


def spectra(curves: Sequence[Curve], title: str = "Reflectance") -> str:
    """Return the picture of reflectance factors (1 for the perfect diffuser) over wavelengths in nm.

    raises  PictureError
    """
    _check(curves)
    up = scale([0.0, *(value for curve in curves for value in curve.up)], _BOTTOM, _TOP, least=0.1)
    across = _tight(curves)
    told = "; ".join(
        f"{curve.label}: {_least_and_most(curve)} between {min(curve.across):g} and {max(curve.across):g} nm"
        for curve in curves
    )
    lines = [*grid(across, up, ("wavelength, nm", "reflectance factor")), *_lines(curves, across, up)]
    return framed(_width(curves), _HEIGHT, title, told, lines)


def travel(curves: Sequence[Curve], quantity: str = "L*", title: str = "Travel over the angles") -> str:
    """Return the picture of a quantity over aspecular angles in degrees, at the angles measured.

    raises  PictureError
    """
    _check(curves)
    up = scale([value for curve in curves for value in curve.up], _BOTTOM, _TOP, least=5.0)
    across = scale([value for curve in curves for value in curve.across], _LEFT, _RIGHT, least=10.0)
    told = "; ".join(
        f"{curve.label}: "
        + ", ".join(f"{value:.1f} at {place:g}°" for place, value in zip(curve.across, curve.up, strict=True))
        for curve in curves
    )
    measured = sorted({float(place) for curve in curves for place in curve.across})
    drawn = grid(across, up, ("aspecular angle, degrees", quantity), measured)
    for curve in curves:
        drawn.extend(
            element("circle", cx=across(place), cy=up(value), r=3.5, fill=curve.colour, stroke=INK)
            for place, value in zip(curve.across, curve.up, strict=True)
        )
    drawn.extend(_lines(curves, across, up))
    return framed(_width(curves), _HEIGHT, title, f"{quantity} over aspecular angles. {told}", drawn)


def _check(curves: Sequence[Curve]) -> None:
    if not curves:
        raise PictureError("nothing to draw", "Give at least one curve.", place="curves")
    for curve in curves:
        across, up = finite(curve.across, curve.label), finite(curve.up, curve.label)
        if len(across) != len(up):
            raise PictureError(f"{len(across)} places but {len(up)} values", "Give as many of both.", place=curve.label)
        if len(across) < 2 or any(second <= first for first, second in pairwise(across)):
            raise PictureError("the places do not increase", "Sort the curve.", place=curve.label)
        colour(curve.colour, curve.label)


def _width(curves: Sequence[Curve]) -> float:
    return _RIGHT + 20.0 + room(curve.label for curve in curves)


def _tight(curves: Sequence[Curve]) -> Scale:
    places = [float(place) for curve in curves for place in curve.across]
    return Scale(min(places), max(places), _LEFT, _RIGHT)


def _least_and_most(curve: Curve) -> str:
    ordered = sorted(zip(curve.up, curve.across, strict=True))
    (least, low), (most, high) = ordered[0], ordered[-1]
    return f"least {least:.3f} at {low:g} nm, most {most:.3f} at {high:g} nm"


def _lines(curves: Sequence[Curve], across: Scale, up: Scale) -> list[str]:
    """Return the lines, each with a dark edge so that pale colours show, and labels at their ends."""
    drawn = []
    heights = apart([up(curve.up[-1]) for curve in curves], 15.0, _TOP, _BOTTOM)
    for place, (curve, height) in enumerate(zip(curves, heights, strict=True)):
        places = [(across(x), up(y)) for x, y in zip(curve.across, curve.up, strict=True)]
        drawn.append(polyline(places, stroke=INK, stroke_width=3.2, stroke_linejoin="round"))
        drawn.append(polyline(places, stroke=curve.colour, stroke_width=2.4, stroke_linejoin="round"))
        dashes = _DASHES[place % len(_DASHES)]
        if dashes:
            drawn.append(polyline(places, stroke=INK, stroke_width=2.4, stroke_dasharray=dashes))
        end_x, end_y = places[-1]
        drawn.append(polyline([(end_x, end_y), (_RIGHT + 8, height)], stroke=INK, stroke_width=0.7))
        drawn.append(words(_RIGHT + 12, height + 4, curve.label))
    return drawn
