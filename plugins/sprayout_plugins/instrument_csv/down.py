"""Planning a table with wavelengths down: which column holds them, which columns are samples, what
names them.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace

from sprayout_plugins.instrument_csv import cells, conditions, headings, marks, words
from sprayout_plugins.instrument_csv.angles import angles_in_names, bare_angles, column_angles
from sprayout_plugins.instrument_csv.columns import COLUMN_NUMBER, NAMES_ABOVE, beside_reflectance
from sprayout_plugins.instrument_csv.head import Head, numbers_above
from sprayout_plugins.instrument_csv.headings import Spectral
from sprayout_plugins.instrument_csv.options import Findings
from sprayout_plugins.instrument_csv.plan import Down
from sprayout_plugins.instrument_csv.spectral import in_nanometres, known_reflectance, titled_otherwise

__all__ = ["Fall", "fall", "names_above", "plan"]

_BANDS = 5
_NM, _UM = (200.0, 60000.0), (0.2, 60.0)
_UNIT_CELL = re.compile(r"\W*(?:nm|um|µm|μm|%|%?\s*r\s*%?|percent|unit|fraction|-|1|0\s*-\s*1|)\W*\Z", re.IGNORECASE)
_PLAIN_VALUE = re.compile(r"\W*(?:values?|y|data|reading|measured)?\W*\Z", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Fall:
    """Where wavelengths run down: the first row among the head's rows, how many rows, and the cell."""

    first: int
    length: int
    column: int


def fall(head: Head) -> Fall | None:
    """Return the first column among the first three in which five or more rows rise or fall like
    wavelengths.
    """
    for column in range(3):
        start = 0
        while start < len(head.rows):
            length = _run(head, start, column)
            if length >= _BANDS:
                return Fall(start, length, column)
            start += max(length - 1, 1)
    return None


def _run(head: Head, start: int, column: int) -> int:
    """Return how many rows from one on hold numbers that rise or fall, all in the range of nm or all in that of um."""
    before: float | None = None
    rising: bool | None = None
    length = 0
    for _, row in head.rows[start:]:
        value = _loose(row[column]) if len(row) > column and len(row) > 1 else None
        if value is None or not _like_wavelengths(value, before):
            break
        if before is not None:
            if value == before or (rising is not None and (value > before) != rising):
                break
            rising = value > before
        before = value
        length += 1
    return length


def _like_wavelengths(value: float, before: float | None) -> bool:
    if value >= _NM[0]:
        return value <= _NM[1] and (before is None or before >= _NM[0])
    whole = value == int(value)
    return _UM[0] <= value <= _UM[1] and (not whole if before is None else before <= _UM[1])


def _loose(cell: str) -> float | None:
    value = cells.number(cell, "point")
    return cells.number(cell, "comma") if value is None else value


def names_above(head: Head, first: int, width: int) -> tuple[int, list[str], str]:
    """Return the line of the names above a row (0: none), the names, and the text of a row of units
    between.
    """
    under: tuple[int, list[str]] | None = None
    for line, row in reversed(head.rows[:first]):
        named = [cell.strip() for cell in row]
        if not any(named):
            continue
        if sum(map(bool, named)) < 2:
            break
        if not under and all(_UNIT_CELL.match(cell[: words.LONGEST]) for cell in named[1:]) and any(named[1:]):
            under = (line, named)
            continue
        return line, named + [""] * (width - len(named)), " ".join(dict.fromkeys(under[1])) if under else ""
    if under:  # nothing stands above a row such as `nm;R`: it is the row of headings
        return under[0], under[1] + [""] * (width - len(under[1])), " ".join(dict.fromkeys(under[1]))
    return 0, [""] * width, ""


