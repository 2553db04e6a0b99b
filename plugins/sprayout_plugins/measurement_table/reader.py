"""Reading a measurement table: its preview and its readings, each malformed set refused with its line."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import chain, islice

from sprayout_core.errors import SprayoutError
from sprayout_core.tables import Preview, RowLeftOut, Source, TableReading
from sprayout_plugins.instrument_csv import cells, checks, text
from sprayout_plugins.instrument_csv.options import Findings
from sprayout_plugins.instrument_csv.rows import Broken, Tally, count, geometry_of, spot_of
from sprayout_plugins.instrument_csv.stated import read_stated
from sprayout_plugins.instrument_csv.taking import Item, Seen, preview_of, readings_of, refuse_open, see
from sprayout_plugins.measurement_table.fields import Fields, divisor, fields_of
from sprayout_plugins.measurement_table.sections import Line, Sections, numbered, read_sections

__all__ = ["READER", "ours", "preview", "read"]

READER = "measurement_table 1.0"
_SHOWN = 50


@dataclass(slots=True)
class _Opened:
    sections: Sections
    fields: Fields
    lines: Iterator[Line]


def ours(source: Source) -> bool:
    """Say whether a file has the standard's section marks."""
    return text.has_sections(source)


def preview(source: Source, options: Mapping[str, str]) -> Preview:
    """Return what would be read, what must be asked and what is wrong; reads the whole source once."""
    findings = Findings.of(source.name, options)
    opened = _opened(source, findings)
    seen = Seen()
    if opened is not None:
        tally = Tally()
        seen = see(_sets(opened, source, findings, tally), source, findings)
        _whole(opened, tally, findings, seen.count)
    return preview_of(READER, findings, seen)


def read(source: Source, options: Mapping[str, str]) -> Iterator[TableReading | RowLeftOut]:
    """Yield the readings; what is open or wrong raises FaultsError, at the latest after the last one."""
    findings = Findings.of(source.name, options)
    opened = _opened(source, findings)
    refuse_open(source, findings)
    assert opened is not None
    tally = Tally()
    return readings_of(
        _sets(opened, source, findings, tally),
        source,
        findings,
        lambda count: _whole(opened, tally, findings, count),
    )


def _whole(opened: _Opened, tally: Tally, findings: Findings, count: int) -> None:
    checks.scale_possible(opened.fields.conditions.scale, tally, findings)
    checks.repeats(tally, findings)
    if not count and not findings.faults:
        findings.fault("", "the table holds no set", "Export the readings again.")


def _opened(source: Source, findings: Findings) -> _Opened | None:
    if findings.faults:
        return None
    try:
        encoding = text.encoding(source, findings.told("encoding"))
        findings.saw("encoding", encoding.name, encoding.why, how=encoding.how)
        lines = numbered(text.lines(source, encoding.name), source.name)
        sections = _told_table(lines, source, findings)
        if sections is None:
            findings.fault("", "there is no data format and no data", "Export the readings again.")
            return None
        shown = list(islice(lines, _SHOWN))
        fields = fields_of(sections, findings, source.name, [words for _, words in shown])
    except SprayoutError as wrong:
        findings.faults.extend(wrong.faults)
        return None
    if fields is None or findings.faults:
        return None
    findings.saw("table", sections.identifier or "without its first line", "the section marks of ISO 28178")
    return _Opened(sections, fields, chain(shown, lines))


def _told_table(lines: Iterator[Line], source: Source, findings: Findings) -> Sections | None:
    told = findings.told("table") or "1"
    if not told.isdecimal() or not 1 <= int(told) <= 1000:
        findings.fault("option table", f"{told!r} is no number of a table", "The first table is 1.")
        return None
    found = read_sections(lines, source.name)
    for _ in range(int(told) - 1):
        if found is None or not any(words[0] == "END_DATA" for _, words in lines):
            break
        found = read_sections(lines, source.name)
    return found


def _sets(opened: _Opened, source: Source, findings: Findings, tally: Tally) -> Iterator[Item]:
    """Yield one reading per set, then whether the table ends as it says."""
    sets = 0
    line = opened.sections.begins
    mark = findings.told("decimal") or ""
    identities: set[tuple[str, str]] = set()
    try:
        for line, words in opened.lines:
            if words[0] == "END_DATA":
                yield from _after(opened, sets, line, findings)
                return
            sets += 1
            mark = mark or _mark(words, opened.fields)
            yield _reading(line, words, opened, mark or "point", identities, tally)
    except SprayoutError as wrong:
        yield Broken(0, wrong.fault.place.removeprefix(f"{source.name}, "), wrong.fault.problem, wrong.fault.remedy)
        return
    yield Broken(0, f"line {line}", "the file ends without END_DATA", "Was the file cut? Export it again.")


