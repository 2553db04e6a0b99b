"""From stored values to linear light: through the picture's own profile, or by a curve that is stated."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping

import numpy as np
import numpy.typing as npt

from sprayout_plugins.card_scan.decoding import Decoding

__all__ = ["linear_light", "profile_digest", "profile_name"]

Array = npt.NDArray[np.float64]

# ROMM RGB (ISO 22028-2) from X, Y, Z under D50: wide enough that hardly a colour of a scanner falls outside;
# figures from memory. Any wide set would do, for the correction is fitted to what it gives.
_WIDE = np.array([[1.3460, -0.2556, -0.0511], [-0.5446, 1.5082, 0.0205], [0.0, 0.0, 1.2123]])

SRGB = "sRGB curve, assumed"
LINEAR = "linear, assumed"


def linear_light(decoding: Decoding, stored: npt.NDArray[np.integer]) -> Mapping[str, Array]:
    """Return linear light (n, 3) of stored values under each tone curve that may be the picture's.

    stored  the pixels that were asked for last, or the first of them

    With a profile there is one: the profile's. Without, sRGB's curve (IEC 61966-2-1) and none at all stand
    for choice by the reference patches.
    """
    if decoding.header.profile:
        return {"profile": _in_wide(decoding.xyz()[: len(stored)])}
    top = decoding.header.top
    scale = np.arange(top + 1) / top
    curve = np.where(scale <= 0.04045, scale / 12.92, ((scale + 0.055) / 1.055) ** 2.4)
    return {SRGB: curve[stored], LINEAR: scale[stored]}


def _in_wide(xyz: Array) -> Array:
    # Spelled out: a matrix product of this size is shared among threads that wait for each other, which takes many
    # times as long where the processor is busy.
    light = np.empty_like(xyz)
    x, y, z = xyz.T
    for channel, (of_x, of_y, of_z) in enumerate(_WIDE):
        light[:, channel] = of_x * x + of_y * y + of_z * z
    return light


def profile_digest(profile: bytes) -> str:
    """Return the profile's SHA-256, or nothing where there is none."""
    return hashlib.sha256(profile).hexdigest() if profile else ""


def profile_name(profile: bytes) -> str:
    """Return the description inside a profile (ISO 15076-1, tag `desc`), or what is known instead."""
    if not profile:
        return "none"
    count = int.from_bytes(profile[128:132], "big")
    for place in range(132, min(132 + 12 * min(count, 100), len(profile) - 11), 12):
        if profile[place : place + 4] == b"desc":
            start = int.from_bytes(profile[place + 4 : place + 8], "big")
            return _text(profile[start : start + 400]) or "unnamed"
    return "unnamed"


def _text(tag: bytes) -> str:
    if tag[:4] == b"desc":  # version 2: ASCII with its length
        text = tag[12 : 12 + int.from_bytes(tag[8:12], "big")].decode("ascii", "replace")
    elif tag[:4] == b"mluc":  # version 4: UTF-16, the first language
        length, offset = int.from_bytes(tag[20:24], "big"), int.from_bytes(tag[24:28], "big")
        text = tag[offset : offset + length].decode("utf-16-be", "replace")
    else:
        return ""
    return "".join(letter for letter in text if letter.isprintable()).strip()[:80]
