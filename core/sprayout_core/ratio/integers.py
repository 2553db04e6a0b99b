"""Smallest whole numbers for a ratio: 10:4, 5:2 and 2.5:1 are one and the same."""

from __future__ import annotations

import math
from collections.abc import Mapping
from fractions import Fraction

from sprayout_core.ratio.decimal_text import RatioError

#: Whole numbers stay below this, so that every JSON reader keeps them exact (RFC 8785, section 3.2.2.3).
LARGEST_PART = 2**53 - 1


def smallest_integers(parts: Mapping[str, Fraction]) -> dict[str, int]:
    """Return the ratio of positive parts in smallest whole numbers, under the same keys.

    Raises RatioError when a part is zero or negative, or a whole number would pass LARGEST_PART.
    """
    for name, part in parts.items():
        if part <= 0:
            raise RatioError(f"{name}: {part} parts", "Give a positive amount or drop it.")
    if not parts:
        return {}
    common = math.lcm(*(part.denominator for part in parts.values()))
    whole = {name: int(part * common) for name, part in parts.items()}
    divisor = math.gcd(*whole.values())
    small = {name: number // divisor for name, number in whole.items()}
    for name, number in small.items():
        if number > LARGEST_PART:
            raise RatioError(
                f"{name}: the ratio needs the whole number {number}, more than {LARGEST_PART}",
                "Write the parts with fewer digits.",
            )
    return small


def scale_of(parts: Mapping[str, Fraction]) -> Fraction:
    """Return how the parts were written: parts divided by their smallest whole numbers (10:4 is 2)."""
    small = smallest_integers(parts)
    name = next(iter(small))
    return parts[name] / small[name]
