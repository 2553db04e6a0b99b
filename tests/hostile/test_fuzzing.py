"""Fuzzing of the gate: whatever bytes arrive, a document is refused with words or is exactly what it says it is."""

import random

import pytest
from tests.library.shops import git, mix

from sprayout_core.documents import parse, read, stored, write
from sprayout_core.errors import SprayoutError
from sprayout_library.store import read_commit
from sprayout_library.store.layout import path_of
from sprayout_library.store.objects import read_tree, tree_bytes
from sprayout_library.sync.gate.papers import _in_stored_form, said

_PIECES = (
    b'null|NaN|1e400|-0|1.0|1e-7|0.1|1.50|9007199254740993|{|}|[|]|,|:|"|  |\n|\x00|\x7f|\xff'
    b"|\xef\xbb\xbf|\xc3\xa4|\\u0041"
)
PIECES = (*_PIECES.split(b"|"), b'"a": 1,\n  ')


def mutated(content, draw):
    content = bytearray(content)
    for _ in range(draw.choice((1, 1, 1, 2, 5))):
        place = draw.randrange(len(content) + 1)
        match draw.randrange(5):
            case 0:
                content[place : place + draw.randrange(1, 12)] = b""
            case 1:
                content[place:place] = draw.choice(PIECES)
            case 2:
                content[place : place + 1] = bytes([draw.randrange(256)])
            case 3:
                end = place + draw.randrange(40)
                content[place:place] = content[place:end]
            case 4:
                content[place : place + draw.randrange(1, 6)] = draw.choice(PIECES)
    return bytes(content)


def careful(content):
    """The long way that the quick look has to agree with."""
    value = parse(content)
    if stored(value) != content:
        raise SprayoutError("is not in the stored form")
    return value


def outcome(way, content):
    try:
        return way(content)
    except SprayoutError:
        return None


def documents(bench):
    store = bench.shop("a")
    teal = bench.material(store, "Weak teal", notes=[{"text": "first"}], tags=["candy"])
    kelp = bench.formula(store, "Kelp glass", {teal.id: 9, bench.new_id(): 2})
    assert mix({teal.id: 9})
    return [teal, kelp]


def fuzz(bench, count, seed):
    draw = random.Random(seed)
    sound = [(write(document), path_of(document.kind, document.id)) for document in documents(bench)]
    taken = 0
    for _ in range(count):
        content, path = draw.choice(sound)
        content = mutated(content, draw)
        quick, slow = outcome(_in_stored_form, content), outcome(careful, content)
        assert quick == slow, content
        try:
            value = said(content, path)
        except SprayoutError as error:
            assert str(error)
        else:
            taken += 1
            assert write(read(content)) == content
            assert stored(value) == content
    return taken


def test_mutated_documents_are_refused_or_exactly_what_they_say(bench):
    assert fuzz(bench, 1500, 1) < 1500


@pytest.mark.long
@pytest.mark.parametrize("seed", range(10))
def test_many_mutated_documents(bench, seed):
    fuzz(bench, 20_000, 100 + seed)


def test_mutated_commits_and_trees_are_refused_or_spelled_the_same(bench):
    draw = random.Random(5)
    store = bench.shop("a")
    bench.save(store, bench.material(store, "Weak teal"))
    commit = store.reader.content(store.head)
    top = store.reader.content(git(store.folder, "rev-parse", "main^{tree}"))
    for _ in range(3000):
        content = mutated(commit, draw)
        try:
            found = read_commit("0" * 40, content)
        except SprayoutError:
            pass
        else:
            from sprayout_library.store.commits import commit_bytes

            again = commit_bytes(
                found.tree, found.parents, found.author, found.committer, found.message, found.signature
            )
            assert again == content
        content = mutated(top, draw)
        try:
            entries = read_tree(content)
        except (SprayoutError, ValueError):
            continue
        assert isinstance(tree_bytes(entries), bytes)
