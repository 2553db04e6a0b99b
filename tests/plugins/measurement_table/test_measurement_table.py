"""The text form of ISO 28178 (CGATS.17): in, out, round trips, and malformed tables refused with their lines."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sprayout_core.errors import SprayoutError
from sprayout_core.tables import Conditions, TableReading, in_memory
from sprayout_plugins import instrument_csv
from sprayout_plugins.measurement_table import preview_table, read_table, write_table

SPECTRA = """CGATS.17
ORIGINATOR "Tern Lane co-op, invented"
CREATED "2026-03-04"
# a remark between sections
KEYWORD "BENCH"
BENCH "north window"
WEIGHTING_FUNCTION "FILTER, none"
NUMBER_OF_FIELDS 6
BEGIN_DATA_FORMAT
SAMPLE_ID SAMPLE_NAME SPECTRAL_400 SPECTRAL_420 SPECTRAL_440 SPECTRAL_460
END_DATA_FORMAT
NUMBER_OF_SETS 2
BEGIN_DATA
1 "kelp over bronze" 0.11 0.125 0.1375 0.15
2 fern 0.21 0.225 0.2375 0.25
END_DATA
"""
LAB = """CGATS.17
WEIGHTING_FUNCTION "ILLUMINANT, D65"
WEIGHTING_FUNCTION "OBSERVER, 10 degree"
NUMBER_OF_FIELDS 4
BEGIN_DATA_FORMAT
SAMPLE_ID LAB_L LAB_A LAB_B
END_DATA_FORMAT
NUMBER_OF_SETS 2
BEGIN_DATA
kelp 41.25 -22.5 -8.125
fern 51.25 -32.5 8.125
END_DATA
"""
TOLD = {"scale": "unit", "geometry": "45:0", "stage": "cleared"}
BENCH = {"geometry": "45:0", "stage": "cleared"}


def source(text):
    return in_memory("panels.txt", text if isinstance(text, bytes) else text.encode())


def test_spectra_with_their_keywords():
    seen = preview_table(source(SPECTRA), TOLD)
    assert seen.ready
    first, second = read_table(source(SPECTRA), TOLD)
    assert (first.label, second.label) == ("kelp over bronze", "fern")
    assert first.wavelengths == (400.0, 420.0, 440.0, 460.0)
    assert second.values == (0.21, 0.225, 0.2375, 0.25)
    assert first.keys == {
        "ORIGINATOR": "Tern Lane co-op, invented",
        "CREATED": "2026-03-04",
        "BENCH": "north window",
        "WEIGHTING_FUNCTION": "FILTER, none",
    }
    assert first.extra == {"SAMPLE_ID": "1"}


def test_what_the_table_does_not_say_is_asked():
    assert [question.option for question in preview_table(source(SPECTRA), {}).questions] == [
        "scale",
        "geometry",
        "stage",
    ]


def test_a_keyword_of_another_quantity_is_asked_about():
    text = SPECTRA.replace('ORIGINATOR "', 'MEASUREMENT_SOURCE "transmission"\nORIGINATOR "')
    (question,) = preview_table(source(text), TOLD).questions
    assert (question.option, "line 2" in question.why) == ("quantity", True)
    assert preview_table(source(text), TOLD | {"quantity": "reflectance"}).ready
    assert preview_table(source(SPECTRA), TOLD | {"quantity": "other"}).faults


def test_coordinates_with_their_weighting_functions():
    first, _ = read_table(source(LAB), BENCH)
    assert first.coordinates == {"L*": 41.25, "a*": -22.5, "b*": -8.125}
    assert (first.conditions.illuminant, first.conditions.observer) == ("D65", 10)


@pytest.mark.parametrize("fields", ["SPECTRAL_{}", "nm{}", "SPECTRAL_NM{}", "SPECTRAL_NM_{}", "SPECTRAL_DEC_{}"])
def test_spellings_of_spectral_fields(fields):
    text = SPECTRA
    for band in (400, 420, 440, 460):
        text = text.replace(f"SPECTRAL_{band}", fields.format(band))
    told = dict(TOLD)
    first, _ = read_table(source(text), told)
    assert first.wavelengths == (400.0, 420.0, 440.0, 460.0)


def test_percent_fields_say_their_scale():
    text = SPECTRA.replace("SPECTRAL_", "SPECTRAL_PCT_").replace(" 0.", " 12.")
    first, _ = read_table(source(text), BENCH)
    assert first.values[0] == pytest.approx(0.1211, abs=1e-15)


def test_without_its_first_line_and_with_decimal_commas():
    text = SPECTRA.removeprefix("CGATS.17\n").replace(" 0.", " 0,")
    first, _ = read_table(source(text), TOLD)
    assert first.values == (0.11, 0.125, 0.1375, 0.15)


def test_other_encodings_and_line_ends():
    text = SPECTRA.replace("fern", "grün").replace("\n", "\r\n")
    for encoding in ("utf-8-sig", "utf-16", "cp1252"):
        assert list(read_table(source(text.encode(encoding)), TOLD))[1].label == "grün"


@pytest.mark.parametrize(("text", "told"), [(SPECTRA, TOLD), (LAB, BENCH)])
def test_in_out_and_in_again_is_identical(text, told):
    before = list(read_table(source(text), told))
    written = write_table(before, "iso28178", {})
    again = source(written.content)
    assert preview_table(again, {}).questions == ()
    after = list(read_table(again, {}))
    assert [unplaced(one) for one in after] == [unplaced(one) for one in before]
    assert write_table(after, "iso28178", {}).content == written.content


def unplaced(reading):
    return (
        reading.label,
        reading.conditions,
        reading.wavelengths,
        reading.values,
        reading.coordinates,
        reading.extra,
        reading.keys,
    )


def test_another_shape_is_not_written():
    assert write_table([], "spreadsheet", {}) is None


def test_a_table_without_section_marks_is_left_to_others():
    assert preview_table(source("Sample,400,410\n"), {}) is None
    assert instrument_csv.preview_table(source(SPECTRA), {}) is None


MALFORMED = {
    "sets": (SPECTRA.replace("SETS 2", "SETS 3"), "line 12", "NUMBER_OF_SETS is 3"),
    "fields": (SPECTRA.replace("FIELDS 6", "FIELDS 7"), "line 8", "NUMBER_OF_FIELDS is 7"),
    "cut": (SPECTRA.removesuffix("END_DATA\n"), "line 15", "ends without END_DATA"),
    "cut in a set": (SPECTRA[: SPECTRA.index(" 0.2375")], "line 15", "4 values"),
    "no format end": (SPECTRA.replace("END_DATA_FORMAT\n", ""), "line 12", "END_DATA_FORMAT is missing"),
    "no data": (SPECTRA[: SPECTRA.index("BEGIN_DATA\n")], "line 12", "before BEGIN_DATA"),
    "same id": (SPECTRA.replace("\n2 fern", "\n1 fern"), "line 15, field SAMPLE_ID", "second time"),
    "same field": (SPECTRA.replace("SPECTRAL_420", "SPECTRAL_400"), "line 10", "there twice"),
    "marks": (SPECTRA.replace("0.225", "0,225"), "line 15, field SPECTRAL_420", "decimal comma"),
    "word": (SPECTRA.replace("0.225", "high"), "line 15, field SPECTRAL_420", "no number"),
    "quote": (SPECTRA.replace('"kelp over bronze"', '"kelp over bronze'), "line 14", "quotation mark"),
    "light": (LAB.replace('WEIGHTING_FUNCTION "ILLUMINANT, D65"\n', ""), "line 5", "no illuminant"),
    "observer": (LAB.replace('WEIGHTING_FUNCTION "OBSERVER, 10 degree"\n', ""), "line 5", "no observer"),
    "number": (SPECTRA.replace("SETS 2", "SETS two"), "line 12", "no whole number"),
    "order": ("END_DATA\n" + SPECTRA, "line 1", "without its beginning"),
    "second": (SPECTRA + SPECTRA, "line 17", "another table"),
    "value": (SPECTRA.replace("0.225", "99"), "line 15, field SPECTRAL_420", "beyond"),
}


@pytest.mark.parametrize("case", MALFORMED)
def test_malformed_tables_are_refused_with_their_line(case):
    text, place, words = MALFORMED[case]
    told = BENCH if "LAB_L" in text else TOLD
    seen = preview_table(source(text), told)
    assert not seen.ready
    assert any(fault.place.startswith(f"panels.txt, {place}") and words in fault.problem for fault in seen.faults), (
        seen.faults
    )
    with pytest.raises(SprayoutError):
        list(read_table(source(text), told))


def test_the_second_table_can_be_told():
    other = SPECTRA.replace("kelp over bronze", "moss")
    told = TOLD | {"table": "2"}
    assert next(iter(read_table(source(SPECTRA + other), told))).label == "moss"


def test_several_geometries_are_a_field_of_their_own():
    readings = [
        TableReading(
            "kelp", 1, Conditions("unit", f"45as{angle}", stage="bare"), (400.0, 500.0, 600.0), (0.5, 0.25, 0.125)
        )
        for angle in (15, 45, 110)
    ]
    written = write_table(readings, "iso28178", {"ORIGINATOR": "Tern Lane co-op, invented"})
    found = list(read_table(source(written.content), {}))
    assert [one.conditions.geometry for one in found] == ["45as15", "45as45", "45as110"]
    assert [one.values for one in found] == [(0.5, 0.25, 0.125)] * 3


def test_readings_that_do_not_fit_one_table_are_refused():
    first = TableReading("a", 1, Conditions("unit", "45:0", stage="bare"), (400.0, 500.0, 600.0), (0.5, 0.25, 0.125))
    other = TableReading("b", 1, Conditions("unit", "45:0", stage="cleared"), (400.0, 500.0, 600.0), (0.5, 0.25, 0.125))
    for wrong in ([], [first, other]):
        with pytest.raises(SprayoutError):
            write_table(wrong, "iso28178", {})


texts = st.text(
    st.characters(codec="utf-8", exclude_categories=("C", "Z")) | st.sampled_from(' "#'), min_size=1, max_size=12
)


@settings(max_examples=40, deadline=None)
@given(
    labels=st.lists(texts.map(str.strip).filter(bool), min_size=1, max_size=5, unique=True),
    values=st.lists(st.floats(-0.4, 9.9), min_size=3, max_size=3),
    remark=texts,
)
def test_anything_written_reads_back_the_same(labels, values, remark):
    about = Conditions("unit", "di:8", stage="polished")
    readings = [
        TableReading(
            label, 0, about, (400.0, 500.0, 600.0), tuple(values), extra={"REMARK": remark}, keys={"ORIGINATOR": remark}
        )
        for label in labels
    ]
    content = write_table(readings, "iso28178", {}).content
    found = list(read_table(source(content), {"scale_confirmed": "unit"}))
    assert [unplaced(one) for one in found] == [unplaced(one) for one in readings]


def test_a_field_that_states_the_stage_of_each_set_is_heard():
    text = SPECTRA.replace("FIELDS 6", "FIELDS 7").replace("SPECTRAL_460", "SPECTRAL_460 STAGE")
    text = text.replace("0.15\n", "0.15 bare\n").replace("0.25\n", "0.25 cleared\n")
    source = in_memory("a.txt", text.encode())
    told = {"scale": "unit", "geometry": "45:0"}
    assert [one.conditions.stage for one in read_table(source, told)] == ["bare", "cleared"]
    seen = preview_table(source, {**told, "stage": "bare"})
    assert "gives each reading its own" in seen.faults[0].problem
