"""Choosing a correction model by what it does to patches it has not seen, and the interval of that."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from sprayout_core.card.models import MODELS, expand, fitted, ratios_to_lab
from sprayout_core.card.refusal import CardRefused, Refusal
from sprayout_core.difference import ciede2000
from sprayout_core.light import xyz

__all__ = ["FEWEST", "CorrectionModel", "ModelTrial", "choose_model"]

Array = npt.NDArray[np.float64]

FEWEST = 12
"""Reference patches without which no interval can be stated."""

_ENOUGH = 19
_SPARE = 4
_GREY = 20.0
_WIDER = 1.15


@dataclass(frozen=True, slots=True)
class ModelTrial:
    """How one candidate did.

    fit_mean  mean CIEDE2000 on the patches it was fitted to (flatters)
    left_out_mean, left_out_p95   the same, each patch left out in turn
    verdict   'taken', or why not
    """

    model: str
    curve: str
    terms: int
    fit_mean: float
    left_out_mean: float
    left_out_p95: float
    verdict: str


@dataclass(frozen=True)
class CorrectionModel:
    """A chosen correction from linear light to CIELAB, with its own uncertainty.

    model, curve   names of what was chosen
    coefficients   (terms, 3), to X/Xn, Y/Yn, Z/Zn
    left_out       CIEDE2000 of each reference patch when left out     (n,)
    width          interval of a neutral colour, CIEDE2000
    lightness      what 95 % of left-out L* errors stay below
    trials         every candidate, in order of terms
    """

    model: str
    curve: str
    coefficients: Array
    left_out: Array
    width: float
    lightness: float
    trials: tuple[ModelTrial, ...]

    def lab(self, light: npt.ArrayLike) -> Array:
        """Return CIELAB of linear light (..., 3), in the view of the reference."""
        return ratios_to_lab(expand(self.model, light) @ self.coefficients)

    def interval(self, lab: npt.ArrayLike) -> Array:
        """Return the CIEDE2000 that about 95 % of errors of such colours stay below, (..., 3) -> (...).

        Wider for vivid colours: three broad channels know least about them (growth with chroma tuned by
        simulation; see docs/cards.md).
        """
        return self.width * _growth(np.asarray(lab, dtype=float))


def choose_model(curves: Mapping[str, npt.ArrayLike], colours: npt.ArrayLike) -> CorrectionModel:
    """Return the model and tone curve with the least mean leave-one-out CIEDE2000.

    curves   linear light of the reference patches under each tone curve that may be its own   (n, 3) each
    colours  their measured CIELAB                                                             (n, 3)
    raises   CardRefused where there are fewer than 12 patches

    A richer model is taken only where it does better on patches left out. The interval is conformal (Vovk,
    Gammerman, Shafer 2005, ch. 2): the left-out errors over their expected growth with chroma, the quantile
    that holds 95 % with n + 1 in place of n; with fewer than 19 patches the largest, widened by 15 %.
    """
    truth = np.asarray(colours, dtype=float)
    if len(truth) < FEWEST:
        raise CardRefused(
            Refusal.TOO_FEW_REFERENCES,
            f"{len(truth)} reference patches can be used, {FEWEST} are needed",
            "Lay in a reference target or more own chips with measured colours, and give their values.",
        )
    ratios = xyz(truth, np.ones(3))
    tried = [
        (model, curve, *fitted(model, np.asarray(light, dtype=float), ratios))
        for model in MODELS
        for curve, light in curves.items()
        if expand(model, np.zeros(3)).shape[0] + _SPARE <= len(truth)
    ]
    left_out = [ciede2000(truth, ratios_to_lab(tries[3])) for tries in tried]
    best = min(range(len(tried)), key=lambda place: (float(left_out[place].mean()), place))
    trials = tuple(
        _trial(model, curve, np.asarray(curves[curve], dtype=float), solved, truth, errors, left_out[best])
        for (model, curve, solved, _), errors in zip(tried, left_out, strict=True)
    )
    model, curve, solved, guessed = tried[best]
    guess = ratios_to_lab(guessed)
    width = _quantile(left_out[best] / _growth(guess))
    lightness = _quantile(np.abs(guess[:, 0] - truth[:, 0]))
    return CorrectionModel(model, curve, solved, left_out[best], width, lightness, trials)


def _growth(lab: Array) -> Array:
    grown: Array = 1.0 + np.hypot(lab[..., 1], lab[..., 2]) / _GREY
    return grown


def _quantile(errors: Array) -> float:
    ordered = np.sort(errors)
    rank = math.ceil(0.95 * (len(ordered) + 1))
    if len(ordered) < _ENOUGH:
        return float(ordered[-1]) * _WIDER
    return float(ordered[min(rank, len(ordered)) - 1])


def _trial(
    model: str, curve: str, light: Array, solved: Array, truth: Array, errors: Array, best: Array
) -> ModelTrial:
    fit = ciede2000(truth, ratios_to_lab(expand(model, light) @ solved))
    mean, least = float(errors.mean()), float(best.mean())
    verdict = "taken" if errors is best else f"left-out error {mean:.2f}, not below {least:.2f}"
    return ModelTrial(
        model, curve, len(solved), float(fit.mean()), mean, float(np.quantile(errors, 0.95)), verdict
    )
