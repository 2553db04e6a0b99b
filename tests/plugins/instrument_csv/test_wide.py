import pytest

from sprayout_core.errors import SprayoutError
from sprayout_core.tables import in_memory
from sprayout_plugins import guard, instrument_csv, registry

SPECTRA = """Sample;R400;R410;R420;R430;R440;R450
A1;0,12;0,13;0,14;0,15;0,16;0,17
A2;0,22;0,23;0,24;0,25;0,26;0,27
"""
TOLD = {"scale": "unit", "geometry": "45:0", "stage": "bare"}


@pytest.fixture
def plugins():
    return registry.of_modules([instrument_csv])


def preview(plugins, text, **options):
    content = text if isinstance(text, bytes) else text.encode()
    (answer,) = guard.ask(plugins, "preview_table", source=in_memory("panels.csv", content), options=options)
    assert answer.failure is None, answer.failure
    return answer.value


def read(plugins, text, **options):
    content = text if isinstance(text, bytes) else text.encode()
    source = in_memory("panels.csv", content)
    return list(guard.ask_one(plugins, "instrument_csv", "read_table", source=source, options=options))


def test_what_a_table_does_not_say_is_asked(plugins):
    seen = preview(plugins, SPECTRA)
    assert [question.option for question in seen.questions] == ["scale", "geometry", "stage"]
    assert not seen.ready
    with pytest.raises(SprayoutError) as refused:
        read(plugins, SPECTRA)
    assert len(refused.value.faults) == 3


def test_told_options_give_the_readings(plugins):
    seen = preview(plugins, SPECTRA, **TOLD)
    assert seen.ready
    assert seen.mapping == TOLD
    first, second = read(plugins, SPECTRA, **TOLD)
    assert (first.label, second.label) == ("A1", "A2")
    assert first.wavelengths == (400.0, 410.0, 420.0, 430.0, 440.0, 450.0)
    assert first.values == (0.12, 0.13, 0.14, 0.15, 0.16, 0.17)
    assert first.conditions.geometry == "45:0"


@pytest.mark.parametrize("heading", ["{}", "{}nm", "{} nm", "R{}", "R_{}", "R{}nm", "Reflectance at {} nm"])
@pytest.mark.parametrize(("separator", "decimal"), [(";", ","), (";", "."), (",", "."), ("\t", ","), ("\t", ".")])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
def test_headings_marks_and_encodings_give_one_result(plugins, heading, separator, decimal, encoding):
    bands = [400, 420, 440, 460, 480]
    lines = [separator.join(["Name", *(heading.format(band) for band in bands)])]
    lines += [separator.join([f"Grün {n}", *(f"{10 * n + 0.5}".replace(".", decimal) for _ in bands)]) for n in (1, 2)]
    text = ("\r\n".join(lines) + "\r\n").encode(encoding)
    found = read(plugins, text, scale="percent", geometry="di:8", stage="cleared")
    assert [reading.label for reading in found] == ["Grün 1", "Grün 2"]
    assert found[0].wavelengths == tuple(map(float, bands))
    assert found[1].values == tuple([0.205] * 5)


def test_percent_in_the_headings_needs_no_question(plugins):
    lines = [
        "Name;400 nm [%R];410 nm [%R];420 nm [%R];430 nm [%R];440 nm [%R]",
        "A;10;11;12;13;14",
        "B;20;21;22;23;24",
        "",
    ]
    text = "\n".join(lines)
    assert [question.option for question in preview(plugins, text).questions] == ["geometry", "stage"]
    found = read(plugins, text, geometry="45:0", stage="bare")
    assert found[0].values == pytest.approx((0.10, 0.11, 0.12, 0.13, 0.14), abs=1e-15)


def test_coordinates_with_their_light_in_the_heading(plugins):
    text = "Name,L*(D65/10°),a*(D65/10°),b*(D65/10°)\nA,50.12,-20.5,3.25\nB,51.12,-21.5,4.25\n"
    found = read(plugins, text, geometry="45:0", stage="bare")
    assert found[0].coordinates == {"L*": 50.12, "a*": -20.5, "b*": 3.25}
    assert (found[0].conditions.illuminant, found[0].conditions.observer) == ("D65", 10)


def test_coordinates_without_light_ask_for_it(plugins):
    text = "Name,L*,a*,b*\nA,50.12,-20.5,3.25\nB,51.12,-21.5,4.25\n"
    asked = [question.option for question in preview(plugins, text).questions]
    assert asked == ["geometry", "illuminant", "observer", "stage"]


@pytest.mark.parametrize(
    ("old", "new", "place", "problem"),
    [
        ("0,24", "x24", "line 3, column 4 (R420)", "'x24' is no number"),
        ("0,24", "", "line 3, column 4 (R420)", "empty"),
        ("0,24", "nan", "line 3, column 4 (R420)", "'nan' is no number"),
        ("0,24", "0.24", "line 3, column 4", "decimal point"),
        ("0,24;", "0,24;;", "line 3, column 8", "8 cells"),
        (";0,27", "", "line 3, column 7", "6 cells"),
        ("A2", "", "line 3, column 1 (Sample)", "no name"),
        ("0,24", "99", "line 3, column 4 (R420)", "beyond"),
        ("A2", '"A2', "line 3", "quotation mark"),
    ],
)
def test_each_refusal_names_file_line_and_column(plugins, old, new, place, problem):
    seen = preview(plugins, SPECTRA.replace(old, new), **TOLD)
    assert not seen.ready
    (fault,) = seen.faults
    assert fault.place == f"panels.csv, {place}"
    assert problem in fault.problem


def test_rows_that_are_no_samples_are_listed_with_reasons(plugins):
    text = SPECTRA + ";;;;;;\n\nMean;0,2;0,2;0,2;0,2;0,2;0,2\n-----;;;;;;\nmeasured after lunch;;;;;;\n"
    seen = preview(plugins, text, **TOLD)
    assert seen.readings == 2
    assert [row.line for row in seen.left_out] == [4, 5, 6, 7, 8]
    assert all(row.reason for row in seen.left_out)


def test_broken_rows_can_be_left_out_and_are_listed(plugins):
    found = read(plugins, SPECTRA.replace("0,24", "?"), broken="leave out", **TOLD)
    assert found[0].label == "A1"
    assert (found[1].line, "'?' is no number" in found[1].reason) == (3, True)


def test_unknown_options_and_values_are_refused_by_name(plugins):
    seen = preview(plugins, SPECTRA, scale="promille", colour="red")
    assert [fault.place for fault in seen.faults] == ["panels.csv, option scale", "panels.csv, option colour"]


def test_percent_told_for_fractions_is_asked_once_more(plugins):
    seen = preview(plugins, SPECTRA, **(TOLD | {"scale": "percent"}))
    assert [question.option for question in seen.questions] == ["scale_confirmed"]


def test_a_picture_is_not_this_readers_kind(plugins):
    assert preview(plugins, b"\x89PNG\r\n\x1a\n rest") is None
