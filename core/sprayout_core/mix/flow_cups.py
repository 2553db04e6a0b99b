"""Viscosity cups by their standard's name: seconds to kinematic viscosity, with its uncertainty."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from math import isqrt

from sprayout_core.errors import SprayoutError
from sprayout_core.mix.bounds import Span, positive, told

__all__ = ["FLOW_CUPS", "FlowCup", "Viscosity", "at_other_temperature", "flow_cup", "seconds_in", "viscosity"]


@dataclass(frozen=True, slots=True)
class FlowCup:
    """One cup of one standard; v = slope x t - drag / t - offset, v in mm2/s and t in seconds.

    seconds         times the standard allows for this cup
    degc            the standard's temperature
    uncertain       how far two laboratories may differ (95 %), or how far a sound cup may be off, as a
                    share of the viscosity; None where no published figure is at hand
    uncertain_is    what that share is
    """

    name: str
    slope: Fraction
    drag: Fraction
    offset: Fraction
    seconds: Span
    degc: Fraction
    uncertain: Fraction | None
    uncertain_is: str

    def at(self, seconds: Fraction) -> Fraction:
        """Return mm2/s for a time, without asking whether the time is allowed."""
        return self.slope * seconds - self.drag / seconds - self.offset


@dataclass(frozen=True, slots=True)
class Viscosity:
    """A kinematic viscosity from a cup, in mm2/s.

    interval  what the cup's uncertainty makes of it; None where the standard's is not known here
    degc      temperature of the liquid; None where nobody wrote it down
    """

    cup: str
    seconds: Fraction
    mm2_per_s: Fraction
    interval: Span | None
    degc: Fraction | None
    notes: tuple[str, ...]


def _cup(
    name: str,
    slope: str,
    drag: str,
    offset: str,
    seconds: tuple[int, int],
    degc: int,
    uncertain: str,
    why: str,
) -> FlowCup:
    return FlowCup(
        name,
        Fraction(slope),
        Fraction(drag),
        Fraction(offset),
        Span(Fraction(seconds[0]), Fraction(seconds[1])),
        Fraction(degc),
        Fraction(uncertain) if uncertain else None,
        why,
    )


_ISO = ("0.03", "a cup counts as sound within 3 % (ISO 2431); laboratories may differ by more")
_D1200 = ("", "no published precision for this cup is at hand, so it has no interval")
_D4212 = ("0.33", "two laboratories may differ by 33 % (ASTM D4212, 95 %)")

# Sources: ISO 2431 (3, 4, 6 mm as published; the 5 mm drag is the one that gives the standard's stated range,
# 91 to 326 mm2/s), ASTM D1200 (sizes 1 and 2 as published, 3 to 5 from memory), ASTM D4212 as published.
_TABLE = (
    _cup("ISO 2431 3 mm", "0.443", "200", "0", (30, 100), 23, *_ISO),
    _cup("ISO 2431 4 mm", "1.37", "200", "0", (30, 100), 23, *_ISO),
    _cup("ISO 2431 5 mm", "3.28", "220", "0", (30, 100), 23, *_ISO),
    _cup("ISO 2431 6 mm", "6.90", "570", "0", (30, 100), 23, *_ISO),
    _cup("ASTM D1200 #1", "0.49", "0", str(Fraction("0.49") * 35), (55, 100), 25, *_D1200),
    _cup("ASTM D1200 #2", "1.44", "0", str(Fraction("1.44") * 18), (40, 100), 25, *_D1200),
    _cup("ASTM D1200 #3", "2.31", "0", str(Fraction("2.31") * Fraction("6.58")), (20, 100), 25, *_D1200),
    _cup("ASTM D1200 #4", "3.85", "0", str(Fraction("3.85") * Fraction("4.49")), (20, 100), 25, *_D1200),
    _cup("ASTM D1200 #5", "12.1", "0", str(Fraction("12.1") * 2), (20, 100), 25, *_D1200),
    _cup("ASTM D4212 #1", "1.1", "0", str(Fraction("1.1") * 29), (35, 80), 25, *_D4212),
    _cup("ASTM D4212 #2", "3.5", "0", str(Fraction("3.5") * 14), (20, 80), 25, *_D4212),
    _cup("ASTM D4212 #3", "11.7", "0", str(Fraction("11.7") * Fraction("7.5")), (20, 80), 25, *_D4212),
    _cup("ASTM D4212 #4", "14.8", "0", str(Fraction("14.8") * 5), (20, 80), 25, *_D4212),
    _cup("ASTM D4212 #5", "23", "0", "0", (20, 80), 25, *_D4212),
)

#: Every cup known, by its standard's name.
FLOW_CUPS: Mapping[str, FlowCup] = {cup.name: cup for cup in _TABLE}

#: ASTM D4212: the viscosity of a coating may change by up to 5 % for one degree Fahrenheit.
_PER_DEGREE_F = Fraction(105, 100)


def flow_cup(name: str) -> FlowCup:
    """Return the cup of a standard, such as "ISO 2431 4 mm" or "ASTM D4212 #2"; a bare size is refused."""
    wanted = " ".join(name.lower().split())
    for known, cup in FLOW_CUPS.items():
        if known.lower() == wanted:
            return cup
    raise SprayoutError(
        f"{name!r} does not say which standard's cup it is",
        f"Cups of one size differ from standard to standard. Known: {', '.join(FLOW_CUPS)}.",
        place="cup",
    )


def viscosity(cup: FlowCup, seconds: Fraction, degc: Fraction | None = None) -> Viscosity:
    """Return the kinematic viscosity for a cup's time, with its interval.

    Raises SprayoutError for a time outside what the standard allows: below it the flow is no longer
    governed by viscosity, above it the stream breaks.
    """
    if positive(seconds, "seconds") not in cup.seconds:
        raise SprayoutError(
            f"{told(seconds)} s is outside {told(cup.seconds.low)} to {told(cup.seconds.high)} s, "
            f"the times {cup.name} allows",
            "Use a cup with a smaller opening." if seconds < cup.seconds.low else "Use a cup with a larger opening.",
            place="seconds",
        )
    value = cup.at(seconds)
    interval = None if cup.uncertain is None else Span(value * (1 - cup.uncertain), value * (1 + cup.uncertain))
    return Viscosity(cup.name, Fraction(seconds), value, interval, degc, _notes(cup, degc))


def seconds_in(other: FlowCup, found: Viscosity) -> tuple[Fraction, Span | None]:
    """Return the seconds another cup would take for a viscosity, to 0.0001 s, and their interval.

    The interval carries the first cup's uncertainty only; it is None where that is unknown. Raises
    SprayoutError when the time lies outside what the other cup allows.
    """
    seconds = _seconds(other, found.mm2_per_s)
    if seconds not in other.seconds:
        raise SprayoutError(
            f"it would take {told(seconds, 2)} s, outside the {told(other.seconds.low)} to "
            f"{told(other.seconds.high)} s that {other.name} allows",
            "Use a cup made for this viscosity.",
            place=other.name,
        )
    if found.interval is None:
        return seconds, None
    return seconds, Span(_seconds(other, found.interval.low), _seconds(other, found.interval.high))


def at_other_temperature(found: Viscosity, degc: Fraction) -> Span:
    """Return the range a viscosity may have at another temperature: up to 5 % a degree Fahrenheit either way.

    The bound is the one ASTM D4212 gives; started degrees count whole. Raises SprayoutError where no
    temperature was written down or the cup has no interval to widen.
    """
    if found.degc is None or found.interval is None:
        lacks = "its temperature was not written down" if found.degc is None else "its cup has no known interval"
        raise SprayoutError(lacks, "Measure again at that temperature.", place=found.cup)
    fahrenheit = abs(degc - found.degc) * Fraction(9, 5)
    factor = _PER_DEGREE_F ** -(-fahrenheit // 1)
    return Span(found.interval.low / factor, found.interval.high * factor)


def _seconds(cup: FlowCup, mm2_per_s: Fraction) -> Fraction:
    """Solve slope t - drag / t - offset = v for t > 0, to 0.0001 s."""
    sum_ = mm2_per_s + cup.offset
    if not cup.drag:
        return sum_ / cup.slope
    return (sum_ + _root(sum_**2 + 4 * cup.slope * cup.drag)) / (2 * cup.slope)


def _root(value: Fraction) -> Fraction:
    """Return the square root of an exact value to 1e-7, from whole numbers."""
    return Fraction(isqrt(int(value * 10**14)), 10**7)


def _notes(cup: FlowCup, degc: Fraction | None) -> tuple[str, ...]:
    notes = [cup.uncertain_is[0].upper() + cup.uncertain_is[1:] + "."]
    if degc is None:
        notes.append("The temperature was not written down: one degree Fahrenheit may be 5 % (ASTM D4212).")
    elif abs(degc - cup.degc) > Fraction(1, 2):
        notes.append(f"This is the viscosity at {told(degc)} °C; the standard's is at {told(cup.degc)} °C.")
    notes.append("For liquids that thin when stirred a cup's seconds are a comparison, not a viscosity.")
    return tuple(notes)
