"""Reading: what measurements of panels say: angles and flop, repeats, agreement, and whether it is real."""

from sprayout_core.reading.across import AcrossAngles, AtAngle, Travel, across_angles, tell, travel
from sprayout_core.reading.agreement import Agreement, agreement
from sprayout_core.reading.angles import SETS, Angle, angle
from sprayout_core.reading.errors import AngleError, EvidenceError, FlopError, ReadingError, RepeatsError
from sprayout_core.reading.evidence import Grade, one_grade, warm_panel
from sprayout_core.reading.eye import (
    Apart,
    Concordance,
    Correlation,
    kendall_w,
    orders_part,
    ranks,
    ranks_of_values,
    spearman,
)
from sprayout_core.reading.flop import FLOP_FORMULA, Flop, flop, flop_index
from sprayout_core.reading.lights import LightChange, light_change
from sprayout_core.reading.real import FALSE_ALARM, Measured, Real, chance, is_real
from sprayout_core.reading.spread import Repeatability, Spread, repeatability, spread

__all__ = [
    "FALSE_ALARM",
    "FLOP_FORMULA",
    "SETS",
    "AcrossAngles",
    "Agreement",
    "Angle",
    "AngleError",
    "Apart",
    "AtAngle",
    "Concordance",
    "Correlation",
    "EvidenceError",
    "Flop",
    "FlopError",
    "Grade",
    "LightChange",
    "Measured",
    "ReadingError",
    "Real",
    "Repeatability",
    "RepeatsError",
    "Spread",
    "Travel",
    "across_angles",
    "agreement",
    "angle",
    "chance",
    "flop",
    "flop_index",
    "is_real",
    "kendall_w",
    "light_change",
    "one_grade",
    "orders_part",
    "ranks",
    "ranks_of_values",
    "repeatability",
    "spearman",
    "spread",
    "tell",
    "travel",
    "warm_panel",
]
