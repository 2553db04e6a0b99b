"""Texts of two states joined by what differs give the text of the whole join, along every row of edits."""

import random

import pytest
from tests.core.compare.test_growing import states

from sprayout_core.compare import join_trees
from sprayout_core.documents import KINDS, stored
from sprayout_library.sync.apart import joined_texts


def hold(seed, kind):
    rng = random.Random(f"apart {kind} {seed}")
    found = [plain for _, plain in states(rng, kind, 9)]
    for one in found:
        for other in found:
            whole = join_trees(one, other)
            assert joined_texts(stored(one), stored(other)) == stored(whole)
    return sum("questions" in plain for plain in found)


@pytest.mark.parametrize("kind", KINDS)
def test_what_differs_is_enough(kind):
    for seed in range(2):
        hold(seed, kind)


def test_questions_are_among_what_was_joined():
    assert sum(hold(seed, "formula") for seed in range(4, 7)) > 3


@pytest.mark.long
@pytest.mark.parametrize("kind", KINDS)
def test_what_differs_is_enough_in_many_histories(kind):
    for seed in range(10, 150):
        hold(seed, kind)


def test_a_document_that_is_not_laid_out_as_ours_is_joined_all_the_same():
    one, other = (plain for _, plain in states(random.Random(3), "formula", 1))
    assert joined_texts(stored(one).replace(b"\n", b"\n "), stored(other)) == stored(join_trees(one, other))
