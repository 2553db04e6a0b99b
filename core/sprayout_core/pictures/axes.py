"""Scales, round ticks and labels that do not sit on each other."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from sprayout_core.pictures.svg import PALE, PictureError, element, words

__all__ = ["Scale", "apart", "finite", "grid", "scale", "ticks"]


@dataclass(frozen=True, slots=True)
class Scale:
    """A straight scale from values to places on the paper."""

    low: float
    high: float
    start: float
    end: float

    def __call__(self, value: float) -> float:
        """Return the place of a value."""
        return self.start + (value - self.low) / (self.high - self.low) * (self.end - self.start)


def scale(values: Iterable[float], start: float, end: float, *, least: float) -> Scale:
    """Return a scale that holds all values with a little room, and spans `least` at the least."""
    given = list(values)
    low, high = min(given), max(given)
    missing = max(least - (high - low), 0.0) / 2.0
    room = 0.06 * max(high - low, least)
    return Scale(low - missing - room, high + missing + room, start, end)


def ticks(low: float, high: float, wanted: int = 5) -> list[float]:
    """Return round values inside a range, about as many as wanted."""
    rough = (high - low) / wanted
    power = 10.0 ** math.floor(math.log10(rough))
    step = next(power * factor for factor in (1.0, 2.0, 5.0, 10.0) if power * factor >= rough * 0.999)
    first, last = math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9)
    return [round(place * step, 10) + 0.0 for place in range(first, last + 1)]


def grid(across: Scale, up: Scale, names: tuple[str, str], across_ticks: Sequence[float] = ()) -> list[str]:
    """Return grid lines with their numbers, and the names of both axes."""
    drawn = []
    for value in across_ticks or ticks(across.low, across.high, 6):
        x = across(value)
        drawn.append(element("line", x1=x, x2=x, y1=up.start, y2=up.end, stroke=PALE))
        drawn.append(words(x, up.start + 16, f"{value:g}", text_anchor="middle"))
    for value in ticks(up.low, up.high):
        y = up(value)
        drawn.append(element("line", x1=across.start, x2=across.end, y1=y, y2=y, stroke=PALE))
        drawn.append(words(across.start - 6, y + 4, f"{value:g}", text_anchor="end"))
    middle = (across.start + across.end) / 2.0
    drawn.append(words(middle, up.start + 34, names[0], text_anchor="middle"))
    drawn.append(words(across.start, up.end - 8, names[1], text_anchor="start"))
    return drawn


def apart(places: Sequence[float], least: float, lowest: float, highest: float) -> list[float]:
    """Return places moved so that neighbours are at least so far apart and all lie within the range."""
    order = sorted(range(len(places)), key=lambda index: places[index])
    moved = list(places)
    floor = lowest
    for index in order:
        moved[index] = max(moved[index], floor)
        floor = moved[index] + least
    ceiling = highest
    for index in reversed(order):
        moved[index] = min(moved[index], ceiling)
        ceiling = moved[index] - least
    return moved


def finite(values: Iterable[float], place: str) -> list[float]:
    """Return the values as a list, or raise PictureError where one is not a number or there is none."""
    found = [float(value) for value in values]
    if not found:
        raise PictureError("nothing to draw", "Give at least one value.", place=place)
    if not all(map(math.isfinite, found)):
        raise PictureError("a value is not a number", "Leave it out.", place=place)
    return found
