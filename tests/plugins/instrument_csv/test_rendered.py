"""One table, written in every way that is read, gives the same readings: layout, marks, encoding, grid and scale."""

from dataclasses import dataclass

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sprayout_core.tables import TableReading, in_memory
from sprayout_plugins import instrument_csv

SCALES = {"unit": (1, 4), "percent": (100, 2), "thousandths": (1000, 1)}
MARKS = {"semicolon": ";", "tab": "\t", "comma": ",", "blanks": "  "}


@dataclass(frozen=True)
class Written:
    """How one table is written."""

    layout: str
    separator: str
    decimal: str
    scale: str
    encoding: str
    line_end: str
    heading: str
    falling: bool
    ends: bool


def ways():
    return st.builds(
        Written,
        layout=st.sampled_from(["rows", "columns", "long", "patches"]),
        separator=st.sampled_from(list(MARKS)),
        decimal=st.sampled_from([".", ","]),
        scale=st.sampled_from(list(SCALES)),
        encoding=st.sampled_from(["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "cp1252"]),
        line_end=st.sampled_from(["\n", "\r\n", "\r"]),
        heading=st.sampled_from(["{}", "R{}", "{}nm", "R_{} nm", "{} nm"]),
        falling=st.booleans(),
        ends=st.booleans(),
    ).filter(
        lambda way: (
            not (way.separator == "comma" and way.decimal == ",")
            and not (way.separator == "blanks" and " " in way.heading)
        )
    )


@st.composite
def tables(draw):
    step = draw(st.sampled_from([1, 2, 4, 5, 10, 20]))
    bands = draw(st.integers(6, 12))
    start = draw(st.integers(300, 900))
    samples = draw(st.integers(2, 4))
    ten_thousandths = st.integers(200, 9900)
    values = [[draw(ten_thousandths) for _ in range(bands)] for _ in range(samples)]
    return [start + step * band for band in range(bands)], values


def number(ten_thousandths, way):
    factor, digits = SCALES[way.scale]
    return f"{ten_thousandths * factor / 10000:.{digits}f}".replace(".", way.decimal)


def rendered(table, way):
    bands, values = table
    names = [f"kelp-{place}" for place in range(1, len(values) + 1)]
    order = list(range(len(bands)))[:: -1 if way.falling else 1]
    if way.layout == "rows":
        rows = [["Sample", *(way.heading.format(bands[at]) for at in order)]]
        rows += [[name, *(number(row[at], way) for at in order)] for name, row in zip(names, values, strict=True)]
    elif way.layout == "columns":
        rows = [["nm", *names]]
        rows += [[str(bands[at]), *(number(row[at], way) for row in values)] for at in order]
    elif way.layout == "long":
        rows = [["Sample", "nm", "Reflectance"]]
        rows += [
            [name, str(bands[at]), number(row[at], way)]
            for name, row in zip(names, values, strict=True)
            for at in order
        ]
    else:
        block = ["Name", *(way.heading.format(bands[at]) for at in order)]
        rows = [block * len(values), []]
        for name, row in zip(names, values, strict=True):
            rows[1] += [name, *(number(row[at], way) for at in order)]
    text = way.line_end.join(MARKS[way.separator].join(row) for row in rows)
    return (text + way.line_end * way.ends).encode(way.encoding)


def check(table, way):
    told = {"scale": way.scale, "scale_confirmed": way.scale, "geometry": "45:0", "stage": "bare"}
    told |= {"quantity": "reflectance", "cut": "whole", "wavelength_unit": "nm"}
    source = in_memory("a.csv", rendered(table, way))
    seen = instrument_csv.preview_table(source, told)
    if not seen.ready:
        # Never another reading: what cannot be told apart is asked, and only these questions are left to ask.
        assert not seen.faults or way.layout == "columns", seen.faults
        assert {question.option for question in seen.questions} <= {"wavelengths", "decimal", "separator", "label"}
        return False
    found = [one for one in instrument_csv.read_table(source, told) if isinstance(one, TableReading)]
    bands, values = table
    assert [one.label for one in found] == [f"kelp-{place}" for place in range(1, len(values) + 1)]
    for reading, truth in zip(found, values, strict=True):
        assert reading.wavelengths == tuple(map(float, bands))
        assert reading.values == pytest.approx([value / 10000 for value in truth], abs=1e-12)
    return True


@settings(max_examples=120, deadline=None)
@given(table=tables(), way=ways())
def test_one_table_in_every_way(table, way):
    check(table, way)


@pytest.mark.long
@settings(max_examples=3000, deadline=None)
@given(table=tables(), way=ways())
def test_one_table_in_every_way_often(table, way):
    check(table, way)


def test_most_ways_need_no_more_answers():
    table = (
        [400 + 10 * band for band in range(8)],
        [[1234, 2345, 3456, 4567, 5678, 6789, 7891, 8912], [991, 882, 773, 664, 555, 446, 337, 228]],
    )
    done = [
        check(table, Written(layout, separator, decimal, scale, "utf-8", "\n", heading, falling=False, ends=True))
        for layout in ("rows", "columns", "long", "patches")
        for separator in MARKS
        for decimal in ".,"
        for scale in SCALES
        for heading in ("{}", "R{}")
        if not (separator == "comma" and decimal == ",")
    ]
    assert all(done), f"{done.count(False)} of {len(done)}"
