"""The nearest colours by CIEDE2000, exactly: a bound by lightness first, the whole formula for what it leaves."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from sprayout_core.difference import ciede2000

__all__ = ["brute_force", "nearest"]

Array = npt.NDArray[np.float64]
Rows = npt.NDArray[np.intp]

_SLACK = 1e-9
"""What rounding may take from the bound: a colour that ties with the last one kept is never passed over."""
_BLOCK = 8192


def nearest(target: Array, colours: list[Array], count: int, owner: Rows | None = None) -> tuple[Rows, Array]:
    """Return the rows of the `count` nearest colours and their differences, nearest first, ties by row.

    target   L*, a*, b* under each condition (a light at an angle)     (m, 3)
    colours  L*, a*, b* of every row, one array for each condition      m arrays (n, 3)
    owner    whose each row is (n,): only the nearest row of each owner counts
    returns  rows (k,), largest CIEDE2000 over the conditions (k,)

    CIEDE2000 squared is (dL'/SL)^2 and a quadratic form of chroma and hue whose rotation term is smaller than
    2 in size, hence never negative: so the lightness term alone is a lower bound (proved in docs/finding.md).
    """
    bound = _lightness(target, colours)
    total = bound.shape[0]
    wanted = min(count, total)
    if wanted == 0:
        return np.empty(0, dtype=np.intp), np.empty(0)
    first = min(total, max(4 * wanted, 256))
    near = np.argpartition(bound, first - 1)[:first] if first < total else np.arange(total)
    kept = _largest(target, colours, near)
    limit = _kth(near, kept, wanted, owner)
    if first < total:
        done = np.zeros(total, dtype=bool)
        done[near] = True
        for more in _rounds(bound, done):
            more = more[bound[more] <= limit * (1 + _SLACK) + _SLACK]
            if not more.size:
                break
            more, far = _within(target, colours, more, limit)
            near, kept = np.concatenate([near, more]), np.concatenate([kept, far])
            limit = _kth(near, kept, wanted, owner)
    return _first(near, kept, wanted, owner)


def _rounds(bound: Array, done: npt.NDArray[np.bool_]) -> list[Rows]:
    """Return the rows not looked at yet, in blocks by rising bound."""
    rest = np.flatnonzero(~done)
    if rest.size <= 4 * _BLOCK:
        return list(np.split(rest[np.argsort(bound[rest], kind="stable")], range(_BLOCK, rest.size, _BLOCK)))
    cut = 4 * _BLOCK
    parted = rest[np.argpartition(bound[rest], cut)]
    head = parted[:cut][np.argsort(bound[parted[:cut]], kind="stable")]
    return [*np.split(head, range(_BLOCK, cut, _BLOCK)), parted[cut:]]


def brute_force(target: Array, colours: list[Array], count: int, owner: Rows | None = None) -> tuple[Rows, Array]:
    """Return what `nearest` returns, by the whole formula for every row."""
    rows = np.arange(colours[0].shape[0])
    return _first(rows, _largest(target, colours, rows), min(count, rows.size), owner)


def _lightness(target: Array, colours: list[Array]) -> Array:
    result = np.zeros(colours[0].shape[0])
    for (lightness, _, _), rows in zip(target, colours, strict=True):
        for start in range(0, rows.shape[0], _BLOCK):
            part = slice(start, start + _BLOCK)
            other = np.ascontiguousarray(rows[part, 0])
            mid = np.square(0.5 * (other + lightness) - 50.0)
            step = np.abs(other - lightness) / (1.0 + 0.015 * mid / np.sqrt(20.0 + mid))
            np.maximum(result[part], step, out=result[part])
    return result


def _largest(target: Array, colours: list[Array], rows: Rows) -> Array:
    found = np.zeros(rows.size)
    for one, all_rows in zip(target, colours, strict=True):
        np.maximum(found, ciede2000(one, all_rows[rows]), out=found)
    return found


def _within(target: Array, colours: list[Array], rows: Rows, limit: float) -> tuple[Rows, Array]:
    """Return the rows whose largest difference is not beyond a limit, and it: condition by condition, fewer each."""
    found = np.zeros(rows.size)
    for one, all_rows in zip(target, colours, strict=True):
        found = np.maximum(found, ciede2000(one, all_rows[rows]))
        stay = found <= limit
        rows, found = rows[stay], found[stay]
    return rows, found


def _first(rows: Rows, kept: Array, wanted: int, owner: Rows | None) -> tuple[Rows, Array]:
    order = np.lexsort((rows, kept))
    if owner is not None:
        _, first = np.unique(owner[rows[order]], return_index=True)
        order = order[np.sort(first)]
    order = order[:wanted]
    return rows[order], kept[order]


def _kth(rows: Rows, kept: Array, wanted: int, owner: Rows | None) -> float:
    """Return the difference beyond which nothing can be among the wanted ones."""
    if owner is None:
        return float(np.partition(kept, wanted - 1)[wanted - 1]) if kept.size >= wanted else float("inf")
    _, found = _first(rows, kept, wanted, owner)
    return float(found[-1]) if found.size >= wanted else float("inf")
