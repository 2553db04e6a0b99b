"""What only the whole table shows: a scale that cannot be, samples told twice, further tables, a file
cut short.
"""

from __future__ import annotations

from sprayout_core.tables import SCALES
from sprayout_plugins.instrument_csv import text
from sprayout_plugins.instrument_csv.angles import angle_apart
from sprayout_plugins.instrument_csv.cells import SEPARATORS, numberish
from sprayout_plugins.instrument_csv.options import Findings
from sprayout_plugins.instrument_csv.plan import Down, Long, Plan
from sprayout_plugins.instrument_csv.rows import Tally

__all__ = ["repeats", "scale_possible", "whole"]

_FEW = 4
_DECIMALS = 5
"""More decimals of a reflectance factor are not kept."""

_CURVES = (
    "xyz",
    "rgb",
    "lms",
    ("x_bar", "y_bar", "z_bar"),
    ("red", "green", "blue"),
    ("uv", "blue", "green"),
)


def whole(plan: Plan | Down | Long, tally: Tally, findings: Findings, count: int) -> None:
    """Note the questions and faults that come from all rows together."""
    _curves(tally, findings)
    _angles(plan, tally, findings)
    scale_possible(plan.scale, tally, findings)
    repeats(tally, findings, plan.places if isinstance(plan, Plan) else "")
    _tables(tally, findings)
    _cut(plan, tally, findings)
    if not count and not findings.faults:
        findings.fault("", "no sample is found below the headings", "Export the readings again.")


def _curves(tally: Tally, findings: Findings) -> None:
    """Ask where the samples bear the names of an observer's, a sensor's or a device's curves."""
    names = {label.lower() for label, _ in tally.samples}
    if findings.told("quantity") != "reflectance" and any(names == set(curves) for curves in _CURVES):
        findings.ask("quantity", "Are these reflectance factors?", f"{', '.join(sorted(names))} are names of curves")


def _angles(plan: Plan | Down | Long, tally: Tally, findings: Findings) -> None:
    """Refuse names of one sample that differ in an angle alone, under one geometry for all."""
    if not isinstance(plan, Plan) or plan.angles >= 0:
        return
    stems: dict[str, str] = {}
    for label, _ in tally.samples:
        if "°" in label or " as" in label:
            stem, angle, rest = angle_apart(label)
            first = stems.setdefault(f"{stem}#{rest}", label) if angle else label
            if first != label:
                problem = f"{min(first, label)!r} and {max(first, label)!r} name an angle each"
                findings.fault("", problem, "Give the angle a column of its own, headed Geometry.")
                return


def scale_possible(scale: str, tally: Tally, findings: Findings) -> None:
    """Ask once more where all values would be darker, or far brighter, than pieces are under the scale
    in use.
    """
    if not scale or findings.told("scale_confirmed") == scale or tally.highest < tally.lowest:
        return
    divisor = SCALES[scale]
    dim, whose = tally.dimmest
    if scale != "unit" and dim <= 0.015 * divisor:
        why = f"no value of {whose!r} is over {dim:g}, which would be a very black sample"
    elif scale != "thousandths" and tally.highest > 2.0 * divisor:
        why = f"the highest value is {tally.highest:g}, twice as bright as the perfect white"
    else:
        return
    findings.ask("scale_confirmed", f"Are the values really {scale}?", why, {scale: f"yes, they are {scale}"})


def repeats(tally: Tally, findings: Findings, places: str = "") -> None:
    """Ask what samples told twice are; `places` is how to tell a column of steps or zones that may tell them apart."""
    if not tally.repeated or any(question.option == "illumination" for question in findings.questions):
        return  # while geometries are open, those of one sample cannot be told apart
    told = findings.told("repeats")
    label, line = tally.repeated[0]
    if told == "replicates":
        findings.saw("repeats", "several readings of one sample", how="told")
    elif told == "mistake":
        findings.fault(f"line {line}", f"{label!r} is there a second time", "Give each sample its own name.")
    else:
        apart = f"; if they are steps or zones of it, tell label={places} instead" if places else ""
        findings.ask(
            "repeats",
            "Are samples of one name several readings of it?",
            f"{label!r} is there again on line {line}{apart}",
        )


def _tables(tally: Tally, findings: Findings) -> None:
    if tally.tables and findings.told("table") is None:
        findings.fault(
            f"line {tally.tables[0]}",
            "another table begins here, with other headings",
            "Save each table in a file of its own, or tell the option table (1 is the first).",
        )


def _cut(plan: Plan | Down | Long, tally: Tally, findings: Findings) -> None:
    """Ask where the file ends without a line end in a number that is shorter than those before it."""
    told = findings.told("cut")
    if told == "cut":
        findings.fault("", "the file is told to be cut short", "Export it again.")
    if told or findings.faults or not tally.last or text.finished(tally.last):
        return
    mark = SEPARATORS[plan.separator]
    *before, final = tally.last.split(mark)
    own = [cell for cell in before if numberish(cell)]
    others = sorted(map(_length, own if len(own) > _FEW else [*own, *filter(numberish, tally.previous.split(mark))]))
    if not numberish(final) or not others:
        return
    length = _length(final)
    # Where numbers are written as long as they are, one that still has its fifth decimal has lost nothing that counts.
    shorter = length < others[0] or (length < others[len(others) // 2] and length[0] < _DECIMALS)
    if shorter:
        than = "all" if length < others[0] else "most"
        findings.ask(
            "cut",
            "Is the file complete?",
            f"it ends without a line end in {final.strip()!r}, shorter than {than} numbers before it",
        )


def _length(cell: str) -> tuple[int, int]:
    """Return how long a number is written: digits after the decimal mark, and all of it for whole numbers."""
    plain = cell.strip().replace(",", ".")
    whole, mark, decimals = plain.partition(".")
    return (len(decimals), 0) if mark else (0, len(whole))
