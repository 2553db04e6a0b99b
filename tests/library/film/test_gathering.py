"""What is learned from: what was really sprayed and how it was read, never a mean of two states, never a lost pearl."""

import copy
import shutil
from datetime import UTC, datetime

import numpy as np
import pytest

from sprayout_core.documents import tree
from sprayout_library.film.gathering import gathered
from sprayout_library.record import Writer, panel_facts
from sprayout_library.record.names import Names
from sprayout_library.store import Store


@pytest.fixture
def shop(pearl_folder, tmp_path, monkeypatch):
    """A copy of the pearl shop's library that a test may change, open, with a way to write to it."""
    monkeypatch.setenv("SPRAYOUT_HOME", str(tmp_path / "machine"))
    shutil.copytree(pearl_folder, tmp_path / "shop")
    with Store.open(tmp_path / "shop") as store:
        yield store, Writer(store, "ada", clock=lambda: datetime(2026, 3, 2, tzinfo=UTC))


def panel_named(store, label):
    return next(one for one in store.documents("panel") if one.label == label)


def again(store, writer, label, spot, turn, **members):
    """Take the reading of a spot in once more, its values turned by a function and other members set."""
    panel = panel_named(store, label)
    for reading in store.documents("reading"):
        if reading.panel == panel.id and (reading.step, reading.zone) == spot:
            facts = {name: copy.deepcopy(value) for name, value in tree(reading).items()}
            facts = {
                name: facts[name] for name in ("panel", "step", "zone", "stage", "grade", "measured") if name in facts
            }
            spectrum = facts["measured"][0]["spectrum"]
            spectrum["values"] = [round(float(turn(value)), 5) for value in spectrum["values"]]
            for name, value in members.items():
                facts["measured"][0].update({name: value}) if name == "geometry" else facts.update({name: value})
            writer.save([writer.new("reading", facts)], "once more")
            store.refresh()
            return
    raise AssertionError(spot)


def steps_of(store, label):
    return {
        (step.ground.name, step.coats, step.geometry): step for step in gathered(store).steps if step.panel == label
    }


def test_bare_and_cleared_readings_of_a_step_are_never_averaged(shop):
    store, writer = shop
    key = ("silver", 2, "45:0")
    before = steps_of(store, "V-S")[key].reading
    again(store, writer, "V-S", ("2", None), lambda value: value + 0.05, stage={"surface": "bare"})
    assert np.array_equal(steps_of(store, "V-S")[key].reading, before)
    assert not gathered(store).bare


def test_a_step_read_bare_alone_is_told(shop):
    store, writer = shop
    panel = panel_named(store, "V-S")
    facts = {name: value for name, value in tree(panel).items() if name not in ("format", "id", "kind", "provenance")}
    new = writer.new("panel", facts | {"label": "V-B", "title": "V-B"})
    reading = next(one for one in store.documents("reading") if (one.panel, one.step) == (panel.id, "2"))
    members = {name: value for name, value in tree(reading).items() if name in ("step", "grade", "measured")}
    writer.save([new, writer.new("reading", members | {"panel": new.id, "stage": {"surface": "bare"}})], "bare")
    store.refresh()
    assert gathered(store).bare == {"V-B"}


def cup_and_panel(store, writer, really):
    """A cup of Damson that really holds these parts by volume, and a panel sprayed from it; what was learned of it."""
    from sprayout_library.record.batches import Really, batch_facts

    names = Names(store)
    recipe = next(one for one in store.documents("recipe") if one.name == "Violet neat wall")
    formula = store.get(names.find("Damson", "formula").id)
    from fractions import Fraction

    poured = [Really("material", names.find(name, "material").id, Fraction(ml), "ml") for name, ml in really.items()]
    batch = writer.new("batch", batch_facts(formula, store.find, poured, label="C1", at="2026-03-02T09:00:00Z"))
    from sprayout_core.documents import SprayedCoat

    coat = SprayedCoat(formula=formula.id, count="2", batch=batch.id)
    ground = next(iter(recipe.grounds.values())).id
    facts = panel_facts(recipe, ground, store.find, [coat], label="D-1", title="D-1", stage={"surface": "cleared"})
    panel = writer.new("panel", facts)
    like = next(
        one for one in store.documents("reading") if (one.panel, one.step) == (panel_named(store, "V-S").id, "2")
    )
    members = {name: value for name, value in tree(like).items() if name in ("stage", "grade", "measured")}
    writer.save([batch, panel, writer.new("reading", members | {"panel": panel.id})], "from a cup")
    store.refresh()
    return steps_of(store, "D-1")[("silver", 2, "45:0")].shares


def test_what_was_really_poured_counts_not_what_was_meant(shop):
    shares = cup_and_panel(*shop, {"violet": 60, "moss": 20})  # Damson is 5 to 2
    assert shares == pytest.approx({"violet": 0.75, "moss": 0.25})


def test_pearl_in_grams_per_litre_is_part_of_what_was_sprayed(shop, sit_down, tmp_path):
    store, _ = shop
    typed = sit_down(tmp_path, "--library", str(tmp_path / "shop"))
    assert typed("material", "moon pearl", "--density", "3")[0] == 0
    assert typed("mix", "Glow = 1 violet : 1 moss, 300 g/l moon pearl")[0] == 0
    assert typed("recipe", "Glow wall", "--over", "silver", "--coat", "2 Glow")[0] == 0
    assert typed("panel", "Glow wall", "--label", "G-1", "--stage", "cleared")[0] == 0
    assert typed("mix", "Glow = 1 violet : 1 moss, 30 g/l moon pearl")[0] == 0
    store.refresh()
    writer = Writer(store, "ada")
    like = next(
        one for one in store.documents("reading") if (one.panel, one.step) == (panel_named(store, "V-S").id, "2")
    )
    members = {name: value for name, value in tree(like).items() if name in ("stage", "grade", "measured")}
    writer.save([writer.new("reading", members | {"panel": panel_named(store, "G-1").id})], "read")
    store.refresh()
    shares = steps_of(store, "G-1")[("silver", 2, "45:0")].shares
    # 300 g of 3 g/ml is 100 ml beside 1,000 ml; the mix as it was sprayed, not as it stands now
    assert shares == pytest.approx({"violet": 5 / 11, "moss": 5 / 11, "moon pearl": 1 / 11})


def test_one_wrong_reading_of_a_ground_costs_that_ground_alone(shop):
    store, writer = shop
    for step in ("0", "2"):
        again(store, writer, "V-S", (step, None), lambda value: 0.02 * value, geometry="di:8")
    found = gathered(store)
    assert "di:8" not in next(one for one in found.grounds.values() if one.name == "silver").readings
    assert any("specular excluded" in reason for _, reason in found.left_out)
    assert len(steps_of(store, "V-S")) == 3
