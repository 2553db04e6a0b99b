"""Columns that are no readings: lining headings up with cells, and finding the one that names the sample."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from sprayout_plugins.instrument_csv import cells, headings, words
from sprayout_plugins.instrument_csv.options import Findings

__all__ = [
    "COLUMN_NUMBER",
    "LINE_NUMBER",
    "NAMES_ABOVE",
    "aligned",
    "label_column",
    "name",
    "offered_place",
    "told_place",
]

LINE_NUMBER = "(line number)"
"""The answer to `label` where no column names the sample."""


COLUMN_NUMBER = "(column number)"
"""The answer to `label` where no line names the columns of a table with wavelengths down."""


NAMES_ABOVE = "(headings)"
"""The answer to `label` where numbers above the columns are names and no angles."""


def aligned(
    names: Sequence[str], rows: Sequence[Sequence[str]], findings: Findings, line: int, separator: str
) -> list[str] | None:
    """Return one heading per cell of a row; where there are fewer headings than cells, say to which
    they belong.
    """
    named = [name.strip() for name in names]
    width = len(rows[0])
    while len(named) > width and not named[-1]:
        named.pop()
    if len(named) > width:
        findings.fault(
            f"line {line}",
            f"there are {len(named)} headings over rows of {width} cells",
            "Export again; if a value is a decimal comma, part columns by semicolons.",
        )
        return None
    missing = width - len(named)
    empty_end = all(not cell.strip() for row in rows for cell in row[len(named) :])
    if missing == 0 or empty_end:
        return named + [""] * missing
    told = findings.told("headings")
    if missing == 1 and told is None and not any(letter.isdigit() for letter in named[0]):
        shown = f"{rows[0][0].strip()!r} and {rows[0][1].strip()!r} seem to stand under {named[0]!r}"
        blanks = f": {shown}, is that one name with a blank in it?" if separator == "blanks" else ", one is missing"
        findings.fault(
            f"line {line}",
            f"there are {len(named)} headings over rows of {width} cells{blanks}",
            "Put names with blanks in quotation marks." if separator == "blanks" else "Give each column its heading.",
        )
        return None
    if missing == 1 and (told or _first_is_text(rows)):
        if told == "from the first column":
            return [*named, ""]
        findings.saw(
            "headings",
            "from the second column",
            "" if told else "the first column holds text and has none",
            how="told" if told else "seen",
        )
        return ["", *named]
    if missing == 1:
        findings.ask(
            "headings",
            "Over which column does the first heading stand?",
            "there is one heading less than columns",
        )
        return None
    findings.fault(
        f"line {line}",
        f"there are {len(named)} headings over rows of {width} cells",
        "Give each column a heading; if a value is a decimal comma, part columns by semicolons.",
    )
    return None


def beside_reflectance(named: Sequence[str], at: int) -> str:
    """Return which quantity a column's name ends with where another column is the same sample's reflectance: `KF R`,
    `KF T`.
    """
    *sample, sign = named[at].split() or [""]
    other = words.short_other(sign.strip("()[]"))
    twins = {" ".join([*sample, sign.replace(other, r)]) for r in ("R", "%R", "R%")} if other else set()
    return f"{other}, beside the reflectance of the same sample" if twins & set(named) else ""


def _first_is_text(rows: Sequence[Sequence[str]]) -> bool:
    """Say whether the first cells are text and the last are numbers, so that headings can only belong
    one further.
    """
    return not any(cells.numberish(row[0]) for row in rows) and all(cells.numberish(row[-1]) for row in rows)


def label_column(named: Sequence[str], used: set[int], rows: Sequence[Sequence[str]], findings: Findings) -> int | None:
    """Return the cell that names the sample, -1 for the line number, or None after asking."""
    free = [at for at in range(len(named)) if at not in used and (named[at] or any(row[at].strip() for row in rows))]
    if told := findings.told("label"):
        return _told(told, named, used, findings)
    known = [at for at in free if words.names_sample(named[at])]
    texts = [at for at in free if any(row[at].strip() and not cells.numberish(row[at]) for row in rows)]
    nameless = [at for at in texts if not named[at]]
    if len(known) == 1 and _one_spelling(named, known[0]) and (known[0] in texts or not nameless):
        findings.saw("label", named[known[0]], "its heading names the sample")
        return known[0]
    if not known and len(texts) == 1 and not headings.coordinate(named[texts[0]]):
        findings.saw("label", named[texts[0]] or f"column {texts[0] + 1}", "it is the only column of text")
        return texts[0]
    offered = {name(named, at): f"for instance {_example(rows, at)!r}" for at in ((known or free) + nameless)[:20]}
    offered[LINE_NUMBER] = "no column names it; use the line's number"
    why = "several could" if len(known or free) > 1 else "no heading says that it does"
    findings.ask("label", "Which column names the sample?", why, offered)
    return None


def name(named: Sequence[str], at: int) -> str:
    """Return how a column is told: by its heading where that is its own, else by its place."""
    return named[at] if named[at] and Counter(named)[named[at]] == 1 else f"column {at + 1}"


def told_place(named: Sequence[str], findings: Findings) -> int:
    """Return the cell of the step or zone where the label is told as two columns (`Sample/Coats`), else -1."""
    _, place = _label_and_place(named, findings.told("label") or "")
    return place


def offered_place(named: Sequence[str], used: set[int], label: int) -> str:
    """Return how to tell the one column that may name steps or zones beside the sample's, or nothing."""
    found = [at for at in range(len(named)) if at not in used and words.PLACE.match(named[at])]
    return f"{name(named, label)}/{name(named, found[0])}" if len(found) == 1 and label >= 0 else ""


def _label_and_place(named: Sequence[str], told: str) -> tuple[str, int]:
    """Return what is told of the label, and the cell of the place after its last stroke (-1: no such column)."""
    ways = {way: at for at in range(len(named)) for way in (name(named, at), f"column {at + 1}")}
    label, _, place = told.rpartition("/")
    return (label, ways[place]) if told not in ways and label in ways and place in ways else (told, -1)


def _one_spelling(named: Sequence[str], at: int) -> bool:
    return sum(other.lower() == named[at].lower() for other in named) == 1


def _example(rows: Sequence[Sequence[str]], at: int) -> str:
    return next((row[at].strip() for row in rows if row[at].strip()), "")[:40]


def _told(told: str, named: Sequence[str], used: set[int], findings: Findings) -> int | None:
    told, place = _label_and_place(named, told)
    if place >= 0 and place in used:
        findings.fault("option label", f"{named[place]!r} holds values of the reading", "Name another column.")
        return None
    if place >= 0:
        findings.saw("step or zone", name(named, place), how="told")
    if told == LINE_NUMBER:
        findings.saw("label", LINE_NUMBER, how="told")
        return -1
    for at in range(len(named)):
        if told in {name(named, at), f"column {at + 1}"}:
            if at in used:
                findings.fault("option label", f"{told!r} holds values of the reading", "Name another column.")
                return None
            findings.saw("label", told, how="told")
            return at
    findings.fault("option label", f"no column is headed {told!r}", "Use a heading of the table, or 'column 3'.")
    return None
