import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sprayout_core.errors import SprayoutError
from sprayout_core.film import (
    diffuse_external,
    diffuse_internal,
    fresnel,
    geometry_of,
    path,
    saunderson,
    saunderson_excluded,
    saunderson_excluded_inverse,
    saunderson_inverse,
)


# Fresnel and Snell evaluated independently of this code (transfer-matrix form); columns n, F0, F45, F60, F65, r_e, r_i.
@pytest.mark.parametrize(
    ("n", "values", "outside", "inside"),
    [
        (1.33, (0.020059, 0.027521, 0.059126, 0.086440), 0.06593, 0.47195),
        (1.49, (0.038725, 0.048845, 0.087521, 0.118726), 0.09031, 0.59025),
        (1.50, (0.040000, 0.050240, 0.089187, 0.120513), 0.09178, 0.59635),
        (1.52, (0.042580, 0.053045, 0.092483, 0.124021), 0.09471, 0.60817),
        (1.55, (0.046521, 0.057288, 0.097344, 0.129125), 0.09907, 0.62500),
    ],
)
def test_fresnel_and_its_hemispheres(n, values, outside, inside):
    assert fresnel(n, [0, 45, 60, 65]) == pytest.approx(values, abs=1e-6)
    assert diffuse_external(n) == pytest.approx(outside, abs=1e-5)
    assert diffuse_internal(n) == pytest.approx(inside, abs=1e-5)


def test_fresnel_limits():
    assert fresnel(1.0, [0, 30, 80]) == pytest.approx([0, 0, 0], abs=1e-15)
    assert fresnel(1.5, 90) == pytest.approx(1.0)
    assert fresnel(1 / 1.5, [41.8, 41.82, 90])[1:] == pytest.approx([1, 1])
    # Reversed light meets the same reflectance (Helmholtz reciprocity).
    assert fresnel(1 / 1.5, np.degrees(np.arcsin(np.sin(np.radians(45)) / 1.5))) == pytest.approx(fresnel(1.5, 45))
    # Brewster's angle: half of the s-polarised reflectance alone.
    assert fresnel(1.5, np.degrees(np.arctan(1.5))) == pytest.approx(0.5 * ((1 - 1.5**2) / (1 + 1.5**2)) ** 2)


@pytest.mark.parametrize(("n", "angle"), [(0, 10), (-1, 10), (1.5, -1), (1.5, 91), (np.nan, 0), (1.5, np.nan)])
def test_fresnel_refuses(n, angle):
    with pytest.raises(SprayoutError):
        fresnel(n, angle)


# Saunderson 1942 (J. Opt. Soc. Am. 32:727), evaluated from its equation; k1 = 0.04.
@pytest.mark.parametrize(
    ("inner", "k60", "k596", "k40", "excluded"),
    [
        (0.00, 0.040000, 0.040000, 0.040000, 0.0),
        (0.10, 0.080851, 0.081242, 0.100000, 0.040851),
        (0.25, 0.152941, 0.153937, 0.200000, 0.112941),
        (0.50, 0.314286, 0.316239, 0.400000, 0.274286),
        (0.80, 0.630769, 0.633028, 0.717647, 0.590769),
        (1.00, 1.000000, 1.000000, 1.000000, 0.960000),
    ],
)
def test_saunderson(inner, k60, k596, k40, excluded):
    assert saunderson(inner, 0.04, 0.60) == pytest.approx(k60, abs=1e-6)
    assert saunderson(inner, 0.04, 0.596) == pytest.approx(k596, abs=1e-6)
    assert saunderson(inner, 0.04, 0.40) == pytest.approx(k40, abs=1e-6)
    assert saunderson_excluded(inner, 0.04, 0.60) == pytest.approx(excluded, abs=1e-6)


def test_saunderson_inverse():
    found = saunderson_inverse([0.05, 0.10, 0.20, 0.50, 0.90], 0.04, 0.60)
    assert found == pytest.approx([0.025641, 0.142857, 0.333333, 0.696970, 0.955556], abs=1e-6)


@given(st.floats(0, 1), st.floats(0, 0.1), st.floats(0, 0.7))
def test_saunderson_round_trip(inner, k1, k2):
    assert saunderson_inverse(saunderson(inner, k1, k2), k1, k2) == pytest.approx(inner, abs=1e-9)
    assert saunderson_excluded_inverse(saunderson_excluded(inner, k1, k2), k1, k2) == pytest.approx(inner, abs=1e-9)


def test_saunderson_refuses_what_cannot_be():
    with pytest.raises(SprayoutError, match="specular excluded"):
        saunderson_inverse([0.2, 0.03], 0.04, 0.6)
    with pytest.raises(SprayoutError):
        saunderson([0.2, 1.01], 0.04, 0.6)
    with pytest.raises(SprayoutError):
        saunderson(0.5, 0.04, 1.0)
    with pytest.raises(SprayoutError):
        saunderson_excluded_inverse([-0.01], 0.04, 0.6)


# Snell's law for n = 1.5, light at 45 degrees: sum of 1/cos inside the film.
@pytest.mark.parametrize(
    ("name", "view", "way"),
    [
        ("45as-15", 60, 2.3586),
        ("45as15", 30, 2.1946),
        ("45as25", 20, 2.1609),
        ("45as45", 0, 2.1339),
        ("45as75", 30, 2.1946),
        ("45as110", 65, 2.3889),
        ("45:0", 0, 2.1339),
    ],
)
def test_paths_inside_the_film(name, view, way):
    where = geometry_of(name)
    assert where.view_deg == view
    assert path(where.light_deg, 1.5) + path(where.view_deg, 1.5) == pytest.approx(way, abs=1e-4)


def test_geometry_names():
    assert geometry_of("d:8") == geometry_of("di:8")
    assert geometry_of("de:8").specular == 0
    assert geometry_of("45:as15") == geometry_of("45as15")
    for bad in ("15", "45as0", "45as-50", "", "45/0", "8:d:8"):
        with pytest.raises(SprayoutError, match="geometry"):
            geometry_of(bad)
