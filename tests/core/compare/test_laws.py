"""The laws of joining, on random histories: any order, the same bytes; nothing live lost, nothing replaced back."""

import functools
import itertools
import random

import pytest
from tests.core.compare.histories import live, play, stored_and_read

from sprayout_core.compare import join
from sprayout_core.documents import tree, write

CASES = {
    "plain, two shops": {"shops": 2},
    "plain, three shops": {"shops": 3},
    "plain, four shops": {"shops": 4, "steps": 18},
    "copied library with its guard": {"shops": 2, "copied": True},
    "one id made on both sides": {"shops": 3, "doubled": True},
    "withdrawals": {"shops": 3, "withdrawals": True},
    "partial edits": {"shops": 3, "partial": True, "steps": 18},
    "all of it": {"shops": 2, "doubled": True, "copied": True, "withdrawals": True, "partial": True, "steps": 20},
}


def broken(seed, case):
    """Return what broke in this history, in words, or nothing."""
    states, oracle = play(random.Random(seed), **case)
    documents = list(states.values())
    joined = [functools.reduce(_join, order) for order in itertools.permutations(documents)]
    texts = {write(one) for one in joined}
    if len(texts) != 1:
        return "the order of joining shows"
    whole = joined[0]
    if write(_join(whole, whole)) != write(whole) or any(write(_join(whole, one)) != write(whole) for one in documents):
        return "joining with itself or an ancestor changes it"
    pairs = [_join(x, y) for x, y in itertools.pairwise(documents)] or documents
    if write(functools.reduce(_join, pairs, whole)) != write(whole):
        return "grouping shows"
    if case.get("copied"):
        return None  # what the copied folder made under its old name is known to the oracle by that name only
    found, expected = live(whole), oracle.expected()
    for atom in found.keys() | expected.keys():
        here, wanted = found.get(atom, {}), expected.get(atom, {})
        if lost := wanted.keys() - here.keys():
            return f"{atom}: lost {lost}"
        if back := here.keys() - wanted.keys():
            return f"{atom}: came back {back}"
        if here != wanted:
            return f"{atom}: a value changed"
    return None


def _join(x, y):
    return stored_and_read(join(x, y))


@pytest.mark.parametrize("name", CASES)
def test_laws_on_some_histories(name):
    for seed in range(12):
        assert broken(seed, CASES[name]) is None, f"{name}, seed {seed}"


@pytest.mark.long
@pytest.mark.parametrize("name", CASES)
def test_laws_on_two_thousand_histories(name):
    failures = {seed: told for seed in range(2000) if (told := broken(seed, CASES[name]))}
    print(f"{name}: {len(failures)} of 2000 broken")
    assert not failures


def test_the_oracle_can_fail():
    """A join that keeps one side only must be noticed."""
    noticed = 0
    for seed in range(30):
        states, oracle = play(random.Random(seed), shops=3)
        kept = next(iter(states.values()))
        noticed += live(kept) != oracle.expected()
    assert noticed > 5


def test_a_dot_with_two_values_is_a_copied_library():
    from tests.core.compare.histories import first

    from sprayout_core.compare import CopiedLibrary, Put, edit

    base = first("aaaaaa")
    one = edit(base, "aaaaaa", [Put("title", "One")], "2026-03-03T00:00:00Z")
    other = edit(base, "aaaaaa", [Put("title", "Other")], "2026-03-03T00:00:00Z")
    before = tree(one)
    with pytest.raises(CopiedLibrary, match=r"aaaaaa\.4 has two values"):
        join(one, other)
    assert tree(one) == before


def test_a_state_that_counts_edits_nobody_made_takes_nothing_away():
    from tests.core.compare.histories import first

    from sprayout_core.compare import CopiedLibrary, Put, edit
    from sprayout_core.documents import from_tree

    base = first("aaaaaa")
    second = edit(base, "aaaaaa", [Put("title", "Another glass")], "2026-04-01T00:00:00Z")
    claimed = from_tree({**tree(base), "seen": {**base.seen, "aaaaaa": 1000}})
    for one, other in ((second, claimed), (claimed, second)):
        with pytest.raises(CopiedLibrary) as refused:
            join(one, other)
        assert "counts edits that nobody made" in refused.value.fault.remedy
        assert refused.value.fault.place.endswith("/title")
