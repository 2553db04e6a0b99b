"""The way in to learning: panels in, knowledge with its accuracy out."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

from numpy.typing import ArrayLike

from sprayout_core.film.accuracy import left_out
from sprayout_core.film.knowledge import Learned
from sprayout_core.film.learning import learn_steps
from sprayout_core.film.panel import PanelStep

__all__ = ["learn", "learn_quickly"]


def learn(
    steps: Sequence[PanelStep],
    wavelengths: ArrayLike | None = None,
    scattering: Collection[str] = (),
    coat_scatter: Mapping[str, float] | None = None,
    n: float = 1.5,
) -> Learned:
    """Return everything the panels teach, with leave-one-panel-out accuracy and calibrated intervals.

    steps          every reading of every step panel, dilution, mix and calibration panel
    wavelengths    of all readings, nm; 400 to 700 by 10 where not given                     (n,)
    scattering     names of the dyes and bases that scatter (pearl, solid colours); they need panels over
                   white and black
    coat_scatter   per class of paint, relative scatter of one coat; learned (drawn to 5 %) where not given
    n              refractive index of the clear

    All panels are fitted together: absorption (and scattering) per band, not negative and smooth; one trapping
    per metallic ground and geometry; one film factor per shop; the relative film of each step, whose coats add
    up. Panels that do not fit are named in `suspects` and hardly counted. Raises FaultsError or SprayoutError
    with the panel to spray where the panels cannot tell.
    """
    learned, fit = learn_steps(steps, wavelengths, scattering, coat_scatter, n)
    return left_out(steps, learned, fit, most=60, refits=4)


def learn_quickly(
    steps: Sequence[PanelStep],
    wavelengths: ArrayLike | None = None,
    scattering: Collection[str] = (),
    coat_scatter: Mapping[str, float] | None = None,
    n: float = 1.5,
    start: Learned | None = None,
) -> Learned:
    """Return the same without leaving panels out: for a correction while the cup waits. `start` speeds it up.

    Accuracy and widening are taken over from `start` where it has them.
    """
    learned, _ = learn_steps(steps, wavelengths, scattering, coat_scatter, n, start)
    if start is None:
        return learned
    return learned.with_accuracy(start)
