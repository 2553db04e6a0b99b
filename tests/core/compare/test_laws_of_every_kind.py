"""Joining never fails and its order never shows, for documents of every kind and any two or three rows of edits."""

import itertools
import random

import pytest
from tests.core.documents.bad import GOLDEN

from sprayout_core.compare import Add, CannotEdit, Put, TakeAway, TakeOut, changes, edit, join, settle, tell, withdraw
from sprayout_core.documents import ATOMS, KINDS, DocumentError, Policy, read, tree, value_at, write

COPIES = ("k7f3q2", "m2x9ab", "p4w8yz")
ROWS = {kind: [row for row in rows if row.pattern != "withdrawn"] for kind, rows in ATOMS.items()}
FILES = sorted(GOLDEN.glob("*.json"))
DOCUMENTS = {kind: [one for file in FILES if (one := read(file.read_bytes())).kind == kind] for kind in KINDS}
#: Values that golden documents of the kind do not happen to give.
MORE = {
    "rights": ["CC0-1.0", "ask first"],
    "title": ["One", "Another"],
    "role": ["reducer", "dye", "carrier"],
    "volume_solids_percent": ["0", "40"],
    "label": ["A", "B"],
    "kept": ["left", "right"],
    "stage": [{"surface": "cleared"}, {"surface": "polished"}],
    "safety_notes": ["mind the mist", "gloves"],
    "coats_order": [],
    "observer": [2, 10],
    "illuminant": ["D65", "D50", "A"],
    "difference": ["cmc", "din99"],
    "tags": ["teal", "moss"],
    "aliases": ["deep one"],
    "references": [{"text": "on the shelf"}],
    "notes": [{"text": "a"}, {"text": "b"}],
    "lots": ["T-1", "T-2"],
    "cautions": ["dust", "skin"],
    "taken_out": [{"amount_ml": "3"}, {"amount_g": "4", "into": "gun"}],
    "grounds": [{"kind": "material", "id": "01926f39-0d4f-7e8a-b6c7-0000000000f1"}],
}


def values(kind, row):
    """Values that may stand in an atom's place, from golden documents and the list above."""
    found = list(MORE.get(row.member, []))
    for one in DOCUMENTS[kind]:
        plain = tree(one)
        if row.pattern.endswith("/*") or row.policy is Policy.SET:
            found += plain.get(row.member, {}).values()
        elif (value := value_at(plain, row.pattern)) is not None:
            found.append(value)
    return found


def change(rng, document):
    row = rng.choice(ROWS[document.kind])
    choices = values(document.kind, row)
    held = tree(document).get(row.member, {}) if row.keyed else {}
    if row.policy is Policy.SET:
        if held and rng.random() < 0.4:
            return TakeOut(row.member, rng.choice(list(held.values())))
        return Add(row.member, rng.choice(choices))
    if row.keyed == "dot":
        if not held or rng.random() < 0.3:
            return Add(row.member, rng.choice(choices))
        name = f"{row.member}/{rng.choice(list(held))}"
    elif row.keyed:
        keys = {"copies": ["k7f3q2", "m2x9ab"], "standards": ["01926f39-0d4f-7e8a-b6c7-0000000000f1"]}
        name = f"{row.member}/{rng.choice(keys.get(row.member, ['small', 'large']))}"
    else:
        name = row.pattern
    return TakeAway(name) if rng.random() < 0.25 or not choices else Put(name, rng.choice(choices))


def step(rng, document, copy, at):
    roll = rng.random()
    try:
        if roll < 0.08:
            return withdraw(document, copy, at)
        if roll < 0.15 and document.questions:
            atom = rng.choice(sorted(document.questions))
            answers = tree(document)["questions"][atom]
            return settle(document, copy, atom, rng.choice([a["value"] for a in answers.values() if "value" in a]), at)
        return edit(document, copy, [change(rng, document)], at)
    except (CannotEdit, DocumentError, IndexError):
        return document  # a change that this document does not take: nothing happened


def history(rng, kind):
    base = rng.choice(DOCUMENTS[kind])
    states = {copy: base for copy in COPIES}
    for number in range(12):
        copy = rng.choice(COPIES)
        if rng.random() < 0.3:
            states[copy] = read(write(join(states[copy], states[rng.choice(COPIES)])))
        else:
            states[copy] = read(write(step(rng, states[copy], copy, f"2026-04-01T00:00:{number:02d}Z")))
    return list(states.values())


def check(seed, kind):
    states = history(random.Random(f"{kind} {seed}"), kind)
    texts = set()
    for order in itertools.permutations(states):
        whole = order[0]
        for one in order[1:]:
            whole = read(write(join(whole, one)))
        texts.add(write(whole))
    assert len(texts) == 1
    whole = read(texts.pop())
    assert all(write(join(whole, one)) == write(whole) for one in (whole, *states))
    assert [tell(one, whole, str) for one in states]
    assert all(changes(one, one) == () for one in states)


@pytest.mark.parametrize("kind", KINDS)
def test_laws_hold_for_every_kind(kind):
    for seed in range(12):
        check(seed, kind)


@pytest.mark.long
@pytest.mark.parametrize("kind", KINDS)
def test_laws_hold_for_every_kind_on_many_histories(kind):
    for seed in range(1000):
        check(seed, kind)
