"""Parts and proportions as people write them: exact, comparable, each with one spelling."""

from sprayout_core.ratio.decimal_text import RatioError, decimal_text, exact, has_decimal_text
from sprayout_core.ratio.integers import LARGEST_PART, scale_of, smallest_integers

__all__ = [
    "LARGEST_PART",
    "RatioError",
    "decimal_text",
    "exact",
    "has_decimal_text",
    "scale_of",
    "smallest_integers",
]
