"""Golden documents of edition 1.0, by role: they open for ever, in one spelling, and join to the same bytes."""

from pathlib import Path

import pytest

from sprayout_core.compare import apply, changes, join
from sprayout_core.documents import ATOMS, FIXED, KINDS, from_tree, parse, read, tree, write

FOLDER = Path(__file__).parent / "documents"
FILES = sorted(FOLDER.glob("*.json"))
CASES = sorted({file.stem.removesuffix("--joined") for file in FILES if file.stem.endswith("--joined")})
ids = [file.stem for file in FILES]


def golden(name):
    return read((FOLDER / f"{name}.json").read_bytes())


@pytest.mark.parametrize("file", FILES, ids=ids)
def test_the_stored_form_is_a_fixed_point(file):
    text = file.read_bytes()
    document = read(text)
    assert write(document) == text
    assert write(from_tree(tree(document))) == text
    assert tree(document) == parse(text)


@pytest.mark.parametrize("case", CASES)
def test_the_states_join_in_any_order_to_the_golden_bytes(case):
    ours, theirs = golden(f"{case}--ours"), golden(f"{case}--theirs")
    joined = (FOLDER / f"{case}--joined.json").read_bytes()
    assert write(join(ours, theirs)) == joined
    assert write(join(theirs, ours)) == joined
    assert write(join(read(joined), ours)) == joined
    assert write(join(read(joined), read(joined))) == joined


@pytest.mark.parametrize("case", CASES)
def test_changes_applied_to_one_side_give_the_other(case):
    for one in ("ours", "theirs", "joined"):
        for other in ("ours", "theirs", "joined"):
            before, after = golden(f"{case}--{one}"), golden(f"{case}--{other}")
            if before.made == after.made or one != "ours":
                assert write(apply(before, changes(before, after))) == write(after)


def test_every_kind_has_a_golden_document_in_every_role():
    roles = {(golden(file.stem).kind, file.stem.partition("--")[2]) for file in FILES}
    for kind in KINDS:
        for role in ("base", "ours", "theirs", "joined"):
            assert (kind, role) in roles


def test_golden_documents_use_every_member_of_the_format():
    for kind, model in KINDS.items():
        used = {name for file in FILES if (one := golden(file.stem)).kind == kind for name in tree(one)}
        rare = {"rights", "references", "aliases", "supersedes", "title", "tags", "notes", "edits", "questions"}
        assert not set(model.model_fields) - used - rare - {"withdrawn"}, kind


def test_every_member_is_an_atom_or_fixed():
    head = {"format", "kind", "id", "made", "seen", "edits", "questions", "provenance"}
    for kind, model in KINDS.items():
        atoms = {row.member.partition("/")[0] for row in ATOMS[kind]}
        fixed = set(FIXED.get(kind, ()))
        assert not atoms & fixed, kind
        assert atoms | fixed | head == set(model.model_fields), kind


def test_an_untouched_edit_record_is_small():
    """About 90 bytes on an untouched document, 180 with two edited atoms."""
    from sprayout_core.documents import compact

    def size(document):
        return len(compact({k: v for k, v in tree(document).items() if k in ("made", "seen", "edits", "questions")}))

    base = golden("kelp-glass--base")
    assert size(base) <= 90
    assert size(golden("kelp-glass-rewritten--joined")) <= 250
