"""Random histories of several shops through real libraries: whatever the order, everyone ends with the same.

What must hold at the end of every history, however the shops met (a hub, a second folder, sticks, packets, restored
backups, copied folders, clocks that differ by days): all hold the same bytes at the same head; joining the states of
all shops as values, in any order, gives those bytes; every remark that nobody replaced is there and no replaced one
came back; folding the heads in any order is one commit.
"""

import pytest
from tests.library.sync.judging import judge
from tests.library.sync.world import World

from sprayout_library.sync import folding

BLOCKS, EACH = 24, 100


@pytest.fixture(scope="module")
def world():
    with pytest.MonkeyPatch.context() as patch:
        world = World(patch)
        yield world
        world.close()


def test_a_few_histories(world):
    judge(world, range(3), 10)


def test_a_rule_that_loses_answers_is_found_and_told_in_few_steps(world, monkeypatch):
    monkeypatch.setattr(folding, "joined_texts", lambda ours, _: ours)
    with pytest.raises(pytest.fail.Exception, match=r"seed \d") as told:
        judge(world, range(20), 10)
    assert str(told.value).count("\n") <= 5, told.value


@pytest.mark.long
@pytest.mark.parametrize("block", range(BLOCKS))
def test_many_histories(world, block):
    """2,400 in all."""
    judge(world, range(1000 + EACH * block, 1000 + EACH * (block + 1)), 12)
