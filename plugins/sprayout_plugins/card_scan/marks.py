"""Finding the sheet in the picture by its marks, and how sharp they are."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import numpy.typing as npt

from sprayout_core.card import CORNERS, CardRefused, Frame, Rect, Refusal, homography, places
from sprayout_plugins.card_frame.marks import mark_modules
from sprayout_plugins.card_scan.decoding import Code, Header

__all__ = ["BLURRED", "PER_MODULE", "RING", "Sheet", "blur", "foreseen", "locate", "mark_area"]

Array = npt.NDArray[np.float64]

BLURRED = 0.4
"""Width (standard deviation) of an edge beyond which nothing is measured, mm."""

PER_MODULE = 4
RING = 2
_FEWEST_PIXELS = 3.0
_BENT = 1.2
_SOFT = 0.1
_SIGMAS = tuple(0.05 * step for step in range(1, 25))
_MIDDLING = _SIGMAS[6]
_EDGE, _SHIFT = 3, 2  # samples cut off around a mark, and how far it may lie from its place
_NAMES = {"TL": "top left", "TR": "top right", "BR": "bottom right", "BL": "bottom left"}


@dataclass(frozen=True)
class Sheet:
    """Where the sheet lies in the picture: the perspective from mm to pixels, and its least pixels per mm."""

    perspective: Array
    pixels_per_mm: float


def locate(header: Header, frame: Frame) -> Sheet:
    """Return where the frame lies; raises CardRefused where that cannot be told with certainty."""
    seen = {code.text: code for code in header.codes if code.text}
    _same_card(seen, frame)
    missing = [name for name in CORNERS if frame.mark_text(name) not in seen]
    if missing:
        raise _without(missing, header, len(seen))
    marks = frame.marks()
    sheet = np.concatenate([np.asarray(marks[name].corners) for name in CORNERS])
    picture = np.concatenate([np.asarray(seen[frame.mark_text(name)].corners) for name in CORNERS])
    perspective = homography(sheet, picture)
    scale, turned = _scale(perspective, frame)
    if turned:
        raise CardRefused(
            Refusal.MIRRORED,
            "the picture is mirrored",
            "Turn mirroring off, or flip the picture, and try again.",
        )
    if scale < _FEWEST_PIXELS:
        raise CardRefused(
            Refusal.TOO_SMALL,
            f"one millimetre of the sheet is {scale:.1f} pixels, {_FEWEST_PIXELS:g} are needed",
            "Scan at 300 dpi, or photograph so that the sheet fills the picture.",
        )
    away = max(
        float(np.abs(places(perspective, sheet) - picture).max()) / scale,
        _misfit(perspective, frame, seen) / scale,
    )
    if away > _BENT:
        raise CardRefused(
            Refusal.BENT,
            f"the marks lie {away:.1f} mm from where a flat sheet would have them",
            "Press the sheet flat; photograph from further away, straight above, without wide angle.",
        )
    return Sheet(perspective, scale)


def mark_area(rect: Rect, text: str) -> tuple[Rect, int]:
    """Return a mark with its ring of white, mm, and how many samples to take along each side."""
    modules = len(mark_modules(text))
    ring = RING * rect.width / modules
    return rect.grown(ring), (modules + 2 * RING) * PER_MODULE


def blur(seen: Array, text: str, rect: Rect) -> float:
    """Return the width of a mark's edges, mm, from its samples (one channel, linear, square).

    The mark's own pattern, blurred by a Gaussian, is laid over what was seen; the width that fits best is it.
    Below about 0.1 mm the samples tell no difference.
    """
    patterns = _patterns(text)
    side = len(seen) - 2 * _EDGE
    shifts = range(_EDGE - _SHIFT, _EDGE + _SHIFT + 1)
    parts = np.stack([seen[down : down + side, right : right + side].ravel() for right in shifts for down in shifts])
    # einsum, for it stays in this thread (see `curves`)
    shifted = parts[np.argmax(np.einsum("ij,j", _centred(parts), patterns[_SIGMAS.index(_MIDDLING)]))]
    best = _SIGMAS[int(np.argmax(np.einsum("ij,j", patterns, shifted)))]
    return best * rect.width / len(mark_modules(text))


def foreseen(frame: Frame) -> None:
    """Work out how the marks look at every width of edge, while there is time."""
    for name in CORNERS:
        _patterns(frame.mark_text(name))


def _same_card(seen: dict[str, Code], frame: Frame) -> None:
    others = sorted(
        {text.split(":")[2] for text in seen if text.startswith("SO1:") and text.count(":") == 2} - {frame.identity}
    )
    cards = [text for text in seen if text.startswith("SPRAYOUT-CARD:")]
    if others:
        raise CardRefused(
            Refusal.OTHER_CARD,
            f"marks of card {', '.join(others)} are in the picture, {frame.identity} was asked for",
            "Choose the frame of that card, or keep other cards out of the picture.",
        )
    for text in cards:
        if text != frame.identity_text():
            raise CardRefused(
                Refusal.OTHER_CARD,
                f"the card says {text!r}, this frame says {frame.identity_text()!r}",
                "Choose the frame this sheet was printed from.",
            )


def _without(missing: list[str], header: Header, read: int) -> CardRefused:
    named = ", ".join(_NAMES[name] for name in missing)
    unread = sum(not code.text for code in header.codes)
    if max(header.width, header.height) < 800:
        return CardRefused(
            Refusal.TOO_SMALL,
            f"the picture has only {header.width} x {header.height} pixels; marks are not readable ({named})",
            "Scan at 300 dpi, or photograph so that the sheet fills the picture.",
        )
    if unread > read or (read == 0 and header.sharpness < _SOFT):
        return CardRefused(
            Refusal.BLURRED,
            f"the picture is not sharp enough to read its marks ({named})",
            "Scan again with the sheet flat on the glass, or photograph in more light with a steady hand.",
        )
    return CardRefused(
        Refusal.MARK_MISSING,
        f"corner mark {named} is not in the picture or cannot be read"
        if len(missing) == 1
        else f"corner marks {named} are not in the picture or cannot be read",
        "Show the whole sheet with all four corner marks uncovered, sharp and free of glare.",
    )


def _scale(perspective: Array, frame: Frame) -> tuple[float, bool]:
    """Return the least pixels per mm over the sheet, and whether the picture is mirrored."""
    at = np.array([[x, y] for x in (0.0, frame.width / 2, frame.width) for y in (0.0, frame.height / 2, frame.height)])
    right, below = np.array([0.5, 0.0]), np.array([0.0, 0.5])
    across = places(perspective, at + right) - places(perspective, at - right)
    down = places(perspective, at + below) - places(perspective, at - below)
    area = across[:, 0] * down[:, 1] - across[:, 1] * down[:, 0]
    least = min(float(np.hypot(*across.T).min()), float(np.hypot(*down.T).min()))
    return least, bool((area <= 0).any())


def _misfit(perspective: Array, frame: Frame, seen: dict[str, Code]) -> float:
    """Return how far the identity mark, which is no part of the fit, lies from its place, pixels."""
    code = seen.get(frame.identity_text())
    if code is None:
        raise CardRefused(
            Refusal.MARK_MISSING,
            "the identity mark at the foot of the sheet cannot be read",
            "Uncover it, keep glare off it, and take the picture again.",
        )
    middle = places(perspective, np.asarray(frame.identity_mark().corners)).mean(axis=0)
    return float(np.hypot(*(middle - np.asarray(code.corners).mean(axis=0))))


def _centred(squares: Array) -> Array:
    """Return squares, one a row, with mean 0 and length 1: a product of two is how alike they are."""
    away = squares - squares.mean(axis=1, keepdims=True)
    result: Array = away / np.sqrt(np.maximum((away * away).sum(axis=1, keepdims=True), 1e-30))
    return result


@lru_cache(maxsize=8)
def _patterns(text: str) -> Array:
    """Return a mark with its white ring at every width of edge, PER_MODULE samples a module, the rim cut off."""
    white = 1.0 - np.pad(np.array([list(row) for row in mark_modules(text)], dtype=float), RING)
    spreads = [_spreading(len(white), sigma) for sigma in _SIGMAS]
    rim = slice(_EDGE, -_EDGE)
    return _centred(np.stack([(spread @ white @ spread.T)[rim, rim].ravel() for spread in spreads]))


@lru_cache(maxsize=64)
def _spreading(modules: int, sigma: float) -> Array:
    """Return how much of each module reaches each sample, (samples, modules)."""
    at = (np.arange(modules * PER_MODULE) + 0.5) / PER_MODULE
    reach = np.array(
        [[0.5 * math.erf((edge - x) / (sigma * math.sqrt(2.0))) for edge in range(modules + 1)] for x in at.tolist()]
    )
    reach[:, 0], reach[:, -1] = -0.5, 0.5  # white goes on outside
    result: Array = np.diff(reach, axis=1)
    return result
