"""Trees that meet give what taking every file by itself gives, whichever folders each side changed."""

import random

import pytest

from sprayout_library.store.errors import DamagedError
from sprayout_library.store.objects import EMPTY_TREE, FILE, Pile, entry, object_id, tree_bytes
from sprayout_library.store.trees import changed_tree
from sprayout_library.sync.meeting import Meeting


class Held:
    """Trees in memory, and a pile that only keeps them."""

    def __init__(self):
        self.trees = {}
        self.added = {}

    def add(self, kind, content):
        name = object_id(kind, content)
        self.added[name] = content
        if kind == "tree":
            self.trees[name] = content
        return name

    def read(self, names):
        return {name: self.trees[name] for name in names if name in self.trees}

    def tree(self, files):
        return changed_tree(self.read, EMPTY_TREE, {path: blob(text) for path, text in files.items()}, self)


def blob(text):
    return object_id("blob", text.encode())


def path(rng):
    return f"{rng.choice(('formula', 'panel'))}/{rng.choice('ab')}a/{rng.choice('abc')}b/{rng.randrange(3)}.json"


def world(rng):
    """A base and two sides that only add and change, each file a text."""
    base = {path(rng): "base" for _ in range(rng.randrange(8))}
    sides = []
    for _ in range(2):
        sides.append(base | {path(rng): rng.choice(("one", "two", "three")) for _ in range(rng.randrange(6))})
    return base, *sides


def joined(one, other):
    return "+".join(sorted({one, other}))


def expected(base, ours, theirs):
    files = dict(ours)
    for name, text in theirs.items():
        if text != base.get(name):
            mine = ours.get(name)
            files[name] = text if mine in (None, base.get(name)) else mine if mine == text else joined(mine, text)
    return files


def met(held, base, ours, theirs):
    known = {blob(text): text for text in ("base", "one", "two", "three")}

    def join(pairs, made):
        for one, other in pairs:
            yield joined(known[one], known[other]).encode()

    meeting = Meeting(held.read, join)
    return meeting, meeting.met(held.tree(base), held.tree(ours), held.tree(theirs))


def test_trees_meet_as_their_files_would():
    rng = random.Random(11)
    for _ in range(400):
        held = Held()
        base, ours, theirs = world(rng)
        meeting, tree = met(held, base, ours, theirs)
        wanted = Held()
        assert tree == wanted.tree(expected(base, ours, theirs))
        held.added.clear()
        meeting.keep(tree, held)
        assert set(held.added) <= set(wanted.added) | set(meeting.blobs)
        assert set(wanted.trees) <= set(held.trees)  # nothing that the result needs is missing


def test_a_folder_that_one_side_changed_is_not_read():
    held = Held()
    base = {"formula/aa/ab/0.json": "base", "panel/aa/ab/0.json": "base"}
    ours, theirs = base | {"formula/aa/ab/1.json": "one"}, base | {"panel/aa/ab/1.json": "two"}
    asked = []
    meeting = Meeting(lambda names: asked.extend(names) or held.read(names), lambda pairs, made: ())
    tree = meeting.met(held.tree(base), held.tree(ours), held.tree(theirs))
    assert tree == held.tree(base | ours | theirs)
    assert sorted(asked) == sorted({held.tree(base), held.tree(ours), held.tree(theirs)})


def test_a_tree_that_is_missing_or_of_another_shape_is_told():
    held = Held()
    ours = held.tree({"formula/aa/ab/0.json": "one"})
    with pytest.raises(DamagedError, match="is missing"):
        Meeting(held.read, lambda pairs, made: ()).met(EMPTY_TREE, ours, "0" * 40)
    odd = held.add("tree", tree_bytes({b"formula": entry(FILE, blob("two"))}))
    with pytest.raises(DamagedError, match="a file and a folder"):
        Meeting(held.read, lambda pairs, made: ()).met(EMPTY_TREE, ours, odd)


def test_what_was_made_on_the_way_is_not_written():
    held = Held()
    base, ours, theirs = {}, {"formula/aa/ab/0.json": "one"}, {"formula/aa/ab/0.json": "two"}
    meeting, tree = met(held, base, ours, theirs)
    with Pile() as pile:
        meeting.keep(ours_tree := held.tree(ours), pile)
        assert len(pile) == 0
        meeting.keep(tree, pile)
        assert len(pile) == 5  # a document, two folders of letters, its kind and the whole
    assert ours_tree != tree
