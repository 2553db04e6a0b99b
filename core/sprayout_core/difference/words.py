"""What each word of colour means in numbers; every word that is said anywhere comes from this file."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

import numpy.typing as npt

from sprayout_core.difference.components import components
from sprayout_core.light import lch
from sprayout_core.light.cielab import triples
from sprayout_core.light.errors import ShapeError

__all__ = ["EQUAL", "NEUTRAL", "NO_STEP", "RULES", "Level", "Rule", "Words", "offset_words", "words"]

EQUAL = 0.5
"""CIELAB units: a lightness, chroma, yellowness or hue step smaller than this counts as equal."""

NEUTRAL = 2.0
"""CIELAB chroma below which a colour is a grey and has no hue of its own."""

NO_STEP = "no step to speak of"


class Level(Enum):
    """A step, trial less standard: up by EQUAL or more, equal, or down by EQUAL or more."""

    UP = 1
    SAME = 0
    DOWN = -1


_ANY = frozenset(Level)
_UP, _SAME, _DOWN = frozenset({Level.UP}), frozenset({Level.SAME}), frozenset({Level.DOWN})


@dataclass(frozen=True, slots=True)
class Rule:
    """A word and the steps in L*, C* and b* that it stands for; it is said when all three fit."""

    word: str
    lightness: frozenset[Level] = _ANY
    chroma: frozenset[Level] = _ANY
    yellowness: frozenset[Level] = _ANY


RULES = (
    Rule("lighter", lightness=_UP),
    Rule("darker", lightness=_DOWN),
    Rule("cleaner", lightness=_SAME, chroma=_UP),
    Rule("dirtier", lightness=_SAME, chroma=_DOWN),
    Rule("deeper", lightness=_DOWN, chroma=_UP),
    Rule("duller", lightness=_DOWN, chroma=_DOWN),
    Rule("brighter", lightness=_UP, chroma=_UP),
    Rule("paler", lightness=_UP, chroma=_DOWN),
    Rule("warmer", lightness=_SAME | _DOWN, yellowness=_UP),
    Rule("cooler", lightness=_SAME | _UP, yellowness=_DOWN),
)
"""In the order they are said. Warmer is b* up at equal or lower L*: a colour that turns yellower only
because it is lighter is not called warmer, and one that turns bluer only because it is darker not cooler."""

AXES = ("red", "yellow", "green", "blue")
"""The hues at 0, 90, 180 and 270 degrees of the CIELAB plane, which a turned hue is said to go toward."""


@dataclass(frozen=True, slots=True)
class Words:
    """A difference in words.

    said    the words of RULES that fit, in their order
    toward  the hue that the trial's hue turned to, or nothing
    """

    said: tuple[str, ...]
    toward: str = ""

    def __str__(self) -> str:
        parts = (*self.said, *((f"toward {self.toward}",) if self.toward else ()))
        return ", ".join(parts) or NO_STEP


def words(standard: npt.ArrayLike, trial: npt.ArrayLike) -> Words:
    """Return how one trial differs from its standard, in words.

    standard  L*, a*, b* of one colour     (3,)
    trial     L*, a*, b*, same view        (3,)
    raises    ShapeError, NotFiniteError
    """
    first, second = triples(standard, "standard"), triples(trial, "trial")
    if first.ndim != 1 or second.ndim != 1:
        raise ShapeError("more than one colour", "Words are for one pair at a time.", place="standard")
    step = components(first, second)
    light, clean, yellow = (_level(float(value)) for value in (step.lightness, step.chroma, step.yellowness))
    said = tuple(
        rule.word for rule in RULES if light in rule.lightness and clean in rule.chroma and yellow in rule.yellowness
    )
    grey = min(lch(first)[1], lch(second)[1]) < NEUTRAL
    toward = (
        _largest(float(step.redness), float(step.yellowness))
        if grey
        else _turned(float(lch(first)[2]), float(step.hue))
    )
    return Words(said, toward)


def offset_words(light: float, redness: float, yellowness: float) -> Words:
    """Return the words for an offset that many colours share, from dL*, da*, db*, CIELAB units.

    Such an offset has no colour of its own, so no word that looks at chroma is said of it.
    """
    levels = _level(light), _level(yellowness)
    said = tuple(
        rule.word
        for rule in RULES
        if rule.chroma == _ANY and levels[0] in rule.lightness and levels[1] in rule.yellowness
    )
    return Words(said, _largest(redness, yellowness))


def _level(step: float) -> Level:
    # a step written with two decimals must not fall short of the limit by binary rounding
    if abs(step) < EQUAL - 1e-9:
        return Level.SAME
    return Level.UP if step > 0 else Level.DOWN


def _turned(hue: float, step: float) -> str:
    """Return the axis that a hue angle (degrees) turns to; nothing where the step is too small to say."""
    level = _level(step)
    if level is Level.SAME:
        return ""
    if level is Level.UP:
        return AXES[int(hue // 90.0 + 1) % 4]
    return AXES[int(-(-hue // 90.0) - 1) % 4]


def _largest(redness: float, yellowness: float) -> str:
    """Return the axis that a grey moved to, by its largest step."""
    if max(abs(redness), abs(yellowness)) < EQUAL:
        return ""
    if abs(redness) >= abs(yellowness):
        return "red" if redness > 0 else "green"
    return "yellow" if yellowness > 0 else "blue"
