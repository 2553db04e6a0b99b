import numpy as np
import pytest

from sprayout_core.difference import ciede2000
from sprayout_library.index import nearest


def plainly(target, colours, count, owner=None):
    """The nearest by the whole formula for every row and a plain sort: what `nearest` is held against."""
    far = np.max([ciede2000(one, rows) for one, rows in zip(target, colours, strict=True)], axis=0)
    order = sorted(range(far.size), key=lambda row: (far[row], row))
    kept, seen = [], set()
    for row in order:
        if owner is None or owner[row] not in seen:
            kept.append(row)
            seen.add(None if owner is None else owner[row])
    return kept[:count], [far[row] for row in kept[:count]]


def colours(random, size, angles):
    base = random.uniform((0, -60, -60), (100, 60, 60), (size, 3))
    some = [base + random.normal(0, 8, (size, 3)) for _ in range(angles)]
    for one in some:
        one[: size // 10] = one[0]  # many ties
        one[size // 10 : size // 8, 1:] = 0  # neutral, where hue says nothing
    return some


def queries(seed, number):
    random = np.random.default_rng(seed)
    for place in range(number):
        if place % 50 == 0:
            angles = int(random.integers(1, 6))
            held = colours(random, int(random.choice([3, 40, 1500])), angles)
            owner = random.integers(0, held[0].shape[0], held[0].shape[0])
        target = random.uniform((0, -70, -70), (120, 70, 70), (angles, 3))
        if place % 7 == 0:
            target = np.array([one[0] for one in held])
        count = int(random.integers(1, 15))
        for whose in (None, owner):
            rows, far = nearest(target, held, count, whose)
            wanted, distances = plainly(target, held, count, whose)
            assert rows.tolist() == wanted
            assert far.tolist() == distances


def test_exactly_what_the_whole_formula_gives():
    queries(1, 300)


@pytest.mark.long
def test_exactly_what_the_whole_formula_gives_ten_thousand_times():
    queries(2, 10_000)


def test_a_large_table_takes_several_rounds():
    random = np.random.default_rng(3)
    held = [np.column_stack([np.full(60_000, 50.0), random.uniform(-60, 60, (60_000, 2))])]  # lightness tells nothing
    for target in random.uniform((40, -60, -60), (60, 60, 60), (5, 1, 3)):
        rows, far = nearest(target, held, 10)
        wanted, distances = plainly(target, held, 10)
        assert (rows.tolist(), far.tolist()) == (wanted, distances)


def test_lightness_alone_is_never_more_than_the_whole():
    random = np.random.default_rng(4)
    one, other = random.uniform((0, -90, -90), (130, 90, 90), (2, 50_000, 3))
    mid = np.square((one[:, 0] + other[:, 0]) / 2 - 50)
    alone = np.abs(one[:, 0] - other[:, 0]) / (1 + 0.015 * mid / np.sqrt(20 + mid))
    assert (alone <= ciede2000(one, other) * (1 + 1e-12) + 1e-12).all()
