"""The clear dye layer: light enters along one direction, is partly kept under the surface, meets dye again."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sprayout_core.errors import SprayoutError
from sprayout_core.film.geometry import Geometry, geometry_of, path
from sprayout_core.film.given import numbers, one_number, refuse_percent, together
from sprayout_core.film.surface import diffuse_external, diffuse_internal, fresnel

__all__ = [
    "bare_to_cleared",
    "clear_layer",
    "cleared_to_inner",
    "inner_to_cleared",
    "kept_inside",
    "passed_out",
]

Array = NDArray[np.float64]

# Powers of e^-tau whose sum stands for the light kept inside; the high ones carry the grazing directions.
_POWERS = (2, 3, 4, 5, 8, 16, 32, 64)
_BLOCK = 8192
_WIDENING = 0.25


@dataclass(frozen=True, slots=True, eq=False)
class Optics:
    """The constants of one geometry at one refractive index.

    path     sum of 1/cos inside the film of the directed ways in and out
    gain     reading per unit of inner reflectance of a dark ground without dye
    kept     internal diffuse reflectance without dye
    shine    the surface's own reflection in the reading
    """

    geometry: Geometry
    path: float
    gain: float
    kept: float
    shine: float
    kept_weights: Array
    out_weights: Array
    out_rates: Array

    @property
    def mean_out(self) -> float:
        """Mean of 1/cos over the light that leaves, weighted by how much leaves."""
        return float(np.sum(self.out_weights * self.out_rates))


@lru_cache(maxsize=256)
def optics_of(geometry: str, n: float) -> Optics:
    """Return the constants of a geometry; a pure function of its arguments, kept because it costs 1 ms."""
    if not 1.0 < n < 4.0:
        raise SprayoutError(f"a refractive index of {n:g} is no clear's", "Give about 1.5.", place="n")
    where = geometry_of(geometry)
    weights, rates = _out_rule(n)
    seen = 1.0 - float(fresnel(n, where.view_deg))
    if where.light_deg is None:
        way, gain = path(where.view_deg, n), seen * (1.0 - diffuse_internal(n))
        # Light in over all directions: by reciprocity the same as light out over all directions.
    else:
        way = path(where.light_deg, n) + path(where.view_deg, n)
        gain = seen * (1.0 - float(fresnel(n, where.light_deg))) / n**2
        weights = np.array([1.0])
        rates = np.array([0.0])
    shine = where.specular * float(fresnel(n, where.view_deg))
    kept_weights = _kept_rule(n)
    return Optics(where, way, gain, float(kept_weights.sum()), shine, kept_weights, weights / weights.sum(), rates)


def optics_at(geometry: str, n: ArrayLike) -> Optics:
    """Return the same for what a caller gave. Raises SprayoutError for what is no geometry and no single index."""
    if not isinstance(geometry, str):
        geometry_of(geometry)
    return optics_of(geometry, one_number(n, "n"))


def kept_inside(tau: ArrayLike, n: float = 1.5) -> Array:
    """Return the share of the ground's diffuse light that comes back to it after one round through the dye.

    tau      natural optical thickness of the layer, one pass along its normal   (..., n)
    returns  r(tau) = 2 int F(mu) exp(-2 tau / mu) mu dmu, 0.596 at tau = 0      (..., n)

    Williams and Clapper 1953 (J. Opt. Soc. Am. 43:595). Sum of eight powers of exp(-tau), within 5e-5 of the
    integral.
    """
    return _powers(np.exp(-_checked_tau(tau)), _kept_rule(n))


def passed_out(tau: ArrayLike, n: float = 1.5) -> Array:
    """Return the share of the ground's diffuse light that leaves through dye and surface at the first go."""
    weights, rates = _out_rule(n)
    thickness = _checked_tau(tau)
    return np.asarray(np.sum(weights * np.exp(-rates * thickness[..., np.newaxis]), axis=-1), float)


