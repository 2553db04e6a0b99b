"""An invented shop for tests of the pages: mixes, a recipe, measured pieces, cups, and two answers on one mix."""

import math
from types import SimpleNamespace

from tests.library.spray_shop import SprayShop

from sprayout_core.compare import edit, join
from sprayout_core.mix import parse_line, read_back
from sprayout_library.record import Writer, now_text, panel_facts
from sprayout_library.record.formulas import mix_changes

NM = list(range(400, 701, 10))
ANGLES = ("45as110", "45as15", "45as25", "45as45", "45as75")


def spectrum(height, middle, low=0.05, scale=1.0):
    return [round(scale * (low + height * math.exp(-(((nm - middle) / 70) ** 2))), 4) for nm in NM]


def reading(writer, panel, facts, step=None):
    measured = [
        {"geometry": geometry, "spectrum": {"start_nm": 400, "end_nm": 700, "step_nm": 10, "values": values}}
        for geometry, values in facts
    ]
    made = {"panel": panel.id, "stage": {"surface": "bare"}, "grade": "spectrum", "measured": measured}
    return writer.new("reading", made | ({"step": step} if step else {}))


def pages_shop(folder, monkeypatch):
    """A shop with everything the pages show; its members by name."""
    shop = SprayShop(folder, monkeypatch)
    writer = shop.writer
    shop.stock(weak_teal="dye", strong_teal="dye", violet_dye="dye", clear_carrier="carrier")
    shop.stock(bright_aluminium="metallic", bronze="metallic", graphite="metallic")
    shop.material("two-pack gloss", "clear", cautions=["isocyanate", "solvent"])
    kelp = shop.mix("Kelp glass = 5 weak teal : 2 strong teal")
    bodied = shop.mix("Kelp glass bodied = 9 clear carrier : 2 Kelp glass")
    dusk = shop.mix("Dusk violet = 4 violet dye : 1 strong teal")
    kelp_fade = shop.recipe(
        "Kelp fade",
        ["bright aluminium", "bronze", "graphite"],
        ["5 Kelp glass bodied, laid medium, dry to matt"],
        "two-pack gloss",
    )
    dusk_fade = shop.recipe("Dusk fade", ["bright aluminium"], ["4 to 5 Dusk violet, laid wet"])
    grounds = [shop.names.find(name, "material").id for name in ("bright aluminium", "bronze", "graphite")]
    saved, panels = [], {}
    looks = ((0.45, 520, 1.0), (0.28, 530, 0.8), (0.12, 520, 0.5))
    for place, (ground, (height, middle, scale)) in enumerate(zip(grounds, looks, strict=True), 1):
        facts = panel_facts(kelp_fade, ground, shop.store.find, label=f"KF-{place}", title=f"KF-{place}",
                            sprayed_at=shop.tick(), stage={"surface": "bare"})  # fmt: skip
        panels[f"KF-{place}"] = made = writer.new("panel", facts)
        saved += [made, reading(writer, made, [("45:0", spectrum(height, middle, scale=scale))])]
    facts = panel_facts(kelp_fade, grounds[0], shop.store.find, label="SC-1", title="SC-1", sprayed_at=shop.tick(),
                        steps={"0": 0, "2": 2, "4": 4, "6": 6})  # fmt: skip
    panels["SC-1"] = card = writer.new("panel", facts)
    saved.append(card)
    for step in (0, 2, 4, 6):
        values = [round(0.62 * math.exp(-0.42 * step * (1 - math.exp(-(((nm - 510) / 80) ** 2)))), 4) for nm in NM]
        saved.append(reading(writer, card, [("45:0", values)], str(step)))
    facts = panel_facts(dusk_fade, grounds[0], shop.store.find, label="DV-1", title="DV-1", sprayed_at=shop.tick(),
                        shape="flat")  # fmt: skip
    panels["DV-1"] = made = writer.new("panel", facts)
    scales = dict(zip(("45as15", "45as25", "45as45", "45as75", "45as110"), (1.5, 1.0, 0.6, 0.35, 0.25), strict=True))
    facts = [(angle, spectrum(0.4, 430, 0.08, scales[angle])) for angle in sorted(scales)]
    saved += [made, reading(writer, made, facts)]
    facts = panel_facts(dusk_fade, grounds[0], shop.store.find, label="DV-2", title="DV-2", sprayed_at=shop.tick())
    panels["DV-2"] = made = writer.new("panel", facts)
    saved.append(made)
    writer.save(saved, "pieces")
    cup = shop.cup(bodied, ("clear carrier", "90 ml"), ("weak teal", "14 ml"), ("strong teal", "6 ml"), label="C1")
    _two_answers(shop, kelp)
    shop.store.refresh()
    return SimpleNamespace(shop=shop, folder=shop.folder / "lib", grounds=grounds, panels=panels, kelp=kelp,
                           bodied=bodied, dusk=dusk, kelp_fade=kelp_fade, dusk_fade=dusk_fade, cup=cup)  # fmt: skip


def _two_answers(shop, kelp):
    """Two shops change other parts of one mix, apart; their copies meet."""
    at = now_text(shop.now)
    held = shop.get(kelp.id)
    changes = [mix_changes(held, read_back(parse_line(f"Kelp glass = {line}")), shop.names)
               for line in ("8 weak teal : 5 strong teal", "7 weak teal : 4 strong teal")]  # fmt: skip
    ours = shop.writer.edited(held, changes[0])
    theirs = edit(held, "q7m2xa", changes[1], at)
    shop.writer.save([join(ours, theirs)], "brought together")


def table(rows):
    """An export with a decimal comma and percent, as bytes; `rows` are (name, values as factors)."""
    lines = [";".join(["Piece", *(str(nm) for nm in NM)])]
    lines += [";".join([name, *(f"{value * 100:.2f}".replace(".", ",") for value in values)]) for name, values in rows]
    return "\r\n".join([*lines, ""]).encode()


__all__ = ["NM", "Writer", "pages_shop", "reading", "spectrum", "table"]
