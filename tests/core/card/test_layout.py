from dataclasses import replace
from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sprayout_core.card import CORNERS, Frame, Rect, Window, WindowKind, samples_frame, step_frame
from sprayout_core.card.layout import MARK_QUIET
from sprayout_core.errors import FaultsError

FRAMES = [
    step_frame("K7F3Q2"),
    samples_frame("M2X9AB"),
    step_frame("AB12", paper="Letter"),
    samples_frame("ZZZZ9999", 3, 4),
]


@pytest.mark.parametrize("frame", FRAMES)
def test_nothing_on_a_frame_overlaps(frame):
    taken = [window.taken() for window in frame.windows]
    marks = [*frame.marks().values(), frame.identity_mark()]
    printed = [*taken, *(mark.grown(MARK_QUIET) for mark in marks), frame.heading()]
    sheet = Rect(0, 0, frame.width, frame.height)
    assert all(sheet.holds(rect) for rect in (*printed, *frame.bare()))
    assert not any(one.meets(other) for one, other in combinations(printed, 2))
    assert not any(one.meets(other) for one, other in combinations([*taken, *marks, *frame.bare()], 2))


@pytest.mark.parametrize("frame", FRAMES)
def test_bare_paper_lies_on_every_side(frame):
    """The light's field is fitted there: with a side left out it would be a guess on that side."""
    middles = [(square.x + 1.5, square.y + 1.5) for square in frame.bare()]
    assert len(middles) > 80
    assert min(x for x, _ in middles) < 12
    assert max(x for x, _ in middles) > frame.width - 12
    assert min(y for _, y in middles) < 30
    assert max(y for _, y in middles) > frame.height - 12


def test_cells_fill_their_window():
    window = samples_frame("M2X9AB").window("target")
    cells = window.cells()
    assert list(cells)[:7] == ["A1", "A2", "A3", "A4", "A5", "A6", "B1"]
    assert cells["A1"] == Rect(15.0, 36.0, 20.0, 20.0)
    assert cells["D6"] == Rect(115.0, 96.0, 20.0, 20.0)
    assert sum(cell.width * cell.height for cell in cells.values()) == pytest.approx(120 * 80)


def test_marks_name_corner_and_card():
    frame = step_frame("K7F3Q2")
    assert [frame.mark_text(corner) for corner in CORNERS] == [
        "SO1:TL:K7F3Q2", "SO1:TR:K7F3Q2", "SO1:BR:K7F3Q2", "SO1:BL:K7F3Q2",
    ]  # fmt: skip
    assert frame.identity_text().startswith("SPRAYOUT-CARD:1:K7F3Q2:")
    assert frame.marks()["BR"] == Rect(187.0, 274.0, 14.0, 14.0)


@pytest.mark.parametrize(
    "other",
    [
        step_frame("K7F3Q2", coats=("0", "1", "2", "3", "4", "5")),
        step_frame("K7F3Q2", coats=("0", "1", "2")),
        step_frame("K7F3Q2", paper="Letter"),
        samples_frame("K7F3Q2"),
    ],
)
def test_another_layout_has_another_digest(other):
    assert other.layout_digest() != step_frame("K7F3Q2").layout_digest()


def test_the_digest_does_not_depend_on_the_identity():
    assert step_frame("K7F3Q2").layout_digest() == step_frame("OTHER1").layout_digest()


def _window(**changed):
    plain = Window("pieces", WindowKind.SAMPLES, Rect(30, 40, 60, 20), 1, 3, ("a", "b", "c"))
    return replace(plain, **changed)


@pytest.mark.parametrize(
    ("windows", "told"),
    [
        ((), "windows: none"),
        ((_window(labels=("a", "b")),), "2 labels for 3 cells"),
        ((_window(labels=("a", "b", "a")),), "a label is there twice"),
        ((_window(labels=("a", "b", "")),), "cannot be printed"),
        ((_window(labels=("a", "b", "x" * 25)),), "cannot be printed"),
        ((_window(rect=Rect(30, 40, 12, 20)),), "smaller than 5 mm"),
        ((_window(rect=Rect(160, 40, 60, 20)),), "the sheet's edge"),
        ((_window(rect=Rect(30, 12, 60, 20)),), "covers a mark or the heading"),
        ((_window(), _window(name="more")), "overlaps more"),
        ((_window(), _window(rect=Rect(30, 80, 60, 20))), "two windows have this name"),
        ((_window(kind=WindowKind.CONTRAST),), "two cells, black then white"),
        ((_window(kind=WindowKind.STEPS, rows=3, columns=1),), "one row of two or more steps"),
    ],
)
def test_a_layout_that_cannot_be_is_refused(windows, told):
    with pytest.raises(FaultsError, match=told):
        Frame("K7F3Q2", 210.0, 297.0, windows)


@pytest.mark.parametrize("identity", ["", "abc", "k7f3q2", "K7F3Q2XYZ", "K7-3Q2", "K7F3Q2\n"])
def test_an_identity_that_cannot_be_is_refused(identity):
    with pytest.raises(FaultsError, match="4 to 8 capital letters and digits"):
        step_frame(identity)


def test_every_fault_is_told_at_once():
    with pytest.raises(FaultsError) as told:
        Frame("no", 210.0, 297.0, (_window(labels=("a",)), _window(rect=Rect(160, 40, 60, 20))))
    assert len(told.value.faults) >= 4


@given(st.floats(0.05, 1.0), st.floats(-50, 50), st.floats(1, 90))
def test_an_inset_keeps_the_middle(share, x, width):
    rect = Rect(x, 3.0, width, 20.0)
    inner = rect.inset(share)
    assert inner.x + inner.width / 2 == pytest.approx(rect.x + rect.width / 2)
    assert inner.width == pytest.approx(share * width)
