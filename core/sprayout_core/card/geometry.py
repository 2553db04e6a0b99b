"""From the sheet to the picture: the plane perspective that four marks fix."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from sprayout_core.card.layout import Rect

__all__ = ["homography", "lattice_places", "lattices", "places"]

Array = npt.NDArray[np.float64]


def homography(sheet: npt.ArrayLike, picture: npt.ArrayLike) -> Array:
    """Return the 3 x 3 perspective that takes sheet places to picture places, in least squares.

    sheet     mm      (n, 2), n >= 4, not all on a line
    picture   pixels  (n, 2)

    Direct linear transform with both sides centred and scaled first (Hartley 1997); pinhole cameras only: a
    lens that bends straight lines shows as misfit of a further mark.
    """
    source, before = _centred(np.asarray(sheet, dtype=float))
    target, after = _centred(np.asarray(picture, dtype=float))
    x, y = source[:, 0], source[:, 1]
    one, zero = np.ones_like(x), np.zeros_like(x)
    u, v = target[:, 0], target[:, 1]
    rows = np.concatenate(
        [
            np.stack([x, y, one, zero, zero, zero, -u * x, -u * y, -u], axis=-1),
            np.stack([zero, zero, zero, x, y, one, -v * x, -v * y, -v], axis=-1),
        ]
    )
    solved = np.linalg.svd(rows)[2][-1].reshape(3, 3)
    whole: Array = np.linalg.inv(after) @ solved @ before
    return np.asarray(whole / whole[2, 2], dtype=float)


def places(perspective: Array, sheet: npt.ArrayLike) -> Array:
    """Return where sheet places (..., 2), mm, lie in the picture (..., 2), pixels."""
    points = np.asarray(sheet, dtype=float)
    moved = points @ perspective[:, :2].T + perspective[:, 2]
    result: Array = moved[..., :2] / moved[..., 2:]
    return result


def lattice_places(perspective: Array, area: Rect, columns: int, rows: int) -> tuple[Array, Array]:
    """Return where the middles of rows x columns equal cells of an area lie: x and y, pixels, row by row.

    The same as `places` of those middles, without a product per middle.
    """
    x, y = lattices(perspective, [area], columns, rows)
    return x[0], y[0]


def lattices(perspective: Array, areas: Sequence[Rect], columns: int, rows: int) -> tuple[Array, Array]:
    """Return `lattice_places` of several areas at once: x and y, pixels, (areas, rows * columns) each."""
    left, top, width, height = np.array([(one.x, one.y, one.width, one.height) for one in areas]).T[..., np.newaxis]
    across = (left + (np.arange(columns) + 0.5) * width / columns)[:, np.newaxis, :]
    down = (top + (np.arange(rows) + 0.5) * height / rows)[:, :, np.newaxis]
    x, y, depth = (row[0] * across + (row[1] * down + row[2]) for row in perspective)
    return (x / depth).reshape(len(areas), -1), (y / depth).reshape(len(areas), -1)


def _centred(points: Array) -> tuple[Array, Array]:
    middle = points.mean(axis=0)
    scale = np.sqrt(2.0) / max(float(np.sqrt(((points - middle) ** 2).sum(axis=1)).mean()), 1e-12)
    matrix = np.array([[scale, 0.0, -scale * middle[0]], [0.0, scale, -scale * middle[1]], [0.0, 0.0, 1.0]])
    return (points - middle) * scale, matrix
