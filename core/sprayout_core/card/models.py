"""The correction models that stand for choice, from three channels of a picture to tristimulus values."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType

import numpy as np
import numpy.typing as npt

from sprayout_core.light import lab

__all__ = ["MODELS", "expand", "fitted", "ratios_to_lab"]

Array = npt.NDArray[np.float64]

_JOINT = (6.0 / 29.0) ** 3
_WHITE = np.ones(3)


def _linear(r: Array, g: Array, b: Array) -> list[Array]:
    return [r, g, b]


def _glare(r: Array, g: Array, b: Array) -> list[Array]:
    return [r, g, b, np.ones_like(r)]


def _root_two(r: Array, g: Array, b: Array) -> list[Array]:
    return [r, g, b, np.sqrt(r * g), np.sqrt(g * b), np.sqrt(r * b)]


def _root_two_glare(r: Array, g: Array, b: Array) -> list[Array]:
    return [*_root_two(r, g, b), np.ones_like(r)]


def _square(r: Array, g: Array, b: Array) -> list[Array]:
    return [r, g, b, r * g, g * b, r * b, r * r, g * g, b * b]


def _root_three(r: Array, g: Array, b: Array) -> list[Array]:
    further = [r * g * g, g * b * b, r * b * b, g * r * r, b * g * g, b * r * r, r * g * b]
    return [*_root_two(r, g, b), *(np.cbrt(term) for term in further)]


MODELS: Mapping[str, Callable[[Array, Array, Array], list[Array]]] = MappingProxyType(
    {
        "linear": _linear,
        "linear with glare": _glare,
        "root 2 held": _root_two,
        "root 2": _root_two,
        "root 2 with glare": _root_two_glare,
        "square": _square,
        "root 3": _root_three,
    }
)
"""From the least freedom to the most: 3, 4, 6 of which three are held small, 6, 7, 9 and 13 terms. Root 2 and
root 3: Finlayson, Mackiewicz, Hurlbert (IEEE Transactions on Image Processing 24(5), 2015); they and `linear`
follow exposure exactly."""

_HELD = {"root 2 held": 1e-3}
_FREE = 3


def expand(model: str, light: npt.ArrayLike) -> Array:
    """Return a model's terms of linear light (..., 3) as (..., terms); noise below zero counts as zero."""
    channels = np.maximum(np.asarray(light, dtype=float), 0.0)
    return np.stack(MODELS[model](channels[..., 0], channels[..., 1], channels[..., 2]), axis=-1)


def fitted(model: str, light: Array, ratios: Array) -> tuple[Array, Array]:
    """Return a model's coefficients and what each patch gets when it is left out.

    light    linear light of the reference patches                 (n, 3)
    ratios   their true X/Xn, Y/Yn, Z/Zn                           (n, 3)
    returns  coefficients (terms, 3); left-out ratios (n, 3)

    Weighted least squares; a patch weighs by the inverse cube root of its ratio, half way between counting
    every step of light alike (which forgets dark colours) and every step of CIELAB alike (which lets their
    noise rule). Held terms pay for their size (ridge). The left-out values are exact without refitting:
    residual / (1 - leverage) (Allen 1974).
    """
    terms = expand(model, light)
    count = terms.shape[1]
    weights = np.maximum(ratios, _JOINT) ** (-1.0 / 3.0)
    paid = np.where(np.arange(count) < _FREE, 0.0, _HELD.get(model, 0.0))
    coefficients = np.empty((count, 3))
    left_out = np.empty_like(ratios)
    for channel in range(3):
        weight = weights[:, channel]
        design = terms * weight[:, np.newaxis]
        price = np.sqrt(paid * (design * design).sum() / count)
        extended = np.concatenate([design, np.diag(price)])
        hat, triangle = np.linalg.qr(extended)
        target = np.concatenate([weight * ratios[:, channel], np.zeros(count)])
        solved = np.linalg.lstsq(triangle, hat.T @ target, rcond=None)[0]
        leverage = np.minimum((hat[: len(terms)] ** 2).sum(axis=1), 0.999)
        residual = ratios[:, channel] - terms @ solved
        coefficients[:, channel] = solved
        left_out[:, channel] = ratios[:, channel] - residual / (1.0 - leverage)
    return coefficients, left_out


def ratios_to_lab(ratios: Array) -> Array:
    """Return CIELAB of X/Xn, Y/Yn, Z/Zn (..., 3), whatever the white."""
    return lab(ratios, _WHITE)
