"""Cups with sloping sides: by their measures, or calibrated by weighing water at their marks."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from sprayout_core.errors import SprayoutError
from sprayout_core.mix.amount import to_step
from sprayout_core.mix.bounds import Span, positive, told

__all__ = ["CalibratedCup", "Taper", "calibrated", "water_g_per_ml"]


@dataclass(frozen=True, slots=True)
class Taper:
    """A round cup that widens evenly: inner diameters at the bottom and at a height, millimetres."""

    bottom_mm: Fraction
    top_mm: Fraction
    height_mm: Fraction

    def share_below(self, height_mm: Fraction) -> Fraction:
        """Return the exact share of the volume that lies below height_mm (a frustum of a cone)."""
        if not 0 <= height_mm <= positive(self.height_mm, "height"):
            raise SprayoutError(f"{told(height_mm)} mm is outside the cup", f"It is {told(self.height_mm)} mm high.")
        up = Fraction(height_mm) / self.height_mm
        bottom, top = positive(self.bottom_mm, "bottom"), positive(self.top_mm, "top")
        width = bottom + (top - bottom) * up
        return up * (bottom**2 + bottom * width + width**2) / (bottom**2 + bottom * top + top**2)

    def equal_heights_pour(self, parts: Mapping[str, Fraction]) -> dict[str, Fraction]:
        """Return the shares really poured when parts are taken as heights, bottom to top."""
        whole = sum((positive(part, name) for name, part in parts.items()), Fraction(0))
        poured, running, before = {}, Fraction(0), Fraction(0)
        for name, part in parts.items():
            running += part
            below = self.share_below(self.height_mm * running / whole)
            poured[name], before = below - before, below
        return poured

    def height_for(self, share: Fraction, step_mm: Fraction = Fraction(1, 2)) -> Fraction:
        """Return the height below which a share of the whole lies, to the nearest step that can be read."""
        if not 0 <= share <= 1:
            raise SprayoutError(f"{told(share)} is no share of a whole", "Give 0 to 1.")
        low, high = 0, int(self.height_mm // step_mm)
        while low < high:
            middle = (low + high) // 2
            low, high = (low, middle) if self.share_below(middle * step_mm) >= share else (middle + 1, high)
        near = [height * step_mm for height in (low - 1, low) if height >= 0]
        return min(near, key=lambda height: abs(self.share_below(height) - share))


@dataclass(frozen=True, slots=True)
class CalibratedCup:
    """A cup known by measurement: the millilitres up to each mark, from the bottom mark up.

    heights_mm start at 0 (0 ml); between two marks nothing was measured, so readings there are ranges.
    """

    name: str
    heights_mm: tuple[Fraction, ...]
    volumes_ml: tuple[Fraction, ...]

    def volume_at(self, height_mm: Fraction) -> Span:
        """Return the volume up to a height: one value at a mark, a range between two.

        In a cup that widens (or narrows) evenly enough for its slopes to keep rising (or falling), the
        truth lies between the straight line through both marks and the lines of the neighbours carried
        on; elsewhere the range spans all of them.
        """
        place = _between(self.heights_mm, height_mm, self.name)
        if self.heights_mm[place] == height_mm:
            return Span.exactly(self.volumes_ml[place])
        chord = self._line(place - 1, height_mm)
        carried = [
            self._line(neighbour, height_mm)
            for neighbour in (place - 2, place)
            if 0 <= neighbour < len(self.heights_mm) - 1
        ]
        if not carried:
            raise SprayoutError(
                "only one mark was weighed, so nothing is known below it",
                "Weigh water at two more marks.",
                place=self.name,
            )
        if all(line <= chord for line in carried):
            return Span(max(max(carried), self.volumes_ml[place - 1]), chord)
        if all(line >= chord for line in carried):
            return Span(chord, min(min(carried), self.volumes_ml[place]))
        return Span(min(*carried, chord), max(*carried, chord))

    def mark_totals(self, parts: Mapping[str, Fraction], allowed: Fraction) -> tuple[Fraction, ...]:
        """Return the marks (heights) to which the cup can be filled with every part ending at a mark.

        A part may be off by the share allowed of itself; heights between marks are never used.
        """
        return tuple(
            height
            for height, total in zip(self.heights_mm[1:], self.volumes_ml[1:], strict=True)
            if self._marks_for(parts, total, allowed) is not None
        )

    def fill(self, parts: Mapping[str, Fraction], total_height_mm: Fraction, allowed: Fraction) -> dict[str, Fraction]:
        """Return the mark to which the cup stands after each part, in order, filled to a mark in all."""
        place = _between(self.heights_mm, total_height_mm, self.name)
        marks = None
        if self.heights_mm[place] == total_height_mm and place:
            marks = self._marks_for(parts, self.volumes_ml[place], allowed)
        if marks is None:
            raise SprayoutError(
                f"the parts do not end at marks when it is filled to {told(total_height_mm)} mm",
                "Take one of the fillings that do, calibrate more marks, or use the scale.",
                place=self.name,
            )
        return marks

    def _marks_for(
        self, parts: Mapping[str, Fraction], total: Fraction, allowed: Fraction
    ) -> dict[str, Fraction] | None:
        whole = sum((positive(part, name) for name, part in parts.items()), Fraction(0))
        running, before, marks = Fraction(0), Fraction(0), {}
        for name, part in parts.items():
            running += total * part / whole
            nearest = min(range(len(self.volumes_ml)), key=lambda mark: abs(self.volumes_ml[mark] - running))
            poured = self.volumes_ml[nearest] - before
            if abs(poured - total * part / whole) > allowed * total * part / whole:
                return None
            marks[name], before = self.heights_mm[nearest], self.volumes_ml[nearest]
        return marks

    def _line(self, start: int, height: Fraction) -> Fraction:
        low, high = self.heights_mm[start], self.heights_mm[start + 1]
        slope = (self.volumes_ml[start + 1] - self.volumes_ml[start]) / (high - low)
        return self.volumes_ml[start] + slope * (height - low)


def calibrated(
    name: str, weighed: Sequence[tuple[Fraction, Fraction]], water_degc: Fraction = Fraction(20)
) -> CalibratedCup:
    """Return a cup from water weighed at its marks: (height in mm, grams of water up to it), cup tared.

    Grams become millilitres by the density of water at its temperature; the lift of the air (about
    0.1 %) is left out. Raises SprayoutError for marks that do not rise.
    """
    if not weighed:
        raise SprayoutError("no mark was weighed", "Fill it with water to each mark and weigh it.", place=name)
    rows = sorted((positive(height, name), positive(grams, name)) for height, grams in weighed)
    for (low, less), (high, more) in pairwise(rows):
        if low == high or less >= more:
            raise SprayoutError(
                f"{told(more)} g at {told(high)} mm does not rise from {told(less)} g at {told(low)} mm",
                "Weigh these two marks again.",
                place=name,
            )
    density = water_g_per_ml(water_degc)
    volumes = [to_step(grams / density, Fraction(1, 1000)) for _, grams in rows]
    return CalibratedCup(name, (Fraction(0), *(row[0] for row in rows)), (Fraction(0), *volumes))


def water_g_per_ml(degc: Fraction) -> Fraction:
    """Return the density of water in g/ml, 0 to 40 degrees Celsius.

    Tanaka, Girard, Davis, Peuto, Bignell 2001, Metrologia 38: 301-309 (air-free water at 101.325 kPa);
    coefficients from memory, checked against the known 0.998207 at 20 and the maximum at 3.98 degrees.
    """
    if not 0 <= degc <= 40:
        raise SprayoutError(f"water at {told(degc)} °C", "Use water of 0 to 40 °C.", place="water_degc")
    warmer = degc - Fraction("3.983035")
    fall = warmer**2 * (degc + Fraction("301.797")) / (Fraction("522528.9") * (degc + Fraction("69.34881")))
    return Fraction("0.999974950") * (1 - fall)


def _between(heights: tuple[Fraction, ...], height: Fraction, name: str) -> int:
    """Return the index of the first mark at or above a height within the calibrated part of the cup."""
    if not 0 <= height <= heights[-1]:
        raise SprayoutError(
            f"{told(height)} mm lies outside its marks, 0 to {told(heights[-1])} mm",
            "Stay within the marks that were weighed.",
            place=name,
        )
    return bisect_left(heights, height)
