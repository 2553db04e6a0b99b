"""Packets: what goes in, what taking in does, and the laws under any order, twice, and through a third shop."""

import json
import random

import pytest
from tests.library.shops import Add, Put, git, state

from sprayout_core.documents import stored, tree, write
from sprayout_library.packet import Fate, gathered, look, packet_bytes, read_packet, referred, take


def label(identity):
    return f"…{identity[-6:]}"


@pytest.fixture
def kelp(bench):
    """A shop with a recipe over one ground, its mix in a mix, a panel, and things that do not belong to it."""
    store = bench.shop("a")
    teal, water = bench.material(store, "Weak teal"), bench.material(store, "Water white")
    silver, other = bench.material(store, "Silver"), bench.material(store, "Not in it")
    neat = bench.formula(store, "Kelp neat", {teal.id: 5, water.id: 2})
    bodied = bench.made(
        store,
        "formula",
        {
            "title": "Kelp bodied",
            "mix": {
                "basis": "volume",
                "items": {neat.id: {"kind": "formula", "ratio": 2}, water.id: {"kind": "material", "ratio": 9}},
            },
        },
    )
    recipe = bench.made(
        store,
        "recipe",
        {
            "title": "Kelp",
            "grounds": [{"kind": "material", "id": silver.id}],
            "coats": [{"formula": bodied.id, "count": "5"}],
        },
    )
    bench.save(store, teal, water, silver, other, neat, bodied, recipe)
    return store, recipe


def packed(store, folder, *documents, name="p.packet"):
    packet = gathered(store, documents, {"by": "ada"}, label, {})
    path = folder / name
    path.write_bytes(packet_bytes(packet))
    return path


def taken(bench, store, path):
    looked = look(store, read_packet(path), label)
    return looked, take(store, looked, "bo", bench.tick())


def heads(store):
    return git(store.folder, "for-each-ref")


def test_a_packet_holds_what_is_needed_and_nothing_else(kelp, tmp_path):
    store, recipe = kelp
    packet = read_packet(packed(store, tmp_path, recipe))
    assert sorted(one.name for one in packet.documents.values()) == [
        "Kelp", "Kelp bodied", "Kelp neat", "Silver", "Water white", "Weak teal",
    ]  # fmt: skip
    assert packet.about == (recipe.id,)
    for document in packet.documents.values():
        assert write(document) == store.content(document.id)
        assert referred(tree(document)) <= packet.documents.keys()


def test_the_text_of_a_packet_is_a_fixed_point(kelp, tmp_path):
    store, recipe = kelp
    path = packed(store, tmp_path, recipe)
    assert packet_bytes(read_packet(path)) == path.read_bytes()


def test_taken_in_it_reads_the_same_byte_for_byte_and_twice_is_nothing(bench, kelp, tmp_path):
    store, recipe = kelp
    other = bench.shop("b")
    path = packed(store, tmp_path, recipe)
    looked, written = taken(bench, other, path)
    assert {one.fate for one in looked.seen} == {Fate.NEW}
    assert all(state(store)[name] == content for name, content in state(other).items())
    [version] = other.history(recipe.id)
    assert (version.what, version.author, version.commit) == ("packet", "bo", written.commit)
    before = heads(other)
    looked, written = taken(bench, other, path)
    assert written is None
    assert {one.fate for one in looked.seen} == {Fate.SAME}
    assert heads(other) == before


def test_older_is_nothing_and_newer_is_taken(bench, kelp, tmp_path):
    store, recipe = kelp
    other = bench.shop("b")
    first = packed(store, tmp_path, recipe, name="first")
    bench.edit(store, recipe.id, Put("title", "Kelp, anew"))
    second = packed(store, tmp_path, store.get(recipe.id), name="second")
    taken(bench, other, second)
    before = heads(other)
    looked, written = taken(bench, other, first)
    assert (written, heads(other)) == (None, before)
    assert [one.document.id for one in looked.of(Fate.OLDER)] == [recipe.id]
    third = bench.shop("c")
    taken(bench, third, first)
    looked, _ = taken(bench, third, second)
    assert [one.document.id for one in looked.of(Fate.NEWER)] == [recipe.id]
    assert state(third) == state(other)


def test_two_edits_of_one_mix_are_two_answers(bench, kelp, tmp_path):
    store, recipe = kelp
    other = bench.shop("b")
    taken(bench, other, packed(store, tmp_path, recipe))
    [neat] = [one for one in store.documents("formula") if one.title == "Kelp neat"]
    items = tree(neat)["mix"]["items"]
    first, second = sorted(items)
    for shop, name, ratio in ((store, first, 11), (other, second, 13)):
        bench.edit(
            shop, neat.id, Put("mix", {"basis": "volume", "items": {**items, name: {**items[name], "ratio": ratio}}})
        )
    looked, _ = taken(bench, other, packed(store, tmp_path, store.get(recipe.id), name="again"))
    [asked] = looked.of(Fate.ANSWERS)
    assert (asked.document.id, asked.asked) == (neat.id, ("mix",))
    assert other.get(neat.id).mix.items is None


