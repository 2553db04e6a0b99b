"""Metric amounts, with US ones beside them where the visitor chose so; the choice stands in a cookie."""

from __future__ import annotations

from fractions import Fraction

from sprayout_core.mix.bounds import told
from sprayout_library.hub.pages.visit import Reply, Visit

__all__ = ["amount_words", "choose", "strainer"]

#: The international pound is 0.45359237 kg exactly (Refinement of values for the yard and the pound, Federal
#: Register 24 FR 5348, 1959); an avoirdupois ounce is a sixteenth of it.
G_PER_OZ = Fraction("453.59237") / 16


def amount_words(value: Fraction, unit: str, units: str, digits: int = 2) -> str:
    """Return an amount in ml or g as it is told; with US fluid ounces, or ounces, beside it where `units` is us."""
    metric = f"{told(value, digits)} {unit}"
    if units != "us":
        return metric
    from sprayout_core.mix import ML_PER_US_FL_OZ

    other, name = (value / G_PER_OZ, "oz") if unit == "g" else (value / ML_PER_US_FL_OZ, "US fl oz")
    return f"{metric} ({told(other, 2 if abs(other) >= 1 else 3)} {name})"


def strainer(opening_um: str) -> str:
    """Return a strainer's opening as it is told, the mesh beside: 190 µm (about 80 mesh)."""
    from sprayout_core.mix import mesh_beside
    from sprayout_core.ratio import exact

    return mesh_beside(exact(opening_um)).replace(" um", " µm")


def choose(visit: Visit) -> Reply:
    """Keep which units a visitor reads, and go back to where they were."""
    wanted = "us" if visit.asked.said("units") == "us" else "metric"
    back = visit.asked.said("back", "/")
    inside = back.startswith(f"{visit.base}/") and not back.startswith("//") and "\\" not in back and back.isprintable()
    return Reply(to=back if inside else f"{visit.base}/", status=303, units=wanted)
