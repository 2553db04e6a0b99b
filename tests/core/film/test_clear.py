import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sprayout_core.errors import SprayoutError
from sprayout_core.film import (
    bare_to_cleared,
    clear_layer,
    cleared_to_inner,
    diffuse_internal,
    fresnel,
    inner_to_cleared,
    kept_inside,
    passed_out,
    path,
    saunderson,
)

GEOMETRIES = ["45:0", "0:45", "di:8", "de:8", "45as15", "45as110"]


def test_light_kept_and_passed_are_the_whole_at_no_dye():
    assert kept_inside(0.0) == pytest.approx(diffuse_internal(1.5), abs=1e-6)
    assert kept_inside(0.0) + passed_out(0.0) == pytest.approx(1.0, abs=1e-6)


def test_kept_inside_is_its_integral():
    """Williams and Clapper 1953: r(tau) = 2 int F(mu) exp(-2 tau / mu) mu dmu, here by plain summation."""
    mu = (np.arange(200_000) + 0.5) / 200_000
    inside = fresnel(1 / 1.5, np.degrees(np.arccos(mu)))
    for tau in (0.0, 0.01, 0.1, 0.5, 1.0, 3.0):
        integral = np.mean(2 * mu * inside * np.exp(-2 * tau / mu))
        assert kept_inside(tau) == pytest.approx(integral, abs=5e-5)
        integral = np.mean(2 * mu * (1 - inside) * np.exp(-tau / mu))
        assert passed_out(tau) == pytest.approx(integral, rel=2e-4)


@pytest.mark.parametrize("geometry", ["45:0", "de:8", "di:8"])
def test_diffusing_ground_against_adding_doubling(layers, geometry):
    albedo, tau = np.array([0.04, 0.3, 0.85, 0.95]), np.array([0, 0.1, 0.5, 1, 2, 4.0])
    kernel = np.broadcast_to(layers.lambert(albedo)[:, None], (4, 6, layers.D.mu.size, layers.D.mu.size))
    truth = layers.reading(kernel, np.broadcast_to(tau, (4, 6)), geometry)
    assert clear_layer(truth[:, :1], tau, geometry) == pytest.approx(truth, abs=1e-5)
    assert cleared_to_inner(truth[:, 0], geometry) == pytest.approx(albedo, abs=1e-6)


@pytest.mark.parametrize("geometry", ["45as15", "45as25", "45as75", "45as110"])
def test_diffusing_ground_at_angles_against_adding_doubling(layers, geometry):
    tau = np.array([0, 0.2, 1, 3.0])
    truth = layers.reading(np.broadcast_to(layers.lambert(0.8), (4, *layers.lambert(0.8).shape)), tau, geometry)
    assert clear_layer(truth[0], tau, geometry) == pytest.approx(truth, abs=1e-5)


def test_inner_reflectance_round_trip():
    inner = np.linspace(0, 1, 11)
    for geometry in GEOMETRIES:
        for trapping in (0.0, 0.3, 1.0):
            cleared = inner_to_cleared(inner, geometry, trapping=trapping)
            assert cleared_to_inner(cleared, geometry, trapping=trapping) == pytest.approx(inner, abs=1e-12)


def test_included_is_excluded_plus_the_surface():
    inner = np.linspace(0.01, 1, 7)
    shine = float(fresnel(1.5, 8))
    assert inner_to_cleared(inner, "di:8") == pytest.approx(inner_to_cleared(inner, "de:8") + shine)
    assert inner_to_cleared(inner, "di:8") == pytest.approx(saunderson(inner, shine, diffuse_internal(1.5)), abs=1e-9)


def test_mirror_ground_is_a_directed_double_pass():
    """Bouguer and Lambert along Snell's ways; decadic 0.08 per coat, 45 to 0 at n = 1.5."""
    expected = [1, 0.674976, 0.455593, 0.307514, 0.207565, 0.140101, 0.094565]
    tau = np.arange(7) * 0.08 * np.log(10)
    assert clear_layer(1.0, tau, "45as45", trapping=0.0) == pytest.approx(expected, abs=1e-6)
    assert clear_layer(3.0, tau, "45as15", trapping=0.0) / 3 == pytest.approx(
        np.exp(-tau * (path(45, 1.5) + path(30, 1.5)))
    )


@given(st.floats(0.05, 3), st.floats(0, 6), st.floats(0, 6), st.sampled_from(GEOMETRIES), st.floats(0, 1))
def test_more_dye_is_never_lighter_and_never_lighter_than_the_ground(ground, one, two, geometry, trapping):
    thin, thick = clear_layer(ground, [min(one, two), max(one, two)], geometry, trapping=trapping)
    assert thick <= thin + 1e-6
    assert thin <= ground + 1e-6
    assert thick >= 0


