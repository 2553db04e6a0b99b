"""What is published stays equal to the models; an independent validator agrees with it on every golden document."""

import json
import random
from pathlib import Path

import jsonschema
import pytest
from tests.core.compare.test_laws_of_every_kind import history
from tests.core.documents.bad import changed
from tests.golden.published import DOCS, FORMAT, filled, member_tables, schema_files

from sprayout_core.compare import join
from sprayout_core.documents import KINDS, write
from sprayout_core.documents.meanings import MEANINGS

GOLDEN = sorted((Path(__file__).parent / "documents").glob("*.json"))
BAD = json.loads((Path(__file__).parents[1] / "core/documents/bad_documents.json").read_text(encoding="utf-8"))
#: Bad documents that only the rules in docs/format.md refuse, not the schema.
BEYOND = {
    "derived from itself", "edit not seen", "edit of a fixed fact", "edit that says nothing",
    "question with one answer", "question with equal answers", "an answer that cannot stand",
    "a misspelt member in an answer",
    "an answer that says nothing",
    "an answer without its edit", "withdrawn with more than is seen", "two items under one dot",
    "not in smallest numbers", "grams per litre by mass", "nothing liquid", "contains itself",
    "a slot that is a material", "all reducer", "30 February", "25 o'clock", "solids above all of it",
    "a count that falls", "a coat twice in the order", "poured into itself", "a coat not pinned", "one value short",
    "a falling grid", "a step that does not arrive", "two grids at once", "wavelengths that do not rise",
    "more digits than are kept", "geometries out of order", "another's id", "a card without its uncertainty",
    "a piece twice", "three in a pair", "compared with nothing", "a picture that supersedes itself",
    "reflectance of 45 at 45:0", "title that turns the writing",
}  # fmt: skip


@pytest.fixture(scope="module")
def validators():
    found = {}
    for kind in KINDS:
        said = json.loads((DOCS / "schema" / f"{kind}.json").read_bytes())
        jsonschema.Draft202012Validator.check_schema(said)
        found[kind] = jsonschema.Draft202012Validator(said)
    return found


def test_the_schema_files_are_those_of_the_models():
    for file, text in schema_files().items():
        assert file.read_bytes() == text, "run python -m tests.golden.published"
    assert {file.stem for file in (DOCS / "schema").glob("*.json")} == set(KINDS)


def test_the_tables_of_the_format_are_those_of_the_models():
    text = FORMAT.read_text(encoding="utf-8")
    assert filled(text) == text, "run python -m tests.golden.published"


def test_every_member_has_a_meaning_and_every_meaning_a_member():
    rows = [row.split(" | ") for row in member_tables().splitlines() if row.startswith("| `")]
    assert len(rows) > 180
    for row in rows:
        assert row[1].strip(), row
        assert row[2].strip(), row
        assert row[5].strip(" |") == "1.0"
    parts = {name for kind in KINDS for name in json.loads((DOCS / "schema" / f"{kind}.json").read_bytes())["$defs"]}
    assert set(MEANINGS) - {"Document"} == parts | {model.__name__ for model in KINDS.values()}


@pytest.mark.parametrize("file", GOLDEN, ids=lambda file: file.stem)
def test_golden_documents_are_valid(file, validators):
    document = json.loads(file.read_bytes())
    assert list(validators[document["kind"]].iter_errors(document)) == []


@pytest.mark.parametrize(
    "case",
    [case for case in BAD if "golden" in case and case["name"] not in BEYOND],
    ids=lambda case: case["name"],
)
def test_bad_documents_are_not_valid(case, validators):
    document = changed(case)
    kind = json.loads((Path(__file__).parent / "documents" / f"{case['golden']}.json").read_bytes())["kind"]
    assert list(validators[kind].iter_errors(document))


def test_the_schema_requires_the_member_or_its_question(validators):
    document = json.loads((Path(__file__).parent / "documents" / "kelp-glass--joined.json").read_bytes())
    assert validators["formula"].is_valid(document)
    neither = {name: value for name, value in document.items() if name not in ("questions", "edits")}
    assert not validators["formula"].is_valid(neither)
    both = {
        **document,
        "mix": {"basis": "volume", "items": {next(iter(document["mix"]["order"])): {"kind": "material", "ratio": 1}}},
    }
    assert not validators["formula"].is_valid(both)


def test_the_list_of_rules_beyond_the_schema_is_true(validators):
    for case in BAD:
        if case["name"] in BEYOND:
            document = changed(case)
            assert validators[document["kind"]].is_valid(document), case["name"]


@pytest.mark.parametrize("kind", KINDS)
def test_whatever_edits_and_joins_make_is_valid(kind, validators):
    """The schema is not narrower than the reader: edited, withdrawn and joined documents pass it."""
    for seed in range(6):
        states = history(random.Random(f"schema {kind} {seed}"), kind)
        for one in (*states, join(*states[:2])):
            document = json.loads(write(one))
            assert list(validators[kind].iter_errors(document)) == []
