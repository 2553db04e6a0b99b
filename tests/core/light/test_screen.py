import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sprayout_core.light import View, adapted, hexadecimal, lab, lch, srgb, white
from sprayout_core.light.screen import _SCREEN_WHITE, _TO_LINEAR

SCREEN = View("D65", 2)
NM = np.arange(360.0, 781.0, 10.0)
labs = st.tuples(st.floats(0, 100), st.floats(-120, 120), st.floats(-120, 120))


# source: IEC 61966-2-1, matrix and curve of the standard with its white .9505 1 1.0890, worked independently
@pytest.mark.parametrize(
    ("rgb", "wanted"),
    [
        ((255, 0, 0), (53.2329, 80.1053, 67.2228)),
        ((0, 255, 0), (87.7370, -86.1884, 83.1861)),
        ((0, 0, 255), (32.3026, 79.1936, -107.8537)),
        ((128, 128, 128), (53.5850, 0, 0)),
        ((200, 30, 60), (43.5573, 64.0669, 28.4695)),
        ((118, 82, 68), (38.3817, 13.1214, 14.2225)),
    ],
)
def test_known_screen_colours(rgb, wanted):
    found, inside = srgb(wanted, SCREEN)
    np.testing.assert_allclose(found * 255, rgb, atol=0.5)
    assert inside


def back(rgb):
    """CIELAB (D65, 2 degrees) of a screen colour, by the curve turned round."""
    linear = np.where(rgb <= 0.04045, rgb / 12.92, ((rgb + 0.055) / 1.055) ** 2.4)
    xyz = 100 * linear @ np.linalg.inv(_TO_LINEAR).T
    reference = white(SCREEN, NM)
    return lab(adapted(xyz, _SCREEN_WHITE, reference), reference)


@given(labs)
def test_outside_the_gamut_only_chroma_is_lowered(values):
    rgb, inside = srgb(values, SCREEN)
    assert ((rgb >= 0) & (rgb <= 1)).all()
    shown = lch(back(rgb))
    wanted = lch(values)
    # clipping the last half of an 8-bit step moves the very dark ones most
    assert shown[0] == pytest.approx(wanted[0], abs=1.0)
    if inside:
        np.testing.assert_allclose(back(rgb), values, atol=3.0)
    else:
        assert shown[1] < wanted[1] + 1.0
    if shown[1] > 15:
        turn = abs((shown[2] - wanted[2] + 180) % 360 - 180)
        assert turn < 4.0


def test_whites_and_blacks_of_every_view():
    for view in (View("A", 10), View("D50", 2), View()):
        np.testing.assert_allclose(srgb((100, 0, 0), view).rgb, 1.0, atol=1e-4)
        np.testing.assert_allclose(srgb((0, 0, 0), view).rgb, 0.0, atol=1e-4)


def test_above_white_is_white_and_flagged():
    rgb, inside = srgb((130, 5, 5))
    assert not inside
    assert hexadecimal(rgb) == "#ffffff"


def test_many_at_once():
    rgb, inside = srgb(np.full((4, 5, 3), (50.0, 0.0, 150.0)))
    assert rgb.shape == (4, 5, 3)
    assert inside.shape == (4, 5)
    assert not inside.any()
    assert hexadecimal((1.0, 0.5, 0.0)) == "#ff8000"
