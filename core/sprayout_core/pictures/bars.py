"""Bars: the difference at each angle against its limit."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sprayout_core.pictures.axes import Scale, finite, ticks
from sprayout_core.pictures.svg import INK, PALE, PictureError, element, framed, room, words

__all__ = ["Bar", "differences"]

_LONG, _TOP = 250.0, 62.0
_ROW = 30.0
_FILLS = {"in": "#5b8f7b", "near": "#d9a441", "out": "#b5493e", "": "#7c8894"}


@dataclass(frozen=True, slots=True)
class Bar:
    """One angle: its place in words, the difference, the limit if there is one, and which way.

    state  "in", "near" or "out"; empty where nothing is judged
    """

    label: str
    value: float
    limit: float | None = None
    state: str = ""
    direction: str = ""


def differences(bars: Sequence[Bar], title: str = "Difference at each angle") -> str:
    """Return the picture of differences, one bar for each angle, the limit as a line across it.

    raises  PictureError
    """
    values = finite((bar.value for bar in bars), "bars")
    limits = [float(bar.limit) for bar in bars if bar.limit is not None]
    for bar in bars:
        if bar.value < 0 or bar.state not in _FILLS:
            raise PictureError(
                f"a difference of {bar.value:g}, state {bar.state!r}",
                "A difference is not negative; a state is in, near or out.",
                place=bar.label,
            )
    left = 20.0 + room(bar.label for bar in bars)
    across = Scale(0.0, 1.08 * max([*values, *finite(limits or [0.0], "limit"), 0.1]), left, left + _LONG)
    bottom = _TOP + _ROW * len(bars)
    drawn = []
    for value in ticks(0.0, across.high, 4):
        x = across(value)
        drawn.append(element("line", x1=x, x2=x, y1=_TOP - 6, y2=bottom, stroke=PALE))
        drawn.append(words(x, bottom + 16, f"{value:g}", text_anchor="middle"))
    for place, bar in enumerate(bars):
        drawn.extend(_drawn(bar, across, _TOP + _ROW * place))
    told = "; ".join(_told(bar) for bar in bars)
    return framed(across.end + 20 + room(map(_beside, bars)), bottom + 30, title, told, drawn)


def _drawn(bar: Bar, across: Scale, top: float) -> list[str]:
    drawn = [
        words(across.start - 8, top + 15, bar.label, text_anchor="end"),
        element(
            "rect",
            x=across.start,
            y=top + 3,
            width=max(across(bar.value) - across.start, 0.5),
            height=16,
            fill=_FILLS[bar.state],
        ),
        words(across.end + 10, top + 15, _beside(bar)),
    ]
    if bar.limit is not None:
        x = across(bar.limit)
        drawn.append(element("line", x1=x, x2=x, y1=top - 1, y2=top + 23, stroke=INK, stroke_width=2))
    return drawn


def _beside(bar: Bar) -> str:
    judged = f"{bar.value:.2f} {bar.state}".strip()
    return f"{judged}: {bar.direction}" if bar.direction else judged


def _told(bar: Bar) -> str:
    limit = "" if bar.limit is None else f", limit {bar.limit:g}"
    return f"{bar.label}: {_beside(bar)}{limit}"
