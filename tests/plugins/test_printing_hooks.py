"""The printing plugins answer their hooks, refuse on purpose, and leave what is not theirs to others."""

import pytest

from sprayout_core.sheet import BenchSheet, LabelText, Step, code_for
from sprayout_plugins import bench_sheet, guard, panel_label
from sprayout_plugins.panel_label import GridError, grid_and_used
from sprayout_plugins.registry import of_modules

CODE = code_for("01926f3a-7c1e-7b52-9a41-5d0c8e2f7a10", "01926f3a-7c1e-7b52-9a41-5d0c8e2f7a11", "0" * 64)
SHEET = BenchSheet("Kelp fade", CODE, steps=(Step("colour", "Kelp glass", "5"),))
LABEL = LabelText("panel", "Kelp fade", CODE, mark="KF-1")
GRID = {"paper_width": "62", "paper_height": "36", "columns": "1", "rows": "1", "width": "62", "height": "36"}


@pytest.fixture(scope="module")
def plugins():
    return of_modules([bench_sheet, panel_label])


@pytest.mark.parametrize(("form", "head"), [("a4", b"%PDF"), ("letter", b"%PDF"), ("card", b"<!DOCTYPE html>")])
def test_a_sheet_in_each_form(plugins, form, head):
    (answer,) = guard.ask(plugins, "print_sheet", sheet=SHEET, form=form)
    assert answer.failure is None
    assert answer.value.lower().startswith(head.lower())


def test_another_form_is_left_to_others(plugins):
    assert guard.ask_one(plugins, "bench_sheet", "print_sheet", sheet=SHEET, form="tattoo") is None


def test_labels(plugins):
    (answer,) = guard.ask(plugins, "print_labels", labels=[LABEL], grid=GRID)
    assert answer.value.startswith(b"%PDF")


def test_a_grid_without_room_fails_with_its_faults(plugins):
    (answer,) = guard.ask(plugins, "print_labels", labels=[LABEL], grid={**GRID, "columns": "3"})
    assert answer.value is None
    assert "labels reach 186 mm of 62 mm" in str(answer.failure.faults[0])


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"width": "wide"}, "'wide' is no number"),
        ({"rows": "1.5"}, "'1.5' is no number"),
        ({"colour": "3"}, "is nothing a grid has"),
        ({"width": "nan"}, "nan mm"),
        ({"left": "-1"}, "-1.0 mm"),
    ],
)
def test_a_grid_told_wrongly_is_refused(change, said):
    with pytest.raises(GridError) as caught:
        grid_and_used({**GRID, **change})
    assert said in str(caught.value)


def test_every_missing_length_is_named_at_once():
    with pytest.raises(GridError) as caught:
        grid_and_used({"width": "62"})
    assert len(caught.value.faults) == 5


def test_places_already_gone_are_told_beside_the_grid():
    grid, used = grid_and_used({**GRID, "paper_width": "130", "columns": "2", "used": "1"})
    assert (grid.places, used) == (2, 1)
