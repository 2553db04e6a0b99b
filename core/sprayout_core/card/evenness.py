"""How the light falls on the sheet: a smooth field fitted to bare paper and to printed grey strips."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from sprayout_core.card.layout import Rect

__all__ = ["LightField", "fit_light"]

Array = npt.NDArray[np.float64]

_HIGHEST_DEGREE = 3
_SPARE = 6


@dataclass(frozen=True)
class LightField:
    """The level of bare paper all over the sheet, per channel.

    degree        of the polynomial in x and y that was chosen by leave-one-out, 0 to 3
    coefficients  of the logarithm of the level                      (terms, 3)
    size          of the sheet, mm
    residual      relative misfit that 90 % of the places stay below
    weakest       lowest level on the fitted places over the highest one, 0 to 1
    """

    degree: int
    coefficients: Array
    size: tuple[float, float]
    residual: float
    weakest: float

    def level(self, places: npt.ArrayLike) -> Array:
        """Return the level of bare paper at places (..., 2), mm, per channel (..., 3)."""
        points = np.asarray(places, dtype=float)
        result: Array = np.exp(_terms(points, self.size, self.degree) @ self.coefficients)
        return result

    def over(self, area: Rect, columns: int, rows: int) -> Array:
        """Return the level in the middles of rows x columns equal cells of an area (rows * columns, 3)."""
        result: Array = self.over_all([area], columns, rows)[0].T
        return result

    def over_all(self, areas: Sequence[Rect], columns: int, rows: int) -> Array:
        """Return the level in the middles of rows x columns equal cells of each area (areas, 3, rows * columns)."""
        left, top, width, height = np.array([(one.x, one.y, one.width, one.height) for one in areas]).T[..., np.newaxis]
        across = (left + (np.arange(columns) + 0.5) * width / columns) * 2.0 / self.size[0] - 1.0
        down = (top + (np.arange(rows) + 0.5) * height / rows) * 2.0 / self.size[1] - 1.0
        powers = np.arange(self.degree + 1)
        weights = np.zeros((3, self.degree + 1, self.degree + 1))
        for (power_x, power_y), weight in zip(_powers(self.degree), self.coefficients, strict=True):
            weights[:, power_y, power_x] = weight
        # a polynomial in x for each power of y, (areas, 3, powers of y, columns), and then in y
        along = weights @ (across[:, np.newaxis, :] ** powers[:, np.newaxis])[:, np.newaxis]
        logs = (down[:, :, np.newaxis] ** powers)[:, np.newaxis] @ along
        result: Array = np.exp(logs, out=logs).reshape(len(areas), 3, -1)
        return result


def fit_light(
    places: npt.ArrayLike, levels: npt.ArrayLike, inks: npt.ArrayLike, size: tuple[float, float]
) -> LightField:
    """Return the light's field on the sheet.

    places   middles of small squares of one ink each, mm            (n, 2)
    levels   their linear light, above zero                          (n, 3)
    inks     0 for bare paper, 1 and up for printed greys            (n,)
    size     of the sheet, mm

    The logarithm of the level is a polynomial in x and y, each further ink adds one unknown step. Squares
    that stray (dust, a shadow's edge, a piece laid beside its window) are left out; the degree is the one
    whose leave-one-out misfit is least. Falling light of a lens or lamp is smooth; a hard shadow is not, and
    shows as `residual`.
    """
    points, light = np.asarray(places, dtype=float), np.asarray(levels, dtype=float)
    groups = np.asarray(inks)
    logs = np.log(np.maximum(light, 1e-9))
    further = sorted(set(groups.tolist()) - {0})
    steps = np.stack([np.zeros(len(groups)), *((groups == ink).astype(float) for ink in further)], axis=-1)[:, 1:]
    spare = len(points) - steps.shape[1] - _SPARE
    highest = max(degree for degree in range(_HIGHEST_DEGREE + 1) if _count(degree) <= max(spare, 1))
    kept = _regular(np.concatenate([_terms(points, size, min(2, highest)), steps], axis=1), logs)
    best: tuple[float, int, Array] | None = None
    for degree in range(highest + 1):
        design = np.concatenate([_terms(points, size, degree), steps], axis=1)
        solved, misfit = _left_out(design[kept], logs[kept])
        if best is None or misfit < best[0]:
            best = (misfit, degree, solved)
    assert best is not None
    _, degree, solved = best
    design = np.concatenate([_terms(points, size, degree), steps], axis=1)
    strays = np.abs(np.expm1(logs - design @ solved)).max(axis=1)
    fitted = np.exp(_terms(points, size, degree) @ solved[: _count(degree)])
    return LightField(
        degree,
        solved[: _count(degree)],
        size,
        float(np.quantile(strays, 0.9)),
        float((fitted.min(axis=0) / fitted.max(axis=0)).min()),
    )


def _count(degree: int) -> int:
    return (degree + 1) * (degree + 2) // 2


def _terms(points: Array, size: tuple[float, float], degree: int) -> Array:
    x, y = points[..., 0] * 2.0 / size[0] - 1.0, points[..., 1] * 2.0 / size[1] - 1.0
    return np.stack([x**across * y**down for across, down in _powers(degree)], axis=-1)


def _powers(degree: int) -> list[tuple[int, int]]:
    return [(total - k, k) for total in range(degree + 1) for k in range(total + 1)]


def _left_out(design: Array, logs: Array) -> tuple[Array, float]:
    """Return the least-squares solution and its root mean square leave-one-out misfit."""
    q, _ = np.linalg.qr(design)
    solved = np.linalg.lstsq(design, logs, rcond=None)[0]
    leverage = np.minimum((q * q).sum(axis=1), 0.999)
    misfit = (logs - design @ solved) / (1.0 - leverage)[:, np.newaxis]
    return np.asarray(solved, dtype=float), float(np.sqrt((misfit * misfit).mean()))


def _regular(design: Array, logs: Array) -> npt.NDArray[np.bool_]:
    """Return which squares follow a smooth field; three rounds of leaving out what strays."""
    kept = np.ones(len(design), dtype=bool)
    for _ in range(3):
        solved = np.linalg.lstsq(design[kept], logs[kept], rcond=None)[0]
        away = np.abs(logs - design @ solved).max(axis=1)
        limit = max(4.0 * 1.4826 * float(np.median(away[kept])), 0.004)
        now = away <= limit
        if now.sum() <= design.shape[1] + _SPARE or (now == kept).all():
            break
        kept = now
    return kept
