"""Editions: what a newer minor brings survives us byte for byte; a newer major is refused; an older one is led on."""

import json
from pathlib import Path
from typing import Literal

import pytest
from pydantic import Field, model_validator
from tests.core.documents.bad import GOLDEN
from tests.core.documents.invented import AT, COPY, OTHER

from sprayout_core.compare import Add, Put, TakeAway, changes, edit, join, questions_of
from sprayout_core.documents import (
    KINDS,
    SINCE,
    DocumentError,
    Edition,
    EditionError,
    Formula,
    edition_of,
    from_tree,
    raised,
    read,
    stored,
    tree,
    write,
)
from sprayout_core.documents.head import Document, Part
from sprayout_core.documents.spelling import ComponentKey

NEWER = Edition(1, 1)
FILES = sorted(GOLDEN.glob("*.json"))


class Formula11(Formula):
    """A formula as a worked edition 1.1 might have it: it says how it is to look."""

    sheen: Literal["gloss", "satin", "matt"] | None = None


KINDS_11 = {**KINDS, "formula": Formula11}


def golden(name):
    return json.loads((GOLDEN / f"{name}.json").read_bytes())


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.stem)
def test_unknown_members_of_a_newer_minor_survive_load_edit_and_save(file):
    plain = json.loads(file.read_bytes())
    plain["format"] = "sprayout/1.1"
    plain["zz_newer"] = {"number": 0.25, "words": ["a", "b"]}
    plain["provenance"]["zz_newer"] = "kept"
    text = stored(plain)
    document = read(text)
    assert write(document) == text
    edited = edit(document, COPY, [Add("tags", "held")], AT)
    expected = {**plain, "tags": {**plain.get("tags", {}), f"{COPY}.{plain['seen'].get(COPY, 0) + 1}": "held"}}
    expected["seen"] = {**plain["seen"], COPY: plain["seen"].get(COPY, 0) + 1}
    if "withdrawn" not in plain:
        assert write(edited) == stored(expected)
    assert tree(edited)["zz_newer"] == plain["zz_newer"]


@pytest.mark.parametrize(
    ("name", "place"),
    [
        ("kelp-glass--base", "mix"),
        ("kelp-glass--base", "mix/items/01926f39-0d4f-7e8a-b6c7-000000000003"),
        ("kelp-glass--base", "spray_ready/small"),
        ("kelp-glass--base", "spray_ready/small/strain/gun"),
        ("kelp-glass--base", "notes/k7f3q2.3"),
        ("kelp-over-metal--base", "coats/k7f3q2.5"),
        ("kelp-over-metal--base", "coats/k7f3q2.5/dry"),
        ("kelp-over-metal--base", "tolerance/limits/any"),
        ("cup-7--base", "poured/1"),
        ("panel-k12--base", "coats/0"),
        ("panel-k12--base", "conditions"),
        ("by-the-window--base", "pieces/1/0"),
        ("k12-tilted--base", "shows/0"),
        ("alder--base", "copies/k7f3q2"),
    ],
)
def test_unknown_members_survive_at_any_depth(name, place):
    plain = golden(name)
    plain["format"] = "sprayout/1.3"
    holder = plain
    for step in place.split("/"):
        holder = holder[int(step) if isinstance(holder, list) else step]
    holder["zz_newer"] = {"deep": [0.5, 1]}
    text = stored(plain)
    assert write(read(text)) == text
    titled = edit(read(text), COPY, [Put("title", "Another")], AT)
    changed = {**plain, "title": "Another"}
    for member in ("title", "seen", "edits"):
        changed.pop(member, None)
    assert {k: v for k, v in tree(titled).items() if k not in ("title", "seen", "edits")} == changed


def test_in_an_edition_known_in_full_they_are_refused():
    plain = {**golden("kelp-glass--base"), "sheen": "satin"}
    with pytest.raises(DocumentError, match="sheen: unknown member"):
        from_tree(plain)
    with pytest.raises(DocumentError, match="gleam: unknown member"):
        from_tree({**plain, "format": "sprayout/1.1", "gleam": "satin"}, NEWER, kinds=KINDS_11)
    with pytest.raises(DocumentError, match="'shiny' is no word for this"):
        from_tree({**plain, "format": "sprayout/1.1", "sheen": "shiny"}, NEWER, kinds=KINDS_11)


def test_a_reader_of_the_newer_minor_knows_them_and_reads_all_older_documents():
    plain = {**golden("kelp-glass--base"), "format": "sprayout/1.1", "sheen": "satin"}
    assert from_tree(plain, NEWER, kinds=KINDS_11).sheen == "satin"
    for file in FILES:
        old = json.loads(file.read_bytes())
        assert tree(from_tree(old, NEWER, kinds=KINDS_11)) == old