def clear_layer(
    ground: ArrayLike, tau: ArrayLike, geometry: str, n: float = 1.5, trapping: ArrayLike | None = None
) -> Array:
    """Return the reading of a ground after a clear dye layer is put under the same surface.

    ground     reading of the ground under a clear of index n, in this geometry; over 1 is legal   (..., n)
    tau        natural optical thickness of the whole layer, one pass along its normal             (..., n)
    geometry   "45:0", "0:45", "d:8" or "di:8" (specular included), "de:8" (excluded), "45as15" ...
    n          refractive index of the clear
    trapping   how much of the ground's light is kept under the surface: 1 (or None) for a diffusing
               ground, 0 for a mirror, between for metallic grounds (found from a calibration panel);
               a scalar, or anything that broadcasts to (..., n)
    returns    reading in the same geometry                                                        (..., n)

    Williams and Clapper 1953, for directed light by Snell's paths in and out; for diffuse light by
    reciprocity. Light leaves the ground over all directions; the share r(tau) kept inside meets dye and
    ground again. Raises SprayoutError for negative tau or reading, for a specular-included reading below the
    surface's own reflection, and for unknown geometries.
    """
    optics = optics_at(geometry, n)
    base = clear_base(ground, optics)
    thickness = _checked_tau(tau)
    trap = checked_trapping(trapping)
    shape = together(ground=base, tau=thickness, trapping=trap)
    if int(np.prod(shape)) <= 2 * _BLOCK or not shape:
        return _layer(base, thickness, trap, optics)
    result = np.empty(shape)
    step = max(1, _BLOCK // int(np.prod(shape[1:]) or 1))
    for start in range(0, shape[0], step):
        part = slice(start, start + step)
        over, dye, kept = (_rows(each, shape, part) for each in (base, thickness, trap))
        result[part] = _layer(over, dye, kept, optics)
    return result


def cleared_to_inner(reading: ArrayLike, geometry: str, n: float = 1.5, trapping: float = 1.0) -> Array:
    """Return the inner reflectance of a ground from its cleared reading: the albedo that light meets inside."""
    optics = optics_at(geometry, n)
    base = clear_base(reading, optics)
    return np.asarray(base / (optics.gain + trapping * optics.kept * base), float)


def inner_to_cleared(inner: ArrayLike, geometry: str, n: float = 1.5, trapping: float = 1.0) -> Array:
    """Return the cleared reading of a ground from its inner reflectance; the inverse of `cleared_to_inner`."""
    optics = optics_at(geometry, n)
    albedo = numbers(inner, "inner")
    if not np.all((albedo >= 0) & (trapping * optics.kept * albedo < 1)):
        raise SprayoutError("an inner reflectance is negative, no number, or more than light allows", place="inner")
    return np.asarray(optics.shine + optics.gain * albedo / (1.0 - trapping * optics.kept * albedo), float)


def bare_to_cleared(reading: ArrayLike, geometry: str, n: float = 1.5, trapping: float = 1.0) -> Array:
    """Return the reading a bare, matt ground would give once a clear of the same index lies on it.

    A matt surface spreads its own reflection (the diffuse external reflectance for diffuse light, Fresnel's
    for directed light) over all directions, so every geometry holds it; under a glossy clear it is gone from
    45:0. Saunderson's correction takes the bare surface off, the clear's own surface is put on. A metallic
    ground also changes by how its flakes lie; whoever shows the result says that it was converted.
    """
    optics = optics_at(geometry, n)
    where = optics.geometry
    entering = diffuse_external(float(n)) if where.light_deg is None else float(fresnel(n, where.light_deg))
    bare = numbers(reading, "reading")
    if not np.all(bare >= 0):
        raise SprayoutError("a reading is negative or not a number", "Clip noise or leave it out.", place="reading")
    refuse_percent(bare, where, "reading")
    kept = trapping * diffuse_internal(float(n))
    lit = np.maximum(bare - entering, 0.0)
    inner = lit / ((1.0 - entering) * (1.0 - diffuse_internal(float(n))) + kept * lit)
    return inner_to_cleared(inner, geometry, n, trapping)


def _rows(values: Array, shape: tuple[int, ...], part: slice) -> Array:
    """Return some rows of an array; one that is the same for all rows, or for all bands, stays as small as it is."""
    return values[part] if values.ndim == len(shape) and values.shape[0] == shape[0] else values


def _layer(base: Array, tau: Array, trap: Array, optics: Optics) -> Array:
    """Return shine + base * way(tau) / (1 + trap base/gain (kept - kept(tau)))."""
    once = np.exp(-tau)
    feedback = _powers(once, optics.kept_weights)
    np.subtract(optics.kept, feedback, out=feedback)
    lit = base * (trap / optics.gain) * feedback
    lit += 1.0
    way = np.exp(-optics.path * tau)
    if optics.geometry.light_deg is None:
        way = way * _spread(tau, way, trap, optics)
    return np.asarray(base * way / lit + optics.shine, float)


def _spread(tau: Array, straight: Array, trap: Array, optics: Optics) -> Array:
    """Return how much the dye lets through on the diffuse way, relative to no dye; `straight` is the seen way alone.

    A diffusing ground joins the seen direction with all others, a mirror with its own alone. Between the two
    the share of all directions rises steeply with trapping, as a lobe widens before it is trapped: a fourth root,
    chosen on simulated flake beds.
    """
    passed = np.zeros(tau.shape)
    for weight, rate in zip(optics.out_weights, optics.out_rates, strict=True):
        passed += weight * np.exp(tau * -rate)
    if trap.ndim == 0 and trap >= 1.0:
        return np.asarray(passed, float)
    share = np.minimum(np.power(trap, _WIDENING), 1.0)
    return np.asarray(straight + share * (passed - straight), float)


def _powers(once: Array, weights: Array) -> Array:
    """Return the sum of weights times the powers 2, 3, 4, 5, 8, 16, 32, 64 of `once`."""
    second = once * once
    eighth = second * second
    low = once * weights[3] + weights[2]
    low *= second
    low += once * weights[1] + weights[0]
    low *= second
    eighth *= eighth
    sixteenth = eighth * eighth
    high = sixteenth * sixteenth * weights[7]
    for factor, weight in zip((sixteenth, eighth, eighth), weights[6:3:-1], strict=True):
        high += weight
        high *= factor
    high += low
    return np.asarray(high, float)


def _checked_tau(tau: ArrayLike) -> Array:
    thickness = numbers(tau, "tau")
    if not np.all(thickness >= 0):
        raise SprayoutError("tau is negative or not a number", "Optical thickness starts at 0.", place="tau")
    # Beyond e^-700 nothing is left; an endless layer gives exactly that and no inf * 0.
    return thickness if thickness.size and thickness.max() < 700.0 else np.minimum(thickness, 700.0)


def checked_trapping(trapping: ArrayLike | None) -> Array:
    """Return how much of the ground's light is kept, 1 where nothing is said; or refuse it."""
    trap = numbers(1.0 if trapping is None else trapping, "trapping")
    if not np.all((trap >= 0) & np.isfinite(trap)):
        raise SprayoutError("trapping must not be negative", "0 is a mirror, 1 a diffusing ground.", place="trapping")
    return trap


def clear_base(reading: ArrayLike, optics: Optics) -> Array:
    """Return a reading without the surface's own reflection, or refuse it."""
    base = numbers(reading, "ground") - optics.shine
    if not np.all(base >= 0):
        if optics.shine:
            problem = f"a specular-included reading lies below the surface's own reflection {optics.shine:.4f}"
            remedy = "If the specular was excluded, name the geometry de:8."
        else:
            problem, remedy = "a ground's reading is negative or not a number", "Clip noise or leave it out."
        raise SprayoutError(problem, remedy, place="ground")
    refuse_percent(base, optics.geometry, "ground")
    return base


def _gauss(low: float, high: float, count: int = 200) -> tuple[Array, Array]:
    points, weights = np.polynomial.legendre.leggauss(count)
    return 0.5 * (high - low) * (points + 1.0) + low, 0.5 * (high - low) * weights


def _escape(n: float) -> tuple[Array, Array, Array]:
    """Return 1/cos inside, weight and Fresnel reflectance over the directions that reach the air."""
    cosine, weights = _gauss(0.0, 1.0)
    rate = 1.0 / np.sqrt(1.0 - (1.0 - cosine**2) / n**2)
    return rate, 2.0 * cosine * weights / n**2, fresnel(n, np.degrees(np.arccos(cosine)))


@lru_cache(maxsize=64)
def _kept_rule(n: float) -> Array:
    """Return the weights of `_POWERS` that stand for r(tau), fitted to its integral by least squares."""
    tau = np.concatenate([[0.0], np.geomspace(1e-4, 15.0, 1500)])
    rate, weight, reflected = _escape(n)
    critical, critical_weights = _gauss(0.0, float(np.sqrt(1.0 - 1.0 / n**2)))
    exact = np.exp(-2.0 * tau[:, None] * rate) @ (weight * reflected)
    exact += np.exp(-2.0 * tau[:, None] / critical) @ (2.0 * critical * critical_weights)
    exact *= diffuse_internal(n) / exact[0]
    powers = np.exp(-tau[:, None] * np.array(_POWERS))
    pull = np.where(tau == 0, 1e4, 1.0)
    return np.asarray(np.linalg.lstsq(powers * pull[:, None], exact * pull, rcond=None)[0], float)


@lru_cache(maxsize=64)
def _out_rule(n: float) -> tuple[Array, Array]:
    """Return three weights and rates whose exponentials stand for the escaping light (Gauss's rule on 1/cos)."""
    rate, weight, reflected = _escape(n)
    measure = weight * (1.0 - reflected)
    alphas, betas = [], []
    before, here, norm_before = np.zeros_like(rate), np.ones_like(rate), 1.0
    for order in range(3):
        norm = float(np.sum(measure * here * here))
        alphas.append(float(np.sum(measure * rate * here * here)) / norm)
        betas.append(norm / norm_before if order else 0.0)
        before, here, norm_before = here, (rate - alphas[-1]) * here - betas[-1] * before, norm
    off = np.sqrt(betas[1:])
    values, vectors = np.linalg.eigh(np.diag(alphas) + np.diag(off, 1) + np.diag(off, -1))
    return np.asarray(measure.sum() * vectors[0] ** 2, float), np.asarray(values, float)
