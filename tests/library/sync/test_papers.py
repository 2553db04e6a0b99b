"""What the gate lets pass quickly it would have let pass after the careful look: edits, joins and tampered states."""

import random

import pytest
from tests.core.compare.test_growing import states
from tests.core.compare.test_laws_of_every_kind import COPIES
from tests.core.documents.mutants import mutant, text_of

from sprayout_core.documents import KINDS, stored
from sprayout_core.errors import SprayoutError
from sprayout_library.store import FOLD_RULES, Commit, Person
from sprayout_library.store.layout import path_of
from sprayout_library.sync.apart import decoded
from sprayout_library.sync.gate.papers import passes_quickly, said, seen_fault

NOBODY = Person("someone", "someone@example.invalid", 0)


def commit(copy, what="edit", rules=FOLD_RULES):
    return Commit("0" * 40, "0" * 40, (), NOBODY, NOBODY, "", what, rules, copy, "")


def passes_carefully(commit, path, old, new):
    before = decoded(old) if old is not None else None
    try:
        return not seen_fault(commit, before, said(new, path, before))
    except SprayoutError:
        return False


def agree(*asked):
    """Hold the quick look against the careful one; return whether each let the document pass."""
    quick, careful = passes_quickly(*asked), passes_carefully(*asked)
    assert careful or not quick, asked
    return quick, careful


def hold(seed, kind):
    rng = random.Random(f"papers {kind} {seed}")
    found = states(rng, kind)
    path = path_of(kind, found[0][1]["id"])
    told = []
    for older, (copy, newer) in zip([None, *(plain for _, plain in found)], found, strict=False):
        old = None if older is None else stored(older)
        made_by = commit(rng.choice((copy, *COPIES)), rng.choice(("edit", "packet")))
        told.append(agree(made_by, path, old, stored(newer)))
        for _ in range(6):
            changed = mutant(rng, newer, [plain for _, plain in found])
            if (text := text_of(changed)) is not None:
                agree(made_by, path, old, text)
                agree(made_by, path, stored(rng.choice(found)[1]), text)
    return told


@pytest.mark.parametrize("kind", KINDS)
def test_nothing_passes_quickly_that_would_be_refused(kind):
    told = [one for seed in range(2) for one in hold(seed, kind)]
    assert any(quick for quick, _ in told)


@pytest.mark.long
@pytest.mark.parametrize("kind", KINDS)
def test_nothing_of_thousands_passes_quickly_that_would_be_refused(kind):
    for seed in range(10, 150):
        hold(seed, kind)


def test_most_edits_pass_quickly():
    told = [one for kind in KINDS for seed in (20,) for one in hold(seed, kind)]
    quick, careful = map(sum, zip(*told, strict=True))
    assert quick > 0.6 * careful, (quick, careful)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (b"3\n", "not a document"),
        (b'[\n  "notes"\n]\n', "not a document"),
        (None, "'mat0rial' is no kind"),
    ],
    ids=["a number", "a list", "another kind beside remarks that stand there unchanged"],
)
def test_what_replaces_a_document_is_refused_in_words(text, says):
    plain = {"kind": "material", "id": "x", "notes": {"k7f3q2.2": {"text": "x"}}, "edits": {"title": {"k7f3q2.3": ""}}}
    text = stored({**plain, "kind": "mat0rial", "format": "sprayout/1.0"}) if text is None else text
    with pytest.raises(SprayoutError, match=says):
        said(text, "material/00/00/x.json", plain)