def plan(head: Head, found: Fall, findings: Findings) -> Down | None:
    """Return the plan of a table with wavelengths down, or None after noting what stands in the way."""
    body = head.rows[found.first : found.first + found.length]
    width = Counter(len(row) for _, row in body).most_common(1)[0][0]
    line, named, units = names_above(head, found.first, width)
    if any(named[width:]):
        problem = f"there are {len(named)} names over rows of {width} cells"
        findings.fault(f"line {line}", problem, "Export again; if a value is a decimal comma, part columns otherwise.")
        return None
    named = named[:width]
    findings.saw("layout", "columns", f"wavelengths run down column {found.column + 1}, from line {body[0][0]}")
    if _not_names(named, found.column, line, findings) or numbers_above(head, line or body[0][0], findings):
        return None
    if head.separator == "comma" and not line and _all_whole(body):
        findings.fault(
            f"line {body[0][0]}",
            "the comma parts columns, and may be the decimal mark too: no number has a point",
            "Export with semicolons or tabs between columns, or with headings.",
        )
        return None
    samples = _samples(named, body, found.column, width, findings)
    if samples is None or angles_in_names(named, samples, line, findings) or titled_otherwise(head.sayings, findings):
        return None
    texts = [*head.titles, *head.keys.values(), units, named[samples[0]] if len(samples) == 1 else ""]
    if not known_reflectance(texts, [named[at] for at in samples], findings):
        return None
    decimal = marks.decimal(
        [(at_line, at + 1, row[at]) for at_line, row in body for at in (found.column, *samples) if at < len(row)],
        findings,
    )
    factor = _factor((named[found.column], units), body, found.column, decimal, findings) if decimal else 0.0
    labels = _labels(named, samples, head, line, findings)
    if not factor or labels is None:
        return None
    frame = f"{named[samples[0]] if len(samples) == 1 else ''} {units} {' '.join(head.titles)}"
    shown = [value for _, row in body for at in samples if (value := _cell(row, at, decimal)) is not None]
    scale = conditions.settle_scale(findings, head.keys, frame, (min(shown), max(shown)) if shown else (0, 0))
    angles = column_angles(named, samples, findings)
    about = conditions.for_spectrum(findings, head.keys, "", "-" if angles else "", scale)
    return Down(
        encoding=head.encoding,
        separator=head.separator,
        decimal=decimal,
        header=line,
        first=body[0][0],
        column=found.column,
        factor=factor,
        samples=tuple(samples),
        labels=tuple(labels),
        conditions=tuple(replace(about, geometry=angle) for angle in angles) or tuple([about] * len(samples)),
        headings=tuple(named),
        keys=head.keys,
    )


def _all_whole(body: Sequence[cells.Row]) -> bool:
    return all(cell.strip().isdecimal() for _, row in body for cell in row if cells.numberish(cell))


def _cell(row: Sequence[str], at: int, decimal: str) -> float | None:
    return cells.number(row[at], decimal) if at < len(row) else None


def _samples(
    named: Sequence[str], body: Sequence[cells.Row], column: int, width: int, findings: Findings
) -> list[int] | None:
    samples = []
    for at in range(width):
        if at == column or not any(at < len(row) and row[at].strip() for _, row in body):
            continue
        if words.WAVELENGTH.search(named[at]):
            findings.fault(
                f"column {at + 1}",
                f"{named[at]!r} is a second column of wavelengths",
                "Export samples with one column of wavelengths, or each in a file of its own.",
            )
            return None
        quantity = words.other_quantity(named[at])
        if quantity or words.statistic(named[at]):
            findings.saw(
                "not taken",
                f"column {at + 1} ({named[at]})",
                quantity or "it sums up readings, or limits them",
            )
            continue
        if quantity := beside_reflectance(named, at):
            findings.saw("not taken", f"column {at + 1} ({named[at]})", quantity)
            continue
        samples.append(at)
    if not samples:
        others = ", ".join(fact.why for fact in findings.understood if fact.what == "not taken") or "nothing"
        findings.fault("", f"beside the wavelengths there is {others}, no reflectance", "Export reflectance factors.")
        return None
    return samples


