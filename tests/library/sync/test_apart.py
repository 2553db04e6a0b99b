"""Joining by what differs gives what joining whole documents gives, for every kind and however they came apart."""

import itertools
import random

import pytest
from tests.core.compare.test_laws_of_every_kind import DOCUMENTS, history

from sprayout_core.compare import join_trees, renamed
from sprayout_core.documents import KINDS, copy_of, stored, tree
from sprayout_library.sync.apart import contains, joined_quickly, joined_texts


def states(kind, seed):
    """The states of three copies, and of a fourth that made the same document under the same id by itself."""
    draw = random.Random(f"apart {kind} {seed}")
    trees = [tree(document) for document in history(draw, kind)]
    first = next(tree(one) for one in DOCUMENTS[kind] if one.id == trees[0]["id"])
    alone = first if set(first["seen"]) == {copy_of(first["made"])} else trees[0]
    twin = renamed(alone, copy_of(alone["made"]), draw.choice(("a2b3c4", "zz9yxw")), 0)
    return [*trees, twin] if alone is first else trees


@pytest.mark.parametrize("kind", [kind for kind in KINDS if kind != "reading"])
def test_what_differs_joins_as_the_whole(kind):
    for seed in range(6):
        for x, y in itertools.permutations(states(kind, seed), 2):
            whole = join_trees(x, y)
            assert stored(joined_quickly(x, y)) == stored(whole)
            assert joined_texts(stored(x), stored(y)) == stored(whole)
            assert contains(whole, x)
            assert contains(x, y) == (stored(whole) == stored(x))