def test_tags_of_both_sides_join_without_a_question(bench, kelp, tmp_path):
    store, recipe = kelp
    other = bench.shop("b")
    taken(bench, other, packed(store, tmp_path, recipe))
    bench.edit(store, recipe.id, Add("tags", "glass"))
    bench.edit(other, recipe.id, Add("tags", "deep"))
    looked, _ = taken(bench, other, packed(store, tmp_path, store.get(recipe.id), name="again"))
    assert [one.document.id for one in looked.of(Fate.JOINED)] == [recipe.id]
    assert set(other.get(recipe.id).tags.values()) == {"glass", "deep"}


def test_looking_changes_nothing(bench, kelp, tmp_path):
    store, recipe = kelp
    other = bench.shop("b")
    path = packed(store, tmp_path, recipe)
    before = heads(other)
    look(other, read_packet(path), label)
    assert heads(other) == before


def test_what_is_not_in_the_packet_is_a_gap(bench, kelp, tmp_path):
    store, recipe = kelp
    looked = look(bench.shop("b"), read_packet(packed(store, tmp_path, recipe)), label)
    asked = {gap.question for gap in looked.gaps}
    assert "what colour is this ground? it has no reading" in asked
    assert "which lot was it?" in asked
    assert "laid mist, medium or wet?" in asked


def test_what_came_by_packet_goes_on_by_sync(bench, kelp, tmp_path):
    store, recipe = kelp
    other = bench.joined("b")
    taken(bench, other, packed(store, tmp_path, recipe))
    assert not bench.sync(other).refused
    third, report = bench.clone("c")
    assert not report.refused
    assert state(third) == state(other)
    bench.edit(third, recipe.id, Put("title", "Kelp, from the third shop"))
    back = packed(third, tmp_path, third.get(recipe.id), name="back")
    looked, _ = taken(bench, store, back)
    assert [one.document.id for one in looked.of(Fate.NEWER)] == [recipe.id]


def random_days(bench, folder, seed, days):
    """Three shops edit one recipe and its mix and hand packets round, in any order, some twice, some late."""
    chance = random.Random(seed)
    stores = [bench.shop(f"{seed}-{name}") for name in "abc"]
    teal, water = bench.material(stores[0], "Weak teal"), bench.material(stores[0], "Water white")
    mix = bench.formula(stores[0], "Kelp", {teal.id: 5, water.id: 2})
    bench.save(stores[0], teal, water, mix)
    path = packed(stores[0], folder, mix, name=f"{seed}-start")
    for other in stores[1:]:
        taken(bench, other, path)
    post = []
    for day in range(days):
        store = chance.choice(stores)
        if chance.random() < 0.5:
            items = {
                teal.id: {"kind": "material", "ratio": 2 * chance.randint(1, 9) - 1},
                water.id: {"kind": "material", "ratio": 2},
            }
            change = chance.choice(
                [
                    Put("mix", {"basis": "volume", "items": items}),
                    Add("tags", f"tag {day}"),
                    Put("title", f"Kelp {day}"),
                ]
            )
            bench.edit(store, mix.id, change)
        elif chance.random() < 0.5 or not post:
            post.append(packed(store, folder, store.get(mix.id), name=f"{seed}-{day}"))
        else:
            taken(bench, store, chance.choice(post))
    last = [packed(store, folder, store.get(mix.id), name=f"{seed}-last-{place}") for place, store in enumerate(stores)]
    for store in stores:
        for path in chance.sample(last + post, len(last + post)):
            taken(bench, store, path)
    return stores, last + post


@pytest.mark.parametrize("seed", [1])
def test_packets_in_any_order_end_in_one_state(bench, tmp_path, seed):
    stores, packets = random_days(bench, tmp_path, seed, 8)
    assert state(stores[0]) == state(stores[1]) == state(stores[2])
    before = heads(stores[0])
    assert taken(bench, stores[0], packets[0])[1] is None
    assert heads(stores[0]) == before


@pytest.mark.long
@pytest.mark.parametrize("seed", range(10, 22))
def test_many_days_of_packets_end_in_one_state(bench, tmp_path, seed):
    stores, _ = random_days(bench, tmp_path, seed, 60)
    assert state(stores[0]) == state(stores[1]) == state(stores[2])


def test_a_packet_that_only_counts_more_edits_changes_nothing(bench, kelp, tmp_path):
    """A count that is too high would make this library pass over edits to come."""
    store, recipe = kelp
    other = bench.shop("b")
    path = packed(store, tmp_path, recipe)
    taken(bench, other, path)
    plain = json.loads(path.read_bytes())
    for document in plain["documents"]:
        document["seen"][store.copy_id] += 100
    path.write_bytes(stored(plain))
    before = heads(other)
    looked, made = taken(bench, other, path)
    assert made is None
    assert not looked.changing
    assert heads(other) == before
