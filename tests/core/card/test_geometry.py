import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sprayout_core.card import Rect, homography, lattice_places, places

SHEET = np.array([[9, 9], [201, 9], [201, 288], [9, 288], [105, 150], [50, 220.0]])


@given(st.floats(-180, 180), st.floats(2, 25), st.floats(-4e-4, 4e-4), st.floats(-4e-4, 4e-4), st.floats(-500, 500))
def test_a_perspective_is_found_again(turn, scale, lean_x, lean_y, shift):
    angle = np.radians(turn)
    true = np.array(
        [
            [scale * np.cos(angle), -scale * np.sin(angle), shift],
            [scale * np.sin(angle), scale * np.cos(angle), 3.0 - shift],
            [lean_x, lean_y, 1.0],
        ]
    )
    found = homography(SHEET[:4], places(true, SHEET[:4]))
    assert places(found, SHEET) == pytest.approx(places(true, SHEET), abs=1e-6 * scale * 300)


def test_errors_of_marks_are_averaged():
    true = np.array([[5.0, 0.3, 20], [-0.2, 5.1, 30], [1e-4, 5e-5, 1]])
    marks = np.concatenate([corner + np.array([[0, 0], [14, 0], [14, 14], [0, 14]]) for corner in SHEET[:4] - 7])
    rng = np.random.default_rng(2)
    strayed = [places(true, marks) + rng.uniform(-1, 1, (16, 2)) for _ in range(50)]
    misfits = [np.abs(places(homography(marks, each), SHEET) - places(true, SHEET)) for each in strayed]
    assert np.mean(misfits) < 0.35  # pixels, where each corner strays by 0.5 on average


def test_a_lattice_is_the_same_as_its_places():
    true = np.array([[5.0, 0.3, 20], [-0.2, 5.1, 30], [1e-4, 5e-5, 1]])
    x, y = lattice_places(true, Rect(10, 20, 8, 6), 4, 3)
    middles = [[10 + 2 * (i + 0.5), 20 + 2 * (j + 0.5)] for j in range(3) for i in range(4)]
    assert np.stack([x, y], axis=-1) == pytest.approx(places(true, middles))
