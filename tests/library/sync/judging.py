"""Drawing histories, playing them, and shortening the ones that break.

A history is a list of steps (shop, what, number); the number draws the details, so the same list is the same history.
"""

import random

import pytest
from tests.library.sync.histories import History

from sprayout_core.errors import SprayoutError

STEPS = {
    "title": 2, "mix": 4, "scale": 1, "tag": 2, "untag": 1, "note": 2, "renote": 3, "new": 1, "same": 1, "some": 2,
    "withdraw": 1, "bring_back": 1, "settle": 3, "clock": 1, "sync": 7, "far": 2, "stick": 2, "packet": 3,
    "backup": 1, "restore": 1, "twin": 1,
}  # fmt: skip
"""What can happen, and how often."""


def drawn(seed, length):
    draw = random.Random(seed)
    words = [word for word, often in STEPS.items() for _ in range(often)]
    shops = draw.choice((2, 2, 3, 3, 4))
    return shops, [(draw.randrange(shops), draw.choice(words), draw.randrange(10**9)) for _ in range(length)]


def played(world, shops, steps):
    """Play a history and return what broke, or None."""
    history = History(world, shops)
    try:
        history.play(steps)
        history.finish()
    except (AssertionError, SprayoutError, OSError, LookupError, TypeError, ValueError) as error:
        return f"{type(error).__name__}: {str(error)[:600]}"
    finally:
        history.bench.close()
        for store in history.shops:
            store.close()
    return None


def shortest(world, shops, steps):
    """Leave out steps, many at a time and then one by one, for as long as the history still breaks."""
    size = len(steps) // 2
    while size:
        place, before = 0, len(steps)
        while place < len(steps):
            fewer = steps[:place] + steps[place + size :]
            if played(world, shops, fewer):
                steps = fewer
            else:
                place += size
        if size > 1 or len(steps) == before:
            size //= 2
    return steps


def judge(world, seeds, length):
    """Play one history for each seed; fail with the fewest steps of the first that breaks."""
    for seed in seeds:
        shops, steps = drawn(seed, length)
        if played(world, shops, steps):
            few = shortest(world, shops, steps)
            told = "\n".join(f"    shop {shop}: {what} ({number})" for shop, what, number in few)
            pytest.fail(f"seed {seed}, {shops} shops: {played(world, shops, few)}\n{told}", pytrace=False)