@given(st.floats(0, 5), st.floats(0, 1))
def test_energy_is_kept(tau, inner):
    """Diffuse light over a ground of albedo 1 comes back whole; a directed reading may pass 1 by half a percent."""
    assert inner_to_cleared(1.0, "di:8") == pytest.approx(1.0, abs=1e-5)
    assert clear_layer(inner_to_cleared(inner, "di:8"), tau, "di:8") <= 1.0 + 1e-5
    assert inner_to_cleared(1.0, "45:0") < 1.005


def test_limits_are_numbers():
    for geometry in GEOMETRIES:
        result = clear_layer(np.array([0.05, 0.9])[:, None], [0.0, 1e-300, 1e3, np.inf], geometry)
        assert np.isfinite(result).all()
        assert result[:, 0] == pytest.approx([0.05, 0.9], abs=1e-12)
        assert clear_layer(0.5, np.inf, geometry) == pytest.approx(inner_to_cleared(0.0, geometry), abs=1e-12)


def test_blocks_do_not_change_numbers():
    rng = np.random.default_rng(3)
    ground, tau, trap = rng.uniform(0.05, 1, (1500, 31)), rng.uniform(0, 2, (1500, 31)), rng.uniform(0, 1, (1500, 1))
    whole = clear_layer(ground, tau, "di:8", trapping=trap)
    rows = np.stack([clear_layer(ground[i], tau[i], "di:8", trapping=trap[i]) for i in (0, 700, 1499)])
    assert whole[[0, 700, 1499]] == pytest.approx(rows, abs=1e-15)
    assert clear_layer(ground, tau, "45:0").shape == (1500, 31)
    assert clear_layer(ground[:2, None], tau[None, :3], "45:0").shape == (2, 3, 31)


def test_specular_included_below_the_surface_is_refused():
    with pytest.raises(SprayoutError, match="de:8"):
        clear_layer([0.02, 0.5], 0.1, "d:8")
    for bad in ({"tau": -0.1}, {"tau": np.nan}, {"ground": -0.2}, {"trapping": -1.0}, {"n": 0.9}):
        arguments = {"ground": 0.5, "tau": 0.1, "geometry": "45:0"} | bad
        with pytest.raises(SprayoutError):
            clear_layer(**arguments)


def test_bare_ground_is_converted():
    inner = np.array([0.04, 0.3, 0.86])
    # A matt surface holds its own reflection in every geometry; cleared 45:0 no longer does.
    bare = saunderson(inner, float(fresnel(1.5, 45)), diffuse_internal(1.5))
    assert bare_to_cleared(bare, "45:0") == pytest.approx(inner_to_cleared(inner, "45:0"), abs=1e-9)
    assert (bare_to_cleared(bare, "45:0") < bare).all()


def test_one_trapping_number_before_anything_else(layers, shops, difference):
    """One dye over a metallic ground with one trapping number, against adding-doubling; then the other dyes."""
    rng = np.random.default_rng(404)
    dyes = [shops.random_dye(rng) for _ in range(5)]
    brown = shops.brown(rng)
    ramp = (layers.WAVE - 550) / 150
    for albedo, tilt, edges in ((0.76 - 0.02 * ramp, 7.0, 0.05), (0.4 + 0.4 / (1 + np.exp(-8 * ramp)), 13.0, 0.12)):
        kernel = layers.flakes(albedo, tilt, edges)
        for geometry in ("45:0", "di:8"):
            ground = layers.reading(kernel, np.zeros(31), geometry)
            numbers = np.geomspace(1e-3, 1, 400)
            card = layers.reading(kernel, 2 * brown, geometry)
            tried = clear_layer(ground, 2 * brown, geometry, trapping=numbers[:, None])
            number = numbers[np.argmin(difference(tried, card))]
            assert difference(clear_layer(ground, 2 * brown, geometry, trapping=number), card) < 0.3
            errors = [
                difference(
                    clear_layer(ground, coats * dye, geometry, trapping=number),
                    layers.reading(kernel, coats * dye, geometry),
                )
                for dye in dyes
                for coats in (1, 2, 4)
            ]
            assert np.mean(errors) <= 0.6
            assert np.percentile(errors, 95) <= 1.0


def test_pure_dye_never_makes_black_lighter():
    """Common practice, no source."""
    dye = np.linspace(0.02, 0.9, 31)
    for geometry in ("45:0", "de:8"):
        coats = clear_layer(np.full(31, 0.016), np.arange(9)[:, None] * dye, geometry)
        assert (np.diff(coats, axis=0) < 0).all()