def _after(opened: _Opened, sets: int, line: int, findings: Findings) -> Iterator[Broken]:
    declared = opened.sections.sets
    if declared >= 0 and declared != sets:
        at = opened.sections.places["NUMBER_OF_SETS"]
        problem = f"NUMBER_OF_SETS is {declared}, up to END_DATA on line {line} there are {sets}"
        yield Broken(0, f"line {at}", problem, "Was a set lost? Export it again, or correct the number.")
    if findings.told("table") is None and (more := next(opened.lines, None)):
        yield Broken(
            0,
            f"line {more[0]}",
            "another table begins here",
            "Save each table in a file of its own, or tell the option table (1 is the first).",
        )


def _mark(words: list[str], fields: Fields) -> str:
    for place in fields.columns:
        if place < len(words):
            if "," in words[place]:
                return "comma"
            if "." in words[place]:
                return "point"
    return ""


def _reading(
    line: int, words: list[str], opened: _Opened, mark: str, identities: set[tuple[str, str]], tally: Tally
) -> TableReading | Broken:
    fields, names = opened.fields, opened.sections.fields
    if len(words) != len(names):
        problem = f"the set has {len(words)} values, the data format names {len(names)} fields"
        return Broken(line, "", problem, "Write each set on one line; quote texts with blanks.")
    values = cells.several([words[place] for place in fields.columns], mark)
    if values is None:
        return _no_number(line, words, opened, mark)
    where = fields.conditions.geometry
    if fields.geometry >= 0 and not (where := geometry_of(words[fields.geometry], "")):
        return Broken(line, f"field {names[fields.geometry]}", f"{words[fields.geometry]!r} is no measuring geometry")
    label = words[fields.label].strip()
    if not label:
        return Broken(line, f"field {names[fields.label]}", "the sample has no name", "Give every sample a name.")
    if fields.identity >= 0:
        key = (words[fields.identity], where)
        if key in identities:
            return Broken(
                line, "field SAMPLE_ID", f"{key[0]!r} is there a second time", "Each set has its own SAMPLE_ID."
            )
        identities.add(key)
    if beyond := _beyond(values, fields):
        return Broken(
            line,
            f"field {names[fields.columns[beyond - 1]]}",
            "the value is beyond what can be measured",
            "Check the scale.",
        )
    about = read_stated(words, fields.stated, replace(fields.conditions, geometry=where))
    if isinstance(about, tuple):
        return Broken(line, f"field {names[about[0]]}", about[1], "Save such sets in a file of their own.")
    count((min(values), max(values)), label, spot_of(about, fields.stated), line, tally)
    extra = {names[place]: words[place] for place in fields.extras}
    if fields.names:
        named = dict(zip(fields.names, values, strict=True))
        return TableReading(label, line, about, coordinates=named, extra=extra, keys=fields.keys)
    part = divisor(about)
    factors = tuple(values) if part == 1.0 else tuple([value / part for value in values])
    return TableReading(label, line, about, fields.wavelengths, factors, extra=extra, keys=fields.keys)


def _no_number(line: int, words: list[str], opened: _Opened, mark: str) -> Broken:
    place = next(place for place in opened.fields.columns if cells.number(words[place], mark) is None)
    name, word = f"field {opened.sections.fields[place]}", words[place]
    other = "comma" if mark == "point" else "point"
    if cells.number(word, other) is not None:
        return Broken(line, name, f"{word!r} has a decimal {other}, others a decimal {mark}", "Use one decimal mark.")
    return Broken(line, name, f"{word[:40]!r} is no number", "Correct it, or leave the set out.")


def _beyond(values: list[float], fields: Fields) -> int:
    part = divisor(fields.conditions) if fields.conditions.scale else 1000.0
    low, high = (-300.0, 300.0) if fields.names else (-0.5 * part, 10 * part)
    return next((place for place, value in enumerate(values, 1) if not low <= value <= high), 0)
