"""Steps of a step card from a few words."""

from __future__ import annotations

import re

from sprayout_core.errors import SprayoutError

__all__ = ["steps_from_words"]


def steps_from_words(words: str) -> dict[str, int]:
    """Return {step: coats} from coats counted, such as "0,2,5": a step is named by its coats.

    Raises SprayoutError for anything else, and for a count given twice.
    """
    counts = [part.strip() for part in words.split(",")]
    if not all(re.fullmatch(r"\d{1,2}", count) for count in counts):
        raise SprayoutError(f"{words!r} is no list of coats", "Write the coats of each step, such as 0,2,5,7.")
    steps = {str(int(count)): int(count) for count in counts}
    if len(steps) != len(counts):
        raise SprayoutError(f"{words!r} names a step twice", "Name each count of coats once.")
    return steps
