"""The picture beside the result: the straightened sheet with every area that was looked at, drawn when asked for."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from sprayout_core.card import Frame, PatchResult, Rect, WindowKind
from sprayout_plugins.card_scan.decoding import Bounds, Decoding
from sprayout_plugins.card_scan.letters import WIDTH, letters
from sprayout_plugins.card_scan.marks import Sheet
from sprayout_plugins.card_scan.plan import OVERLAY_PER_MM, light_areas, places_of, whole_sheet

__all__ = ["drawn"]

Picture = npt.NDArray[np.uint8]
Colour = tuple[int, int, int]

_KNOWN: Colour = (0, 90, 220)
_MEASURED: Colour = (0, 140, 60)
_REFUSED: Colour = (220, 0, 40)
_LIGHT: Colour = (200, 140, 0)
_LEGEND = (("KNOWN", _KNOWN), ("MEASURED", _MEASURED), ("NO COLOUR", _REFUSED), ("LIGHT", _LIGHT))


def drawn(picture: bytes, frame: Frame, sheet: Sheet, patches: tuple[PatchResult, ...], bounds: Bounds) -> bytes:
    """Return a PNG of the straightened sheet, three pixels to the millimetre.

    Blue: known colours. Green: measured. Red and crossed out: no colour. Yellow: where the light was read.
    The number in a green area is its L*.

    The picture is decoded again for it, in a process of its own, within `bounds`; raises CardRefused.
    """
    shown = _straightened(picture, frame, sheet, bounds)
    for area in light_areas(frame, frame.bare()):
        _frame(shown, area, _LIGHT, 1)
    for name, rect in frame.marks().items():
        _frame(shown, rect, _MEASURED, 2)
        _write(shown, rect.x + 0.5, rect.y - 3.0, name, _MEASURED)
    for patch in patches:
        _patch(shown, patch)
    x = 30.0
    for word, colour in _LEGEND:
        _write(shown, x, frame.height - 6.0, word, colour)
        x += (len(word) + 2) * WIDTH / OVERLAY_PER_MM
    return _png(shown)


def _straightened(picture: bytes, frame: Frame, sheet: Sheet, bounds: Bounds) -> Picture:
    plan = whole_sheet(frame)
    (spot,) = plan.spots
    with Decoding(picture, bounds) as decoding:
        header = decoding.header
        stored = decoding.pixels(*places_of(plan, sheet, (header.width, header.height)))
    eight = stored if header.bits == 8 else stored >> 8
    return eight.reshape(spot.rows, spot.columns, 3).astype(np.uint8)


def _patch(shown: Picture, patch: PatchResult) -> None:
    if patch.refusal is not None:
        _frame(shown, patch.area, _REFUSED, 2)
        _cross(shown, patch.area)
        return
    known = patch.kind is WindowKind.REFERENCE and patch.known is not None
    colour = _KNOWN if known else _MEASURED
    _frame(shown, patch.area, colour, 2)
    if patch.lab is not None and not known:
        _write(shown, patch.area.x + 0.7, patch.area.y + 0.7, f"L{patch.lab[0]:.0f}", colour)


def _frame(shown: Picture, area: Rect, colour: Colour, line: int) -> None:
    left, top, right, bottom = _pixels(shown, area)
    shown[top : top + line, left:right] = colour
    shown[max(bottom - line, 0) : bottom, left:right] = colour
    shown[top:bottom, left : left + line] = colour
    shown[top:bottom, max(right - line, 0) : right] = colour


def _cross(shown: Picture, area: Rect) -> None:
    left, top, right, bottom = _pixels(shown, area)
    count = 2 * max(right - left, bottom - top, 2)
    across = np.linspace(left, right - 1, count).astype(int)
    down = np.linspace(top, bottom - 1, count).astype(int)
    shown[down, across] = _REFUSED
    shown[down[::-1], across] = _REFUSED


def _write(shown: Picture, x: float, y: float, text: str, colour: Colour) -> None:
    drawn = letters(text)
    left, top = round(x * OVERLAY_PER_MM), round(y * OVERLAY_PER_MM)
    part = shown[max(top, 0) : top + drawn.shape[0], max(left, 0) : left + drawn.shape[1]]
    seen = drawn[: part.shape[0], : part.shape[1]]
    part[~seen] = part[~seen] // 2 + 127  # a light plate, so that the letters can be read on any colour
    part[seen] = colour


def _pixels(shown: Picture, area: Rect) -> tuple[int, int, int, int]:
    height, width = shown.shape[:2]
    left, right = (min(max(round(x * OVERLAY_PER_MM), 0), width) for x in (area.x, area.x + area.width))
    top, bottom = (min(max(round(y * OVERLAY_PER_MM), 0), height) for y in (area.y, area.y + area.height))
    return left, top, right, bottom


def _png(shown: Picture) -> bytes:
    import pyvips  # type: ignore[import-untyped]  # it ships no types

    height, width = shown.shape[:2]
    image = pyvips.Image.new_from_memory(np.ascontiguousarray(shown).tobytes(), width, height, 3, "uchar")
    written: bytes = image.copy(interpretation="srgb").pngsave_buffer(compression=1)
    return written
