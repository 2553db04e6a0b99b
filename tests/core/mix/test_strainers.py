from fractions import Fraction

import pytest

from sprayout_core.errors import SprayoutError
from sprayout_core.mix.strainers import MESH_UM, holds_back, mesh_about, mesh_beside, parse_strainer

F = Fraction


# ASTM E11 / ISO 565 openings as published for these numbers.
@pytest.mark.parametrize(
    ("mesh", "um"), [(100, 150), (120, 125), (200, 75), (325, 45), (400, 38), (500, 25), (635, 20)]
)
def test_published_openings(mesh, um):
    assert parse_strainer(f"{mesh} mesh") == um
    assert mesh_about(F(um)) == mesh


def test_finer_mesh_has_a_smaller_opening():
    openings = [MESH_UM[mesh] for mesh in sorted(MESH_UM)]
    assert openings == sorted(openings, reverse=True)


@pytest.mark.parametrize(("text", "um"), [("190 um", 190), ("125 micron", 125), ("125µm", 125), ("mesh 120", 125)])
def test_units_are_read(text, um):
    assert parse_strainer(text) == um


def test_a_bare_number_is_questioned_both_ways():
    with pytest.raises(SprayoutError) as refused:
        parse_strainer("200")
    assert "200 um is about 70 mesh" in str(refused.value)
    assert "200 mesh is 75 um" in str(refused.value)
    with pytest.raises(SprayoutError, match="190 mesh is not in the table"):
        parse_strainer("#190")


@pytest.mark.parametrize("text", ["190 mm", "190 mesh", "fine", "0 um", "mesh 120 um"])
def test_other_strainers_are_refused(text):
    with pytest.raises(SprayoutError) as refused:
        parse_strainer(text)
    assert refused.value.fault.remedy


def test_mesh_stands_beside():
    assert [mesh_beside(F(um)) for um in (125, 190, 600)] == [
        "125 um (120 mesh)",
        "190 um (about 80 mesh)",
        "600 um",
    ]


def test_an_opening_no_larger_than_the_flake_takes_it_out():
    assert holds_back(F(75), F(75)) and not holds_back(F(190), F(75))
