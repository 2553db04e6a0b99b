"""Film build: wet and dry film, coverage, what an area takes, what a gun lays down with its overlap.

Volume solids, shares landing and overlap are shares of 1; films are micrometres; one square metre
covered one micrometre thick is one millilitre.
"""

from __future__ import annotations

from fractions import Fraction

from sprayout_core.errors import SprayoutError
from sprayout_core.mix.bounds import Span, positive, share, zero_or_more

__all__ = [
    "SQUARE_FEET_PER_GALLON_MIL",
    "coverage_m2_per_l",
    "dry_film_um",
    "gun_wet_film_um",
    "laid_ml",
    "passes_over_a_point",
    "wet_film_um",
]

#: What a US gallon (231 cubic inches) covers one mil thick, in square feet: 231 x 1000 / 144.
SQUARE_FEET_PER_GALLON_MIL = Fraction(231_000, 144)


def dry_film_um(wet_um: Fraction, volume_solids: Fraction, reducer: Fraction = Fraction(0)) -> Fraction:
    """Return the dry film left by a wet one: wet x solids / (1 + reducer per volume of mix)."""
    solids = share(volume_solids, "volume solids")
    return positive(wet_um, "wet film") * solids / (1 + zero_or_more(reducer, "reducer"))


def wet_film_um(dry_um: Fraction, volume_solids: Fraction, reducer: Fraction = Fraction(0)) -> Fraction:
    """Return the wet film that leaves a dry one: dry x (1 + reducer per volume of mix) / solids."""
    solids = share(volume_solids, "volume solids")
    return positive(dry_um, "dry film") * (1 + zero_or_more(reducer, "reducer")) / solids


def coverage_m2_per_l(dry_um: Fraction, volume_solids: Fraction) -> Fraction:
    """Return the theoretical spreading rate, m2 per litre: 1000 x solids / dry film; nothing lost."""
    return 1000 * share(volume_solids, "volume solids") / positive(dry_um, "dry film")


def laid_ml(area_m2: Fraction, dry_um: Span, volume_solids: Fraction, lands: Span) -> Span:
    """Return the unreduced millilitres one coat takes: area x dry film / (solids x share that lands)."""
    share(lands.low, "share that lands")
    share(lands.high, "share that lands")
    positive(dry_um.low, "dry film")
    on_piece = dry_um.times(positive(area_m2, "area") / share(volume_solids, "volume solids"))
    return on_piece.over(lands)


def gun_wet_film_um(
    flow_ml_per_min: Fraction, lands: Span, speed_m_per_s: Fraction, fan_m: Fraction, overlap: Fraction
) -> Span:
    """Return the wet film of one coat from gun facts: flow x share landing / (speed x fan x (1 - overlap)).

    A fan that lays evenly over its width is assumed; a real one is thinner at its ends.
    """
    share(lands.low, "share that lands")
    share(lands.high, "share that lands")
    stride = positive(fan_m, "fan width") * (1 - _overlap(overlap))
    per_second = positive(flow_ml_per_min, "flow") / 60
    return lands.times(per_second / (positive(speed_m_per_s, "speed") * stride))


def passes_over_a_point(overlap: Fraction) -> Fraction:
    """Return how many passes cross each point of a coat: 1 / (1 - overlap)."""
    return 1 / (1 - _overlap(overlap))


def _overlap(overlap: Fraction) -> Fraction:
    if zero_or_more(overlap, "overlap") >= 1:
        raise SprayoutError(
            "each pass would lie wholly on the one before",
            "Give a share below 1, such as 0.5.",
            place="overlap",
        )
    return Fraction(overlap)
