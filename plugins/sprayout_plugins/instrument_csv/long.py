"""Planning a table with one value in each row: sample, wavelength, value, and perhaps geometry."""

from __future__ import annotations

from collections.abc import Sequence

from sprayout_plugins.instrument_csv import cells, conditions, marks, words
from sprayout_plugins.instrument_csv.angles import illumination_of
from sprayout_plugins.instrument_csv.columns import label_column, name
from sprayout_plugins.instrument_csv.head import Head
from sprayout_plugins.instrument_csv.headings import Spectral
from sprayout_plugins.instrument_csv.options import Findings
from sprayout_plugins.instrument_csv.plan import Long
from sprayout_plugins.instrument_csv.spectral import in_nanometres, known_reflectance, titled_otherwise
from sprayout_plugins.instrument_csv.stated import stated_columns, stated_keys

__all__ = ["header", "plan"]


def header(head: Head) -> int:
    """Return the row of the headings of a long table among the head's rows, or -1.

    One heading names the wavelength, another the sample; or, with no such name, another column holds text.
    """
    for place, (_, row) in enumerate(head.rows):
        over = [at for at, cell in enumerate(row) if words.WAVELENGTH.search(cell)]
        if len(over) != 1 or len(row) < 3 or any(map(cells.numberish, row)):
            continue
        below = [other for _, other in head.rows[place + 1 : place + 50] if len(other) == len(row)]
        if not below or not all(cells.numberish(other[over[0]]) for other in below[:3]):
            continue
        named = any(words.names_sample(cell) for cell in row)
        texts = any(
            at != over[0] and not cells.numberish(below[0][at]) and below[0][at].strip() for at in range(len(row))
        )
        return place if named or texts else -1
    return -1


def plan(head: Head, place: int, findings: Findings) -> Long | None:
    """Return the plan of a table with one value in each row, or None after noting what stands in the way."""
    line, row = head.rows[place]
    named = [cell.strip() for cell in row]
    body = [(at, cells_) for at, cells_ in head.rows[place + 1 :] if len(cells_) == len(named)]
    rows = [cells_ for _, cells_ in body]
    column = next(at for at, cell in enumerate(named) if words.WAVELENGTH.search(cell))
    angles = next((at for at, cell in enumerate(named) if words.ANGLE.match(cell)), -1)
    findings.saw("layout", "long", f"line {line} has one heading for the wavelength and others beside it")
    label = label_column(named, _numeric(rows, len(named)) | {column, angles}, rows, findings)
    if label is None or titled_otherwise(head.sayings, findings):
        return None
    value = _value(named, rows, {column, angles, label}, findings)
    if value < 0 or not known_reflectance([named[value], *head.titles, *head.keys.values()], [named[value]], findings):
        return None
    decimal = marks.decimal([(at, column + 1, cells_[value]) for at, cells_ in body], findings)
    if not decimal:
        return None
    lit = illumination_of(rows, angles, findings)
    numbers = tuple(n for cells_ in rows if (n := cells.number(cells_[column], decimal)) is not None)
    scaled = in_nanometres(Spectral(named[column], tuple([column] * len(numbers)), numbers), findings)
    if scaled is None:
        return None
    stated = stated_columns(named, rows, {label, column, value, angles}, findings)
    keys = {**head.keys, **stated_keys(stated, rows)}
    shown = [n for cells_ in rows if (n := cells.number(cells_[value], decimal)) is not None] or [0.0]
    scale = conditions.settle_scale(findings, keys, named[value], (min(shown), max(shown)), head.titles)
    about = conditions.for_spectrum(findings, keys, "", "-" if angles >= 0 else "", scale)
    return Long(
        encoding=head.encoding,
        separator=head.separator,
        decimal=decimal,
        header=line,
        label=label,
        column=column,
        value=value,
        angles=angles,
        illumination=lit,
        factor=scaled.numbers[0] / numbers[0],
        conditions=about,
        headings=tuple(named),
        extras={name(named, at): at for at in range(len(named)) if at not in {label, column, value, angles}},
        keys=head.keys,
        stated=stated,
    )


def _numeric(rows: Sequence[Sequence[str]], width: int) -> set[int]:
    return {at for at in range(width) if all(cells.numberish(row[at]) for row in rows[:20])} if rows else set()


def _value(named: Sequence[str], rows: Sequence[Sequence[str]], used: set[int], findings: Findings) -> int:
    """Return the cell of the value, or -1 after asking."""
    free = [at for at in sorted(_numeric(rows, len(named)) - used) if not words.statistic(named[at])]
    other = {at: words.other_quantity(named[at]) for at in free}
    wrong = [at for at in free if other[at]]
    sure = [at for at in free if words.says_reflectance(named[at]) and not other[at]]
    possible = sure or [at for at in free if at not in wrong]
    told = findings.told("columns")
    chosen = [at for at in free if told in {name(named, at), f"column {at + 1}"}]
    if not possible and wrong:
        findings.fault("", f"the values are {other[wrong[0]]}, no reflectance", "Export reflectance factors.")
        return -1
    if chosen or len(possible) == 1:
        return (chosen or possible)[0]
    offered = {name(named, at): f"column {at + 1}" for at in free}
    findings.ask(
        "columns",
        "Which column is the reflectance?",
        "several could be" if free else "none is headed so",
        offered,
    )
    return -1