def _factor(texts: tuple[str, str], body: Sequence[cells.Row], column: int, decimal: str, findings: Findings) -> float:
    """Return nm per unit of the wavelengths, or 0 after asking.

    texts  the heading over the column, and the row of units
    """
    numbers = tuple(value for _, row in body if (value := _cell(row, column, decimal)) is not None)
    over, heading = texts[0], " ".join(texts)
    said = words.WAVELENGTH.search(over) or headings.unit_in(heading) or findings.told("wavelength_unit")
    if over and not said:
        why = f"column {column + 1} is headed {over!r}, and holds {numbers[0]:g}, {numbers[1]:g}, ..."
        findings.ask("wavelength_unit", "Are these wavelengths, and in which unit?", why)
        return 0.0
    if words.other_quantity(heading) == "wavenumbers":
        findings.fault(f"column {column + 1}", "these are wavenumbers, no wavelengths", "Export wavelengths in nm.")
        return 0.0
    scaled = in_nanometres(Spectral(heading, tuple([column] * len(numbers)), numbers), findings)
    return scaled.numbers[0] / numbers[0] if scaled else 0.0


def _labels(
    named: Sequence[str], samples: Sequence[int], head: Head, line: int, findings: Findings
) -> list[str] | None:
    if (len(samples) == 1 and _says_only_what(named[samples[0]])) or column_angles(named, samples, findings):
        label = _one_label(head, findings)
        return label * len(samples) if label else None
    if findings.told("label") != NAMES_ABOVE and bare_angles(named, samples):
        shown = ", ".join(named[at] for at in samples)
        offered = {NAMES_ABOVE: "they are names; for aspecular angles tell illumination and the sample's name"}
        findings.ask("label", f"Are {shown} the samples' names?", "they may be aspecular angles of one sample", offered)
        return None
    if findings.told("label") == COLUMN_NUMBER:
        findings.saw("label", COLUMN_NUMBER, how="told")
        return [f"column {at + 1}" for at in samples]
    missing = [at for at in samples if not named[at]]
    if len(missing) == len(samples):
        offered = {COLUMN_NUMBER: "use the number of each column"}
        findings.ask("label", "What names the samples?", "no line of names stands above the wavelengths", offered)
        return None
    if missing:
        findings.fault(
            f"line {line}, column {missing[0] + 1}",
            "no heading names this column's sample",
            "Write the samples' names in a line above the first wavelength.",
        )
        return None
    told = findings.told("label")
    if told and told != NAMES_ABOVE:
        findings.fault("option label", f"there are {len(samples)} samples, {told!r} can name only one", "Drop it.")
        return None
    findings.saw("label", f"line {line}", "the names above the columns")
    return [named[at] for at in samples]


def _says_only_what(heading: str) -> bool:
    return words.says_reflectance(heading) or bool(headings.scale_in(heading)) or bool(_PLAIN_VALUE.match(heading))


def _one_label(head: Head, findings: Findings) -> list[str] | None:
    told = findings.told("label")
    key = next(((name, value) for name, value in head.keys.items() if words.names_sample(name)), None)
    if told or key:
        value = told or (key[1] if key else "")
        findings.saw(
            "label",
            value,
            f"the line {key[0]!r} says so" if key and not told else "",
            how="told" if told else "seen",
        )
        return [value]
    findings.ask("label", "What is the name of the sample?", "nothing in the file names it", {})
    return None


def _not_names(named: Sequence[str], column: int, line: int, findings: Findings) -> bool:
    """Refuse a row above the wavelengths that is numbers beside what is no wavelength: a band would be
    lost.
    """
    beside = [name for at, name in enumerate(named) if at != column and name]
    if line and beside and all(map(cells.numberish, beside)):
        over = named[column]
        marked = any(mark in name for name in beside for mark in ".,")
        if (over and not words.WAVELENGTH.search(over)) or (not over and marked):
            findings.fault(
                f"line {line}, column {column + 1}",
                f"{over!r} stands over numbers, and is neither a wavelength nor a heading for them",
                "Correct the cell, or write the samples' names above.",
            )
            return True
    return False