def test_an_unknown_member_at_the_top_is_an_atom_that_asks():
    base = read(stored({**golden("kelp-glass--base"), "format": "sprayout/1.1", "sheen": "satin"}))
    ours = edit(base, COPY, [Put("sheen", "matt")], AT)
    theirs = edit(base, OTHER, [Put("sheen", "gloss")], AT)
    joined = join(ours, theirs)
    assert write(joined) == write(join(theirs, ours))
    assert questions_of(joined) == ("sheen",)
    assert "sheen" not in tree(joined)
    assert read(write(joined)) == joined
    assert [one.place for one in changes(base, ours) if not one.record] == ["sheen"]
    assert "sheen" not in tree(edit(base, COPY, [TakeAway("sheen")], AT))


def test_format_is_raised_by_an_edit_that_needs_it_and_by_a_join_and_never_lowered(monkeypatch):
    monkeypatch.setitem(SINCE, "formula/sheen", NEWER)
    monkeypatch.setitem(SINCE, "formula/mix/items/*/grind", Edition(1, 2))
    base = read((GOLDEN / "kelp-glass--base.json").read_bytes())
    retitled = edit(base, COPY, [Put("title", "Kelp")], AT)
    assert retitled.format == "sprayout/1.0"
    glossy = edit(base, OTHER, [Put("sheen", "gloss")], AT)
    assert glossy.format == "sprayout/1.1"
    assert edit(glossy, OTHER, [TakeAway("sheen")], AT).format == "sprayout/1.1"
    assert join(retitled, glossy).format == join(glossy, retitled).format == "sprayout/1.1"
    ground = golden("kelp-glass--base")
    ground["mix"]["items"]["01926f39-0d4f-7e8a-b6c7-000000000003"]["grind"] = "fine"
    assert raised(ground)["format"] == "sprayout/1.2"
    assert raised({**ground, "format": "sprayout/1.4"})["format"] == "sprayout/1.4"


class Mix2(Part):
    """A mix as a worked edition 2 might have it: the basis is called by, scale is gone."""

    by: Literal["volume", "mass"]
    items: dict[ComponentKey, dict] = Field(min_length=1)
    order: list[ComponentKey] | None = None
    as_typed: str | None = None


class Formula2(Document):
    """A formula of a worked edition 2."""

    kind: Literal["formula"]
    mix: Mix2 | None = None
    spray_ready: dict | None = None

    @model_validator(mode="after")
    def _whole(self):
        if self.mix is None and not self.is_open("mix"):
            raise ValueError("missing")
        return self


def step_to_2(plain):
    """The migration from edition 1 to a worked edition 2."""
    moved = {**plain, "format": "sprayout/2.0"}
    if "basis" in plain.get("mix", {}):
        moved["mix"] = _mix_2(plain["mix"])
    elif "mix" in plain:
        del moved["mix"]
    for record in ("edits", "questions"):
        if record in plain:
            moved[record] = {atom: dots for atom, dots in plain[record].items() if atom != "mix/scale"}
    if "mix" in plain.get("questions", {}):
        answers = plain["questions"]["mix"]
        moved["questions"]["mix"] = {dot: {"value": _mix_2(answer["value"])} for dot, answer in answers.items()}
    return moved


def _mix_2(mix):
    kept = {name: value for name, value in mix.items() if name not in ("basis", "scale")}
    return {"by": mix["basis"], **kept}


def test_a_major_migration_leads_every_golden_formula_on():
    second = Edition(2, 0)
    led = 0
    for file in FILES:
        plain = json.loads(file.read_bytes())
        if plain["kind"] != "formula":
            continue
        before = json.dumps(plain)
        document = from_tree(plain, second, kinds={"formula": Formula2}, migrations={1: step_to_2})
        assert edition_of(document.format) == second
        assert json.dumps(plain) == before
        if document.mix is not None:
            assert document.mix.by == plain["mix"]["basis"]
        led += 1
    assert led > 15


def test_steps_are_taken_one_major_at_a_time_and_a_gap_is_said():
    plain = {"format": "sprayout/1.0", "kind": "formula"}
    taken = []

    def step(number):
        def move(tree_):
            taken.append(number)
            return {**tree_, "format": f"sprayout/{number + 1}.0"}

        return move

    with pytest.raises(DocumentError):
        from_tree(plain, Edition(4, 0), migrations={1: step(1), 2: step(2), 3: step(3)})
    assert taken == [1, 2, 3]
    with pytest.raises(EditionError, match=r"nothing leads on from sprayout/2.0"):
        from_tree(plain, Edition(4, 0), migrations={1: step(1), 3: step(3)})


def test_a_newer_major_is_refused_with_what_to_do():
    with pytest.raises(EditionError) as refused:
        read(stored({**golden("kelp-glass--base"), "format": "sprayout/2.0"}))
    assert str(refused.value) == "format: written by sprayout/2.0; this is sprayout/1.0. Update sprayout to read it."


def test_released_editions_have_golden_documents():
    assert Path(GOLDEN).is_dir()
    assert {json.loads(file.read_bytes())["format"] for file in FILES} == {"sprayout/1.0"}
