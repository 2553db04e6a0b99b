"""The printed frame, measured on the page itself: an independent renderer draws it and distances are taken."""

import numpy as np
import pypdfium2
import pytest
import zxingcpp

from sprayout_core.card import CORNERS, Frame, Rect, Window, WindowKind, samples_frame, step_frame
from sprayout_plugins.card_frame import frame_pdf, mark_modules

DPI = 300.0
FRAMES = [step_frame("K7F3Q2"), samples_frame("M2X9AB", paper="Letter")]


def _page(frame, dpi=DPI):
    document = pypdfium2.PdfDocument(frame_pdf(frame))
    assert len(document) == 1
    page = document[0]
    size = page.get_size()
    bitmap = page.render(scale=dpi / 72.0, grayscale=True)
    drawn = bitmap.to_numpy().reshape(bitmap.height, bitmap.width).copy()
    bitmap.close()
    page.close()
    document.close()
    return drawn, size


@pytest.fixture(scope="module", params=FRAMES, ids=lambda frame: frame.identity)
def drawn(request):
    return request.param, *_page(request.param)


def _edges(dark):
    """First and last dark place along a line of pixels, mm."""
    places = np.flatnonzero(dark)
    return places[0] * 25.4 / DPI, (places[-1] + 1) * 25.4 / DPI


def test_the_page_is_the_sheet(drawn):
    frame, _, size = drawn
    assert np.array(size) / 72.0 * 25.4 == pytest.approx([frame.width, frame.height], abs=0.01)


def test_marks_are_true_to_size_and_place(drawn):
    frame, page, _ = drawn
    for corner, mark in frame.marks().items():
        middle = mark.grown(1.5)
        rows = slice(round(middle.y * DPI / 25.4), round((middle.y + middle.height) * DPI / 25.4))
        columns = slice(round(middle.x * DPI / 25.4), round((middle.x + middle.width) * DPI / 25.4))
        part = page[rows, columns] < 128
        left, right = (edge + columns.start * 25.4 / DPI for edge in _edges(part.any(axis=0)))
        top, bottom = (edge + rows.start * 25.4 / DPI for edge in _edges(part.any(axis=1)))
        assert [left, top, right, bottom] == pytest.approx([mark.x, mark.y, mark.x + 14.0, mark.y + 14.0], abs=0.13), (
            corner
        )


def test_the_far_marks_are_as_far_apart_as_the_layout_says(drawn):
    """By a reader that knows nothing of the layout."""
    frame, page, _ = drawn
    found = {code.text: code.position.top_left for code in zxingcpp.read_barcodes(page)}
    assert set(found) == {frame.mark_text(corner) for corner in CORNERS} | {frame.identity_text()}
    first, last = found[frame.mark_text("TL")], found[frame.mark_text("BR")]
    apart = np.hypot(last.x - first.x, last.y - first.y) * 25.4 / DPI
    places = frame.marks()
    assert apart == pytest.approx(np.hypot(places["BR"].x - places["TL"].x, places["BR"].y - places["TL"].y), abs=0.2)


def test_the_line_to_check_by_is_100_mm(drawn):
    frame, page, _ = drawn
    heading = frame.heading()
    row = round((heading.y + heading.height - 0.5) * DPI / 25.4)
    columns = slice(round((heading.x - 2) * DPI / 25.4), round((heading.x + 130) * DPI / 25.4))
    left, right = _edges((page[row - 2 : row + 3, columns] < 160).any(axis=0))
    assert right - left == pytest.approx(100.0, abs=0.3)


def test_windows_keep_their_size_inside_their_outline(drawn):
    """Nothing dark within 0.2 mm inside the edge of the window but the hatching, which stays 0.3 mm away."""
    frame, page, _ = drawn
    window = frame.windows[0].rect
    y = round((window.y + window.height / 2 + 3) * DPI / 25.4)
    outside = page[y, round((window.x - 0.25) * DPI / 25.4) : round((window.x + 0.02) * DPI / 25.4)]
    inside = page[y, round((window.x + 0.1) * DPI / 25.4) : round((window.x + 0.4) * DPI / 25.4)]
    assert outside.min() < 100
    assert inside.min() > 250


def test_grey_strips_are_one_grey():
    frame = step_frame("K7F3Q2")
    page, _ = _page(frame)
    for window in frame.windows:
        for strip in window.strips:
            inner = strip.grown(-0.3)
            part = page[
                round(inner.y * DPI / 25.4) : round((inner.y + inner.height) * DPI / 25.4),
                round(inner.x * DPI / 25.4) : round((inner.x + inner.width) * DPI / 25.4),
            ]
            assert part.min() == part.max()
            assert 100 < part.min() < 160


def test_bare_paper_is_bare(drawn):
    frame, page, _ = drawn
    for square in frame.bare():
        part = page[
            round(square.y * DPI / 25.4) : round((square.y + square.height) * DPI / 25.4),
            round(square.x * DPI / 25.4) : round((square.x + square.width) * DPI / 25.4),
        ]
        assert part.min() == 255


def test_the_same_frame_is_the_same_bytes():
    assert frame_pdf(step_frame("K7F3Q2")) == frame_pdf(step_frame("K7F3Q2"))
    assert frame_pdf(step_frame("K7F3Q2")) != frame_pdf(step_frame("K7F3Q3"))


def test_words_that_need_another_font_do_not_break_the_page():
    labels = ("Grün 1", "\u7d2b", "x" * 24)
    window = Window("Proben \u2013 Süd", WindowKind.SAMPLES, Rect(30, 60, 90, 30), 1, 3, labels)
    page, _ = _page(Frame("AB12", 210.0, 297.0, (window,)), 72.0)
    assert (page < 128).any()


@pytest.mark.parametrize(("text", "modules"), [("SO1:TL:K7F3", 21), ("SO1:BR:ZZZZ9999", 21)])
def test_corner_marks_have_the_same_number_of_modules_whatever_they_say(text, modules):
    assert len(mark_modules(text)) == modules
    assert {len(row) for row in mark_modules(text)} == {modules}


@pytest.mark.parametrize("identity", ["AB12", "ZZZZ9999"])
def test_identity_marks_have_the_same_number_of_modules(identity):
    assert len(mark_modules(step_frame(identity).identity_text())) == 29
