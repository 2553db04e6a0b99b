import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sprayout_core.errors import SprayoutError
from sprayout_core.film import (
    coats_to_hide,
    contrast_ratio,
    opaque,
    opaque_mix,
    opaque_ratio,
    relative_constants,
    two_flux,
    two_flux_transmittance,
)

bands = st.floats(0, 20)


# Kubelka and Munk's equation, checked against its differential equation dR/dX = S - 2(K+S)R + S R^2.
@pytest.mark.parametrize(
    ("K", "S", "X", "ground", "R", "T"),
    [
        (0.5, 1, 1, 0.80, 0.435600, 0.283648),
        (0.5, 1, 1, 0.05, 0.350640, 0.283648),
        (0.5, 1, 2, 0.80, 0.387824, 0.091437),
        (0.02, 0.5, 1, 0.80, 0.789350, 0.652747),
        (0.02, 0.5, 1, 0, 0.327484, 0.652747),
        (0.5, 0.01, 1, 0.80, 0.296220, 0.600518),
        (0.5, 0, 1, 0.80, 0.294304, np.exp(-0.5)),
        (0, 1, 1, 0.20, 0.555556, 0.5),
    ],
)
def test_two_flux_values(K, S, X, ground, R, T):
    assert two_flux(K, S, X, ground) == pytest.approx(R, abs=1e-6)
    assert two_flux_transmittance(K, S, X) == pytest.approx(T, abs=1e-6)


def test_two_flux_is_the_differential_equation():
    K, S, R, steps = 0.7, 0.3, 0.6, 20000
    for _ in range(steps):  # midpoint rule over a thickness of 1.5
        slope = S - 2 * (K + S) * R + S * R * R
        middle = R + 0.5 * slope * 1.5 / steps
        R += (S - 2 * (K + S) * middle + S * middle * middle) * 1.5 / steps
    assert two_flux(0.7, 0.3, 1.5, 0.6) == pytest.approx(R, abs=1e-9)


def test_opaque_values():
    ratio = np.array([0.01, 0.1, 0.5, 1, 2, 10])
    assert opaque(ratio, 1.0) == pytest.approx([0.868226, 0.641742, 0.381966, 0.267949, 0.171573, 0.045549], abs=1e-6)
    assert opaque_ratio(opaque(ratio, 1.0)) == pytest.approx(ratio, rel=1e-9)


def test_one_coat_on_another_is_two_coats():
    once = two_flux(0.5, 1.0, 1.0, two_flux(0.5, 1.0, 1.0, 0.2))
    assert once == pytest.approx(0.3800422, abs=1e-7)
    assert two_flux(0.5, 1.0, 2.0, 0.2) == pytest.approx(0.3800422, abs=1e-7)


@given(bands, bands, st.floats(0, 3), st.floats(0, 3), st.floats(0, 1))
def test_layers_compose(K, S, first, second, ground):
    stacked = two_flux(K, S, second, two_flux(K, S, first, ground))
    assert stacked == pytest.approx(two_flux(K, S, first + second, ground), abs=1e-9)


@given(bands, bands, st.floats(0, 50), st.floats(0, 1))
def test_energy_is_kept(K, S, X, ground):
    over, alone, through = two_flux(K, S, X, ground), two_flux(K, S, X, 0.0), two_flux_transmittance(K, S, X)
    assert 0 <= over <= 1
    assert alone + through <= 1 + 1e-9
    if K == 0:
        assert alone + through == pytest.approx(1, abs=1e-9)
    # What comes back over a ground: alone + T^2 Rg / (1 - Rg R0).
    if ground * alone < 0.999999:
        assert over == pytest.approx(alone + through**2 * ground / (1 - ground * alone), abs=1e-7)


def test_limits_are_numbers():
    K, S, X, ground = np.meshgrid(
        [0, 1e-320, 1e-12, 1, 1e6], [0, 1e-320, 1e-12, 1, 1e6], [0, 1e-9, 1, 1e9, np.inf], [0, 1]
    )
    result = two_flux(K, S, X, ground)
    assert np.isfinite(result).all()
    assert ((result >= 0) & (result <= 1)).all()
    assert np.isfinite(two_flux_transmittance(K, S, X)).all()
    assert two_flux(0, 0, np.inf, 0.4) == 0.4
    assert two_flux(1, 0, np.inf, 0.4) == 0.0
    assert two_flux(0, 1, np.inf, 0.4) == pytest.approx(1.0)
    assert two_flux(2, 1, 1e9, 0.4) == pytest.approx(opaque(2, 1))
    assert two_flux(2, 1, 0, 0.4) == 0.4
    # Near the joints of the stable form nothing jumps.
    tiny = np.geomspace(1e-14, 1e-4, 60)
    assert np.abs(np.diff(two_flux(tiny, 1.0, 1.0, 0.2))).max() < 1e-3
    assert two_flux(0, tiny, 1.0, 0.2) == pytest.approx((0.8 * tiny + 0.2) / (0.8 * tiny + 1), abs=1e-12)


def test_refusals_name_the_argument():
    for arguments, place in [
        ((-1, 1, 1, 0), "absorption"),
        ((1, 1, np.nan, 0), "thickness"),
        ((1, 1, 1, 1.2), "ground"),
    ]:
        with pytest.raises(SprayoutError) as refused:
            two_flux(*arguments)
        assert refused.value.fault.place == place


def test_hiding():
    def ratio(X):
        return contrast_ratio(two_flux(0.02, 0.5, X, 0.0), two_flux(0.02, 0.5, X, 0.80))

    assert ratio(1) == pytest.approx(0.414878, abs=1e-6)
    assert ratio(10) == pytest.approx(0.970746, abs=1e-6)
    assert two_flux(0.02, 0.5, 11.30417, [0, 0.8]) == pytest.approx([0.741175, 0.756301], abs=1e-6)
    coats = np.arange(1, 15)
    assert coats_to_hide(coats, ratio(coats)) == pytest.approx(11.304, abs=0.01)
    assert coats_to_hide(coats[:8], ratio(coats[:8])) is None


def test_keyed_ground_from_colour_and_white():
    wave = np.linspace(0, 1, 31)
    K, S = np.array([0.01 + 0 * wave, 3 + 2 * np.cos(5 * wave)]), np.array([np.ones(31), 0.3 + 0.2 * wave])
    white, colour, tint = (opaque_mix(K, S, share) for share in ([1, 0], [0, 1], [0.8, 0.2]))
    found_K, found_S = relative_constants(white, colour, tint, 0.2)
    assert found_K == pytest.approx(K[1], rel=1e-9)
    assert found_S == pytest.approx(S[1], rel=1e-9)
    with pytest.raises(SprayoutError):
        relative_constants(white, colour, tint, 1.0)


def test_first_white_in_a_sealer_changes_it_most():
    """Common practice, no source."""
    wave = np.linspace(0, 1, 31)
    K, S = np.array([0.01 + 0 * wave, 2 + np.cos(6 * wave)]), np.array([np.ones(31), np.full(31, 0.2)])
    parts = np.arange(0, 5)
    series = opaque_mix(K, S, np.stack([parts / (parts + 4), 4 / (parts + 4)], axis=-1)).mean(axis=-1)
    steps = np.diff(series)
    assert (np.diff(steps) < 0).all()
    assert (steps > 0).all()
