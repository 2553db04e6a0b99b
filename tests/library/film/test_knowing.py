"""What a library teaches: learned once, kept by what it was learned from, made anew when anything of that changed."""

import shutil
from dataclasses import fields

import numpy as np
import pytest

import sprayout_core.film
from sprayout_core.film import Learned
from sprayout_library.cli.main import run
from sprayout_library.film import keeping, knowing
from sprayout_library.film.gathering import Gathered, gathered
from sprayout_library.film.knowing import known, known_without
from sprayout_library.film.spelled import gathered_from, learned_from, spelled_gathered, spelled_learned
from sprayout_library.record.evidence import evidence_for
from sprayout_library.store import Store


def alike(one, other):
    """Whether two values are the same to the last bit, records and arrays looked into."""
    if isinstance(one, np.ndarray):
        return np.array_equal(one, other)
    if hasattr(one, "__dataclass_fields__"):
        return type(one) is type(other) and all(
            alike(getattr(one, f.name), getattr(other, f.name)) for f in fields(one)
        )
    if isinstance(one, dict):
        return list(one) == list(other) and all(alike(one[key], other[key]) for key in one)
    if isinstance(one, list | tuple):
        return len(one) == len(other) and all(map(alike, one, other))
    return one == other


@pytest.fixture
def shop(pearl_folder, tmp_path, monkeypatch):
    """A copy of the pearl shop's library that a test may change, with a machine of its own."""
    monkeypatch.setenv("SPRAYOUT_HOME", str(tmp_path / "machine"))
    shutil.copytree(pearl_folder, tmp_path / "shop")
    return tmp_path / "shop"


@pytest.fixture
def learnings(monkeypatch):
    """How often anything was learned or gathered; learning leaves no panels out here, to be quick."""
    done = []
    learn, gather = sprayout_core.film.learn_quickly, gathered

    def counted_learn(*words, **named):
        done.append("learned")
        return learn(*words, **named)

    def counted_gather(store):
        done.append("gathered")
        return gather(store)

    monkeypatch.setattr(sprayout_core.film, "learn", counted_learn)
    monkeypatch.setattr(knowing, "gathered", counted_gather)
    return done


def asked(shop):
    with Store.open(shop) as store:
        return known(store)


def test_what_was_learned_is_spelled_whole(shop):
    with Store.open(shop) as store:
        found = known(store)
        assert alike(gathered_from(*spelled_gathered(found.gathered)), found.gathered)
        assert alike(learned_from(*spelled_learned(found.learned)), found.learned)
    assert {one.name for one in fields(Gathered)} <= set(spelled_gathered(found.gathered)[0])
    facts, arrays = spelled_learned(found.learned)
    assert {one.name for one in fields(Learned)} == facts.keys() | arrays.keys()


def test_the_second_look_learns_nothing(shop, learnings):
    first = asked(shop)
    assert learnings == ["gathered", "learned"]
    second = asked(shop)
    assert learnings == ["gathered", "learned"]
    assert alike(first.learned, second.learned) and alike(first.gathered, second.gathered)


def test_a_damaged_file_is_made_anew(shop, learnings):
    first = asked(shop)
    for path in keeping.folder().iterdir():
        path.write_bytes(path.read_bytes()[:-7])
    again = asked(shop)
    assert learnings == ["gathered", "learned"] * 2
    assert alike(first.learned, again.learned)


def test_facts_of_another_shape_are_made_anew(shop, learnings, monkeypatch):
    asked(shop)
    monkeypatch.setattr(knowing, "kept", lambda key: ({"dyes": 3}, {}))
    asked(shop)
    assert learnings == ["gathered", "learned"] * 2


def test_a_word_changed_elsewhere_costs_no_learning(shop, learnings):
    asked(shop)
    assert run(["--library", str(shop), "--by", "ada", "note", "Damson", "stir well"]) == 0
    asked(shop)
    assert learnings == ["gathered", "learned", "gathered"]


def test_a_panel_taken_out_of_use_is_learned_from_no_more(shop, learnings):
    first = asked(shop)
    assert run(["--library", str(shop), "--by", "ada", "withdraw", "X-C"]) == 0
    again = asked(shop)
    assert learnings == ["gathered", "learned"] * 2
    assert again.learned.panels_of["violet"] < first.learned.panels_of["violet"]


def test_other_code_learns_anew(shop, learnings, monkeypatch):
    asked(shop)
    monkeypatch.setattr(keeping, "edition", lambda: "0" * 64)
    asked(shop)
    assert learnings == ["gathered", "learned"] * 2


def test_nothing_derived_enters_the_library(shop):
    before = {path: path.read_bytes() for path in shop.rglob("*") if path.is_file()}
    asked(shop)
    assert {path: path.read_bytes() for path in shop.rglob("*") if path.is_file()} == before


def test_panels_are_left_out_of_what_is_known(shop):
    with Store.open(shop) as store:
        whole = known(store)
        new = [key for key, name in whole.gathered.called.items() if name.startswith("NEW")]
        without = known_without(store, new)
    assert without.learned.panels_of["violet"] == whole.learned.panels_of["violet"] - len(new)
    assert {one.panel for one in whole.learned.suspects} == {"NEW-1", "NEW-2"}
    assert not without.learned.suspects


def test_a_cards_fields_serve_every_panel_of_it(shop):
    with Store.open(shop) as store:
        found = gathered(store)
    assert "white of contrast card" in {ground.name for ground in found.grounds.values()}
    assert "OLD" in {step.panel for step in found.steps}, "OLD itself was never read without coats"
    assert not found.left_out


def test_a_withdrawn_or_superseded_reading_teaches_nothing(shop):
    with Store.open(shop) as store:
        evidence = evidence_for(store, "panel", "reading")
        whole = len(gathered(store, evidence).steps)
        panel, readings = next((key, each) for key, each in evidence.readings.items() if len(each) > 2)
        first = next(one for one in readings if one.step not in (None, "0"))
        place = readings.index(first)
        readings[place] = first.model_copy(update={"withdrawn": {first.made.partition(".")[0]: 1}})
        without = len(gathered(store, evidence).steps)
        readings[place] = first
        again = first.model_copy(update={"id": "01900000-0000-8000-8000-00000000000a", "supersedes": first.id})
        readings.append(again)
        assert len(gathered(store, evidence).steps) == whole, panel
    assert without < whole
