import dataclasses

import pypdfium2
import pytest
import zxingcpp
from hypothesis import given, settings
from hypothesis import strategies as st

from sprayout_core.sheet import Code, LabelText, cautions_for, parse_code, short_caution
from sprayout_plugins.panel_label import GridError, LabelGrid, LabelSpaceError, labels_pdf, single

GRID = LabelGrid(210, 297, 2, 7, 99.1, 38.1, 4.65, 15.15, 2.5, 0)
SMALL = LabelGrid(210, 297, 3, 8, 63.5, 33.9, 7.2, 12.9, 2.5, 0)
CAUTION = short_caution(cautions_for({"Glass clear": ["isocyanate", "solvent"]}))
MM = 72 / 25.4


def code(number):
    return Code("5d0c8e2f", f"0193aa11-0000-7abc-9def-{number:012x}", f"{number:016x}")


def label(number=1, caution=CAUTION):
    lines = ("9 weak teal : 4 moss dye", "small gun, 8 % slow reducer", "190 ml")
    return LabelText("cup", "Kelp glass, bodied", code(number), f"K{number}", lines, caution)


def pages_of(content):
    return list(pypdfium2.PdfDocument(content))


def text_of(page):
    return " ".join(page.get_textpage().get_text_bounded().split())


def read_codes(page):
    return {parse_code(found.text) for found in zxingcpp.read_barcodes(page.render(scale=300 / 72).to_pil())}


@pytest.mark.parametrize("grid", [GRID, SMALL])
def test_every_code_of_a_sheet_is_read_back_at_print_resolution(grid):
    labels = [label(number) for number in range(grid.places)]
    (page,) = pages_of(labels_pdf(labels, grid))
    assert read_codes(page) == {one.code for one in labels}


def test_more_labels_than_places_go_on_and_used_places_stay_empty():
    labels = [label(number) for number in range(15)]
    first, second = pages_of(labels_pdf(labels, GRID, used=3))
    assert read_codes(first) == {code(number) for number in range(11)}
    assert read_codes(second) == {code(number) for number in range(11, 15)}
    taken = {(x > 105 * MM, int((297 * MM - y - 15.15 * MM) / (38.1 * MM))) for x, y in ends(first)}
    assert {(False, 0), (True, 0), (False, 1)}.isdisjoint(taken)
    assert (True, 1) in taken


def ends(page):
    text = page.get_textpage()
    boxes = [text.get_charbox(place) for place in range(text.count_chars())]
    return [(right, bottom) for _, bottom, right, _ in boxes]


@pytest.mark.parametrize("size", [(50, 70), (62, 29), (40, 60), (100, 150), (57, 32), (60, 60)])
def test_single_labels_of_many_sizes(size):
    plain = dataclasses.replace(label(), caution="Read the safety data sheet.")
    first, _ = pages_of(labels_pdf([plain, label(2, "")], single(*size)))
    assert first.get_size() == pytest.approx((size[0] * MM, size[1] * MM), abs=0.01)
    assert read_codes(first) == {code(1)}
    assert "Read the safety data sheet." in text_of(first)


@settings(max_examples=40, deadline=None)
@given(
    st.floats(36, 120),
    st.floats(18, 120),
    st.text(min_size=1, max_size=200).map("K{}".format),
    st.lists(st.text(max_size=120), max_size=8),
    st.sampled_from(["", CAUTION]),
)
def test_a_label_is_whole_inside_its_edges_or_refused(wide, high, title, lines, caution):
    one = dataclasses.replace(label(), title=title, lines=tuple(lines), caution=caution)
    try:
        (page,) = pages_of(labels_pdf([one], single(wide, high)))
    except LabelSpaceError:
        return
    text = page.get_textpage()
    for place in range(text.count_chars()):
        left, bottom, right, top = text.get_charbox(place)
        assert -0.5 <= left <= right <= wide * MM + 0.5
        assert -0.5 <= bottom <= top <= high * MM + 0.5
    assert caution in text_of(page)


def test_what_does_not_fit_is_counted_on_the_label():
    crowded = dataclasses.replace(label(), lines=tuple(f"fact number {number}" for number in range(40)))
    (page,) = pages_of(labels_pdf([crowded], single(80, 38)))
    said = text_of(page)
    shown = sum(f"fact number {number}" in said.replace("more", "|") for number in range(40))
    assert "more on the sheet" in said
    assert CAUTION in said
    assert 0 <= shown < 40


def test_a_caution_without_room_is_refused_and_nothing_is_printed():
    wordy = dataclasses.replace(label(), caution="Attacks seals. " * 60)
    with pytest.raises(LabelSpaceError, match="caution does not fit"):
        labels_pdf([label(), wordy], SMALL)


@pytest.mark.parametrize("size", [(20, 10), (30, 12), (12, 80)])
def test_a_label_too_small_for_its_code_is_refused(size):
    with pytest.raises(LabelSpaceError, match="too small for a code"):
        labels_pdf([label(1, "")], single(*size))


def test_no_labels_and_no_such_place_are_refused():
    with pytest.raises(LabelSpaceError, match="no labels"):
        labels_pdf([], GRID)
    for used in (-1, 14):
        with pytest.raises(LabelSpaceError, match="of 14"):
            labels_pdf([label()], GRID, used=used)


def test_same_labels_same_bytes():
    assert labels_pdf([label()], GRID) == labels_pdf([label()], GRID)


def test_every_fault_of_a_grid_is_found_at_once():
    with pytest.raises(GridError) as caught:
        LabelGrid(210, float("nan"), 3, 0, 99.1, 38.1, -1)
    assert {fault.place for fault in caught.value.faults} >= {
        "grid/paper height",
        "grid/left",
        "grid/rows",
        "grid/columns",
    }


def test_places_run_along_the_rows():
    assert GRID.corner(0) == pytest.approx((4.65, 15.15))
    assert GRID.corner(1) == pytest.approx((106.25, 15.15))
    assert GRID.corner(2) == pytest.approx((4.65, 53.25))
