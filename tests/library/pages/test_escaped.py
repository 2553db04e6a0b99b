"""Text of documents is text on pages: nothing typed in any field becomes markup."""

import base64
import re

import pytest
from tests.library.pages.conftest import Visitor
from tests.library.pages_shop import reading, spectrum
from tests.library.spray_shop import SprayShop

from sprayout_library.record import panel_facts

BAD = "<script>alert(1)</script>\"'><img src=x onerror=alert(1)>{{7*7}}"


@pytest.fixture(scope="module")
def hostile(tmp_path_factory):
    with pytest.MonkeyPatch.context() as patch:
        shop = SprayShop(tmp_path_factory.mktemp("hostile"), patch)
        note = {"text": BAD, "by": BAD[:60]}
        common = {"notes": [note], "tags": [BAD]}
        shop.save("material", {"title": f"dye {BAD}", "role": "dye", "lots": [BAD], "safety_notes": BAD, **common})
        dye = shop.material("plain dye")
        ground = shop.material(f"ground {BAD}", "metallic", cautions=["solvent"])
        items = {dye.id: {"kind": "material", "ratio": 1}}
        formula = shop.save("formula", {"title": f"mix {BAD}", "mix": {"basis": "volume", "items": items}, **common})
        recipe = shop.save("recipe", {
            "title": f"recipe {BAD}", "grounds": [{"kind": "material", "id": ground.id}],
            "coats": [{"formula": formula.id, "count": "2", "role": "colour"}], **common,
        })  # fmt: skip
        facts = panel_facts(recipe, ground.id, shop.store.find, label=BAD, title=f"panel {BAD}", kept=BAD, **common)
        panel = shop.save("panel", facts)
        other = shop.save("panel", {**facts, "label": "two", "title": "two"})
        looks = [reading(shop.writer, one, [("45:0", spectrum(0.4, 500))]) for one in (panel, other)]
        shop.writer.save(looks, BAD)
        pieces = [[{"panel": panel.id}], [{"panel": other.id}]]
        shop.save("judgement", {"way": "order", "quality": "lighter", "pieces": pieces, "light": BAD, "by": BAD[:60]})
        shop.save("picture", {
            "image": f"sha256:{'a' * 64}", "media": "image/jpeg", "bytes": 9, "shows": [{"panel": panel.id}],
            "light": BAD, "title": BAD, "thumbnail": base64.b64encode(BAD.encode()).decode(),
        })  # fmt: skip
        cup = shop.cup(formula, ("plain dye", "20 ml"), label=BAD[:60])
        shop.store.refresh()
        yield shop, recipe, [panel, other], cup
        shop.close()


def test_no_field_of_any_document_becomes_markup(hostile, monkeypatch):
    shop, recipe, panels, cup = hostile
    monkeypatch.setenv("SPRAYOUT_HOME", str(shop.folder / "home"))
    visitor = Visitor(shop.folder / "lib")
    things = [f"/thing/{entry.id}" for entry in shop.names.of_kind()]
    kinds = [entry.kind for entry in shop.names.of_kind()]
    pair = f"/look/compare?piece={panels[0].id}&piece={panels[1].id}"
    told = ""
    for path in (
        "/",
        "/mix",
        "/pour",
        "/look",
        "/share",
        "/find?words=e",
        f"/spray/new?recipe={recipe.id}",
        f"/share/card/{recipe.id}",
        f"/look/stock?over={next(iter(recipe.grounds.values())).id}",
        pair,
        "/look?order=hand",
        "/look/pictures",
        "/look/reach",
        "/look/grid",
        f"/pour?mix={cup.formula}&amount=20+ml",
        f"/pour/cup/{cup.id}",
        f"/pour/cup/{cup.id}/colour",
        "/pour/shelf",
        f"/pour/shelf?for={recipe.id}",
        f"/thing/{cup.id}/label",
        f"/thing/{panels[0].id}/label",
        f"/thing/{panels[0].id}/missed",
        f"/thing/{recipe.id}/coats",
        *(f"{one}/bottle" for one, kind in zip(things, kinds, strict=True) if kind == "material"),
        *(f"{one}/facts" for one, kind in zip(things, kinds, strict=True) if kind == "material"),
        f"/thing/{recipe.id}/repair",
        *things,
    ):
        reply = visitor.get(path)
        assert reply.status_code == 200, path
        told = re.sub('(data-mark|name="csrf" value)="[^"]*"', "", reply.text)
        assert "<script>alert" not in told and "<img src=x" not in told, path
        assert "49" not in told or "{{7*7}}" in told, path
    assert "&lt;script&gt;" in told


@pytest.mark.parametrize("path", ["/find?words=", "/look?words=", "/look?order=", "/look?recipe=", "/look/grid?mix=",
                                  "/pour?mix=", "/pour?tool=", "/look/readings?drop=", "/spray/new?recipe=",
                                  "/look/compare?one=", "/thing/", "/look/pictures?light=", "/look/reach?but=a&L=",
                                  "/look/grid?over=a&first=a&second=",
                                  "/pour/shelf?for=", "/pour/shelf?lot=", "/pour/shelf?material="])  # fmt: skip
def test_nothing_in_an_address_becomes_markup(visitor, path):
    told = visitor.get(path + BAD.replace("/", "%2F")).text
    assert "<script>alert" not in told and "<img" not in told


@pytest.mark.parametrize("field", ["line", "title", "over", "coats", "clear", "name", "role", "unknown"])
@pytest.mark.parametrize("does", ["mix", "recipe", "material"])
def test_nothing_in_a_form_becomes_markup(visitor, field, does):
    told = visitor.fill("/mix", {"do": does, field: BAD}).text
    assert "<script>alert" not in told and "<img" not in told
