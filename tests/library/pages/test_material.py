import pytest

from sprayout_library.record import Names


def carrier(built):
    return Names(built.shop.store).find("clear carrier", "material").id


def test_what_hinders_weighing_a_mix_can_be_put_right_on_pages(own, built):
    """A pour by grams asks for a density; the pages lead to where it is written."""
    visitor, _ = own
    asked = {"mix": built.dusk.id, "amount": "50 g"}
    refused = visitor.get("/pour", params=asked)
    assert refused.status_code == 422 and "density of" in refused.text
    for name in ("violet dye", "strong teal"):
        key = Names(built.shop.store).find(name, "material").id
        assert f"/thing/{key}/facts" in visitor.get(f"/thing/{key}").text
        page = visitor.fill(f"/thing/{key}/facts", {"density_g_per_ml": "1,05"})
        assert page.url.path == f"/thing/{key}" and "1.05 g/ml" in page.text.replace("\u00a0", " ")
    assert "38.1 ml" in visitor.get("/pour", params=asked).text  # four fifths of 50 g at 1.05 g/ml


def test_facts_lots_and_cautions_are_added_and_what_stands_is_left(own, built):
    visitor, store = own
    path = f"/thing/{carrier(built)}/facts"
    visitor.fill(path, {"volume_solids_percent": "35", "lot": "L7", "caution": ["waterborne"]})
    visitor.fill(path, {"volume_solids_percent": "35", "lot": "L8"})
    store.refresh()
    held = store.get(carrier(built))
    assert held.volume_solids_percent == "35" and sorted(held.lots.values()) == ["L7", "L8"]
    assert list(held.cautions.values()) == ["waterborne"]
    assert "beside L7, L8" in visitor.get(path).text or "beside L8, L7" in visitor.get(path).text


@pytest.mark.parametrize(
    "form",
    [{}, {"density_g_per_ml": "heavy"}, {"density_g_per_ml": "-1"}, {"density_g_per_ml": "0"}, {"caution": "harmless"},
     {"volume_solids_percent": "101"}, {"density_g_per_ml": "1e9999"}, {"flake_um": "<script>alert(1)</script>"}],
)  # fmt: skip
def test_what_is_no_fact_changes_nothing(own, built, form):
    visitor, store = own
    head = store.newest()
    refused = visitor.fill(f"/thing/{carrier(built)}/facts", form)
    assert refused.status_code == 422 and "<script>alert" not in refused.text
    assert store.newest() == head


def test_only_materials_have_a_sheet(visitor, made):
    assert visitor.get(f"/thing/{made.kelp.id}/facts").status_code == 404
    assert visitor.get("/thing/none/facts").status_code == 404


def test_a_new_material_is_written_with_its_density(own):
    visitor, _ = own
    page = visitor.fill("/mix", {"do": "material", "name": "plum dye", "role": "dye", "density_g_per_ml": "0.98"})
    assert "0.98 g/ml" in page.text.replace("\u00a0", " ")
    refused = visitor.fill("/mix", {"do": "material", "name": "fern dye", "role": "dye", "density_g_per_ml": "x"})
    assert refused.status_code == 422 and "no number of g/ml" in refused.text
