"""JSON Patch of a comparison: applied by RFC 6902's rules it gives the other side."""

import copy

import pytest
from tests.core.documents.bad import GOLDEN

from sprayout_core.compare import patch
from sprayout_core.documents import read, tree

CASES = sorted({file.stem.removesuffix("--joined") for file in GOLDEN.glob("*--joined.json")})


def applied(document, operations):
    """A document after operations, as RFC 6902, section 4, and RFC 6901, section 4, have it."""
    document = copy.deepcopy(document)
    for one in operations:
        *path, last = [token.replace("~1", "/").replace("~0", "~") for token in one["path"].split("/")[1:]]
        holder = document
        for step in path:
            holder = holder[step]
        if one["op"] == "remove":
            del holder[last]
        else:
            assert (last in holder) == (one["op"] == "replace")
            holder[last] = one["value"]
    return document


@pytest.mark.parametrize("case", CASES)
def test_a_patch_leads_from_each_state_to_each_other(case):
    states = [read((GOLDEN / f"{case}--{role}.json").read_bytes()) for role in ("ours", "theirs", "joined")]
    for before in states:
        for after in states:
            assert applied(tree(before), patch(before, after)) == tree(after)
            assert (patch(before, after) == []) == (before == after)


def test_a_note_edited_is_one_operation_with_its_slash_escaped():
    base, ours = (read((GOLDEN / f"kelp-glass--{role}.json").read_bytes()) for role in ("base", "ours"))
    paths = [one["path"] for one in patch(base, ours)]
    assert "/notes/k7f3q2.3/text" in paths
    assert "/edits" in paths
    back = [one["path"] for one in patch(ours, read((GOLDEN / "kelp-glass--joined.json").read_bytes()))]
    assert "/edits/mix~1scale" in back


def test_an_independent_package_agrees():
    jsonpatch = pytest.importorskip("jsonpatch")
    for case in CASES:
        ours, joined = (read((GOLDEN / f"{case}--{role}.json").read_bytes()) for role in ("ours", "joined"))
        assert jsonpatch.apply_patch(tree(ours), patch(ours, joined)) == tree(joined)
