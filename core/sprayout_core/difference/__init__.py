"""Difference: how far a trial is from its standard, in the published formulas and in the painter's words."""

from sprayout_core.difference.cie76 import cie76
from sprayout_core.difference.cie94 import cie94
from sprayout_core.difference.ciede2000 import ciede2000
from sprayout_core.difference.cmc import cmc
from sprayout_core.difference.components import Components, components
from sprayout_core.difference.din99 import din99, din99o
from sprayout_core.difference.formulas import FORMULAS, Formula, UnknownFormulaError, formula
from sprayout_core.difference.lights import (
    InLight,
    LightTravel,
    Match,
    PairInLight,
    match_in_lights,
    through_lights,
)
from sprayout_core.difference.metamerism import (
    OUTSIDE_SCOPE,
    CorrectionError,
    Quartet,
    additive,
    metamerism,
    metamerism_multiplicative,
    multiplicative,
)
from sprayout_core.difference.stress import stress
from sprayout_core.difference.tolerance import (
    Limit,
    Place,
    Scheme,
    State,
    Tolerance,
    ToleranceError,
    Verdict,
    judge,
)
from sprayout_core.difference.tone import tone
from sprayout_core.difference.weights import (
    GRAPHIC_ARTS,
    TEXTILES,
    Cie94Weights,
    DifferenceError,
    Weights,
    WeightsError,
)
from sprayout_core.difference.words import EQUAL, NEUTRAL, NO_STEP, RULES, Level, Rule, Words, offset_words, words

__all__ = [
    "EQUAL",
    "FORMULAS",
    "GRAPHIC_ARTS",
    "NEUTRAL",
    "NO_STEP",
    "OUTSIDE_SCOPE",
    "RULES",
    "TEXTILES",
    "Cie94Weights",
    "Components",
    "CorrectionError",
    "DifferenceError",
    "Formula",
    "InLight",
    "Level",
    "LightTravel",
    "Limit",
    "Match",
    "PairInLight",
    "Place",
    "Quartet",
    "Rule",
    "Scheme",
    "State",
    "Tolerance",
    "ToleranceError",
    "UnknownFormulaError",
    "Verdict",
    "Weights",
    "WeightsError",
    "Words",
    "additive",
    "cie76",
    "cie94",
    "ciede2000",
    "cmc",
    "components",
    "din99",
    "din99o",
    "formula",
    "judge",
    "match_in_lights",
    "metamerism",
    "metamerism_multiplicative",
    "multiplicative",
    "offset_words",
    "stress",
    "through_lights",
    "tone",
    "words",
]
