"""A state is said to have grown out of another only where joining the two makes no difference."""

import random

import pytest
from tests.core.compare.test_laws_of_every_kind import COPIES, DOCUMENTS, step

from sprayout_core.compare import Put, edit, has_grown, join, join_trees
from sprayout_core.documents import FIXED, HEAD, KINDS, read, tree, write
from sprayout_core.errors import SprayoutError


def states(rng, kind, steps=10):
    """Every state of one document that a row of edits and joins in three copies leads to, and who made it last."""
    base = rng.choice(DOCUMENTS[kind])
    held = dict.fromkeys(COPIES, base)
    found = [(COPIES[0], base)]
    for number in range(steps):
        copy = rng.choice(COPIES)
        if rng.random() < 0.3:
            after = join(held[copy], held[rng.choice(COPIES)])
        else:
            after = step(rng, held[copy], copy, f"2026-04-01T00:00:{number:02d}Z")
        held[copy] = read(write(after))
        found.append((copy, held[copy]))
    return [(copy, tree(document)) for copy, document in found]


def differing(older, newer):
    """What two states differ in, as `has_grown` is given it."""
    names = {name for name in {**older, **newer} if older.get(name) != newer.get(name)} | {"seen", "edits"}
    return [{name: value for name, value in plain.items() if name in names} for plain in (older, newer)]


def contains(newer, older):
    try:
        return join_trees(older, newer) == newer
    except SprayoutError:
        return False


def fits(older, newer):
    """Whether `has_grown` may be asked: the same facts written once, and nothing in question."""
    fixed = (*HEAD, "made", *FIXED.get(older["kind"], ()))
    return "questions" not in {**older, **newer} and all(older.get(name) == newer.get(name) for name in fixed)


def hold(seed, kind):
    rng = random.Random(f"{kind} {seed}")
    found = states(rng, kind)
    said = known = 0
    for older in found:
        for newer in found:
            if fits(older[1], newer[1]):
                grown = has_grown(kind, newer[1]["made"], *differing(older[1], newer[1]))
                whole = contains(newer[1], older[1])
                assert whole or not grown, (older, newer)
                said += grown
                known += whole
    return said, known


@pytest.mark.parametrize("kind", KINDS)
def test_no_state_is_said_to_have_grown_that_does_not_contain_the_other(kind):
    found = [hold(seed, kind) for seed in range(6)]
    said, known = map(sum, zip(*found, strict=True))
    assert 0.9 * known <= said <= known


@pytest.mark.long
@pytest.mark.parametrize("kind", KINDS)
def test_many_states_are_told_apart(kind):
    for seed in range(10, 400):
        hold(seed, kind)


def test_what_was_edited_cannot_pass_for_never_edited():
    base = DOCUMENTS["formula"][0]
    once = edit(base, COPIES[0], [Put("title", "Another glass")], "2026-04-01T00:00:00Z")
    twice = edit(once, COPIES[0], [Put("rights", "ask first")], "2026-04-01T00:00:01Z")
    older, newer = tree(once), tree(twice)
    newer["edits"] = {name: dots for name, dots in newer["edits"].items() if name != "title"}
    assert not contains(newer, older)
    assert not has_grown("formula", older["made"], *differing(older, newer))


def test_an_edit_has_grown_and_what_was_edited_has_not():
    older = DOCUMENTS["formula"][0]
    newer = tree(edit(older, COPIES[0], [Put("title", "Another glass")], "2026-04-01T00:00:00Z"))
    older = tree(older)
    lost = {name: value for name, value in newer.items() if name != "title"}
    assert has_grown("formula", older["made"], *differing(older, newer))
    assert not has_grown("formula", older["made"], *differing(newer, lost))  # the value of a live edit is gone
    assert has_grown("formula", older["made"], *differing(older, newer))
    assert not has_grown("formula", older["made"], *differing(newer, older))
    for tampered in (
        {**newer, "title": "Third glass", "edits": older.get("edits", {})},  # another value under an old edit
        {**newer, "edits": {**newer["edits"], "rights": {f"{COPIES[0]}.1": "2026-04-01T00:00:00Z"}}},  # an old edit
        {name: value for name, value in newer.items() if name != "notes"} | {"tags": {f"{COPIES[0]}.1": "teal"}},
        {name: value for name, value in newer.items() if name != "spray_ready"},  # gone without an edit
        {**newer, "notes": {f"{COPIES[0]}.1": {"text": "back again"}}},  # an item that was taken out comes back
    ):
        assert not has_grown("formula", older["made"], *differing(older, tampered))
