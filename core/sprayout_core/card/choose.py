"""Choosing a correction model by what it does to patches it has not seen, and the interval of that."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field

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

_ENOUGH = 24
_SPARE = 4
_PLAIN = "linear"
_FAR = 20.0
_COVER = 3.5
_COVER_LIGHTNESS = 2.7
_BETTER = 0.9
_STRANGE = 10.0


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
    width          interval of a colour that is one of the known ones, CIEDE2000
    lightness      what 95 % of left-out L* errors stay below
    trials         every candidate, in order of terms
    known          CIELAB of the reference patches                 (n, 3)
    """

    model: str
    curve: str
    coefficients: Array
    left_out: Array
    width: float
    lightness: float
    trials: tuple[ModelTrial, ...]
    known: Array = field(default_factory=lambda: np.empty((0, 3)))

    def lab(self, light: npt.ArrayLike) -> Array:
        """Return CIELAB of linear light (..., 3), in the view of the reference."""
        return ratios_to_lab(expand(self.model, light) @ self.coefficients)

    def interval(self, lab: npt.ArrayLike) -> Array:
        """Return the CIEDE2000 that about 95 % of errors of such colours stay below, (..., 3) -> (...).

        Wider the further a colour lies from every known one: by sqrt(2) where that is 20 CIEDE2000 (see
        docs/cards.md).
        """
        colours = np.asarray(lab, dtype=float)
        if not len(self.known):
            return np.full(colours.shape[:-1], self.width)
        return self.width * _growth(_apart(colours, self.known).min(axis=-1))


def choose_model(curves: Mapping[str, npt.ArrayLike], colours: npt.ArrayLike) -> CorrectionModel:
    """Return the model and tone curve with the least mean leave-one-out CIEDE2000.

    curves   linear light of the reference patches under each tone curve that may be its own   (n, 3) each
    colours  their measured CIELAB                                                             (n, 3)
    raises   CardRefused where there are fewer than 12 patches, or where no model comes near them

    The curve is the one under which the linear model does best; then a richer model is taken only where its
    error on patches left out is lower by a tenth (less is chance). The interval is 3.5 times the root mean
    square of the left-out errors, each over its growth with the distance from the nearest other patch; with
    fewer than 24 patches wider by sqrt(24 / n). Normal errors in three dimensions would need 1.61; the rest is
    for a model chosen on the very same patches, and above all for colours of another kind than the reference's:
    dyes that the camera sees another way than the eye does. Tuned on simulated cards, tested on others
    (docs/cards.md).
    """
    truth = np.asarray(colours, dtype=float)
    if len(truth) < FEWEST:
        raise CardRefused(
            Refusal.TOO_FEW_REFERENCES,
            f"{len(truth)} reference patches can be used, {FEWEST} are needed",
            "Lay in a reference target or more own chips with measured colours, and give their values.",
        )
    ratios = xyz(truth, np.ones(3))
    candidates = [
        _tried(model, curve, np.asarray(light, dtype=float), ratios, truth)
        for model in MODELS
        for curve, light in curves.items()
        if expand(model, np.zeros(3)).shape[0] + _SPARE <= len(truth)
    ]
    # the tone curve is settled by the plainest model: a polynomial could bend a wrong curve straight here,
    # but the light was evened out under that wrong curve as well
    plain = [candidate for candidate in candidates if candidate.model == _PLAIN]
    curve = min(plain, key=lambda candidate: candidate.mean).curve
    standing = [candidate for candidate in candidates if candidate.curve == curve]
    best = standing[0]
    for candidate in standing[1:]:
        if candidate.mean < _BETTER * best.mean:
            best = candidate
    if best.mean > _STRANGE:
        raise CardRefused(
            Refusal.REFERENCE_MISMATCH,
            f"the known colours are off by {best.mean:.0f} CIEDE2000 on average when left out",
            "Check that the target lies the right way round and that the values are those of this target; turn "
            "off automatic colours and filters.",
        )
    return CorrectionModel(
        best.model,
        curve,
        best.coefficients,
        best.errors,
        _COVER * _spread(best.errors / _growth(_nearest(truth))),
        _COVER_LIGHTNESS * _spread(best.guess[:, 0] - truth[:, 0]),
        tuple(_trial(candidate, best) for candidate in candidates),
        truth,
    )


@dataclass(frozen=True)
class _Candidate:
    """One model under one curve: what it gives each patch when that is left out, and how wrong that is."""

    model: str
    curve: str
    coefficients: Array
    guess: Array
    errors: Array
    fit_mean: float

    @property
    def mean(self) -> float:
        return float(self.errors.mean())


def _tried(model: str, curve: str, light: Array, ratios: Array, truth: Array) -> _Candidate:
    coefficients, left_out = fitted(model, light, ratios)
    labs = ratios_to_lab(np.stack([left_out, expand(model, light) @ coefficients]))
    errors, fit = ciede2000(truth, labs)
    return _Candidate(model, curve, coefficients, labs[0], errors, float(fit.mean()))


def _trial(candidate: _Candidate, best: _Candidate) -> ModelTrial:
    if candidate is best:
        verdict = "taken"
    elif candidate.curve != best.curve:
        verdict = "not this picture's tone curve"
    else:
        verdict = f"left-out error {candidate.mean:.2f} against {best.mean:.2f}"
    return ModelTrial(
        candidate.model,
        candidate.curve,
        len(candidate.coefficients),
        candidate.fit_mean,
        candidate.mean,
        float(np.quantile(candidate.errors, 0.95)),
        verdict,
    )


def _apart(colours: Array, known: Array) -> Array:
    """Return CIEDE2000 between colours (..., 3) and each of the known ones (n, 3), (..., n)."""
    return ciede2000(colours[..., np.newaxis, :], known)


def _nearest(known: Array) -> Array:
    """Return how far each known colour is from the nearest other one, which stands for it when it is left out."""
    apart = _apart(known, known)
    np.fill_diagonal(apart, np.inf)
    nearest: Array = apart.min(axis=1)
    return nearest


def _growth(apart: Array) -> Array:
    """Return how much larger an error is expected at a distance from the known colours."""
    grown: Array = np.sqrt(1.0 + (apart / _FAR) ** 2)
    return grown


def _spread(errors: Array) -> float:
    """Return the root mean square of left-out errors, wider where they are few."""
    wider = math.sqrt(max(1.0, _ENOUGH / len(errors)))
    return wider * float(np.sqrt((errors * errors).mean()))
