"""A reader written from the format's page alone agrees with ours on every golden document."""

import ast
import json
import sys
from fractions import Fraction
from pathlib import Path

import pytest
from tests.core.documents.bad import text_of
from tests.golden import stranger_reader as stranger

from sprayout_core import documents, mix
from sprayout_core.documents import Formula, Recipe
from sprayout_core.errors import SprayoutError
from sprayout_core.ratio import exact

FOLDER = Path(__file__).parent
FILES = sorted((FOLDER / "documents").glob("*.json"))
BAD = json.loads((FOLDER.parent / "core/documents/bad_documents.json").read_text(encoding="utf-8"))
OURS = {file.stem: documents.read(file.read_bytes()) for file in FILES}
THEIRS = {file.stem: stranger.read(file.read_bytes()) for file in FILES}
UNITS = ("_ml", "_g", "g_per_l", "_um", "_mm", "_percent", "_s", "_h", "_kpa")
BASES = {stem.partition("--")[0]: stem for stem in OURS if stem.endswith("--base")}
find_ours = {OURS[stem].id: OURS[stem] for stem in BASES.values()}.get
find_theirs = {THEIRS[stem]["id"]: THEIRS[stem] for stem in BASES.values()}.get
stems = pytest.mark.parametrize("stem", OURS)


def test_it_is_short_and_needs_the_standard_library_only():
    text = (FOLDER / "stranger_reader.py").read_text(encoding="utf-8")
    assert len(text.splitlines()) < 150
    for node in ast.walk(ast.parse(text)):
        names = [name.name for name in node.names] if isinstance(node, ast.Import) else []
        names += [node.module] if isinstance(node, ast.ImportFrom) else []
        assert all(name.partition(".")[0] in sys.stdlib_module_names for name in names)


@stems
def test_values_agree(stem):
    assert documents.tree(OURS[stem]) == THEIRS[stem]


@stems
def test_exact_values_agree(stem):
    for ours, theirs in zip(_decimals(documents.tree(OURS[stem])), _decimals(THEIRS[stem]), strict=True):
        assert exact(ours) == stranger.exact(theirs)


def _decimals(value, name=""):
    if isinstance(value, dict):
        for key, item in sorted(value.items()):
            yield from _decimals(item, key)
    elif isinstance(value, list):
        for item in value:
            yield from _decimals(item)
    elif isinstance(value, str) and (
        name.rpartition("_")[2] in ("ml", "g", "l", "um", "mm", "percent", "s") or name == "scale"
    ):
        yield value


def test_there_are_exact_values_to_agree_on():
    assert sum(len(list(_decimals(said))) for said in THEIRS.values()) > 60


@stems
def test_byte_forms_and_digests_agree(stem):
    assert (stranger.stored(THEIRS[stem]) + "\n").encode() == documents.write(OURS[stem])
    assert stranger.compact(THEIRS[stem]).encode() == documents.compact(documents.tree(OURS[stem]))
    assert stranger.digest(THEIRS[stem]) == documents.digest(OURS[stem])


@stems
def test_compositions_and_proofs_agree(stem):
    ours, theirs = OURS[stem], THEIRS[stem]
    if isinstance(ours, Recipe) and not ours.questions:
        assert stranger.recipe_proof(theirs) == documents.recipe_proof(ours)
    if not isinstance(ours, Formula):
        return
    if ours.slots or ours.is_open("mix"):
        with pytest.raises(SprayoutError):
            mix.composition(ours, find_ours)
        with pytest.raises(stranger.Refused):
            stranger.composition(theirs["mix"], find_theirs)
        return
    assert stranger.composition(theirs["mix"], find_theirs) == mix.composition(ours, find_ours)
    for variant in (None, *(ours.spray_ready or {})):
        assert stranger.proofs(theirs, find_theirs, variant) == documents.proofs(ours, find_ours, variant)


def test_compositions_are_those_worked_out_by_hand():
    """5:2 neat, then 9:2 with it inside: 9/11, 10/77, 4/77."""
    shares = stranger.composition(THEIRS["kelp-glass--base"]["mix"], find_theirs)
    assert sorted(shares.values()) == [Fraction(4, 77), Fraction(10, 77), Fraction(63, 77)]


def test_panels_pin_what_a_stranger_computes():
    panel = THEIRS["panel-k12--base"]
    assert panel["proofs"] == stranger.proofs(find_theirs(panel["coats"][1]["formula"]), find_theirs, "small")
    assert panel["recipe_proof"] == stranger.recipe_proof(find_theirs(panel["recipe"]))


@pytest.mark.parametrize("name", ["a member written twice", "NaN", "null", "beyond 2^53", "byte order mark",
                                  "not UTF-8", "a newer major edition", "another's id", "cut short"])  # fmt: skip
def test_it_refuses_what_ours_refuses(name):
    (case,) = [case for case in BAD if case["name"] == name]
    with pytest.raises(stranger.Refused):
        stranger.read(text_of(case))
