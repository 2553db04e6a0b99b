"""Random histories of one document in several copies, with an oracle that only knows who replaced what."""

import itertools
import random
from dataclasses import dataclass, field

from sprayout_core.compare import ABSENT, Add, Put, TakeAway, TakeOut, edit, join, renamed, settle, withdraw
from sprayout_core.documents import from_tree, made, read, tree, write

A, B, C = (f"01926f39-0d4f-7e8a-b6c7-00000000000{digit}" for digit in "abc")
THING = "01926f3a-7c1e-7b52-9a41-5d0c8e2f7a10"
COPIES = ("aaaaaa", "bbbbbb", "cccccc", "dddddd")


def mix_value(random_source):
    ratio = random_source.choice([(1, 2), (5, 2), (9, 2), (3, 7), (4, 9)])
    return {
        "basis": "volume",
        "items": {A: {"kind": "material", "ratio": ratio[0]}, B: {"kind": "material", "ratio": ratio[1]}},
    }


def first(copy, words="Kelp glass"):
    facts = {
        "title": words,
        "mix": {**mix_value(random.Random(1)), "scale": "2", "order": [A, B]},
        "tags": ["teal"],
        "notes": [{"text": "first note"}],
        "spray_ready": {"small": {"tip_mm": "1.4"}},
    }
    provenance = {"at": f"2026-03-02T09:1{COPIES.index(copy)}:00Z", "tool": "test"}
    return made("formula", facts, copy=copy, provenance=provenance, id=THING)


@dataclass
class Oracle:
    """Every edit ever made: its value, and which edits it replaced. Knows nothing of `seen`."""

    values: dict = field(default_factory=dict)  # (atom, dot) -> value
    replaced: set = field(default_factory=set)  # (atom, dot)

    def note(self, before, after):
        old, new = live(before), live(after)
        for atom in old.keys() | new.keys():
            was, now = old.get(atom, {}), new.get(atom, {})
            self.replaced.update((atom, dot) for dot in was if dot not in now)
            self.values.update({(atom, dot): value for dot, value in now.items() if dot not in was})

    def expected(self):
        found = {}
        for (atom, dot), value in self.values.items():
            if (atom, dot) not in self.replaced:
                found.setdefault(atom, {})[dot] = value
        return found


def live(document):
    """The live values of a document, read from its plain tree by the rules of docs/format.md, not by the code."""
    if document is None:
        return {}
    plain = tree(document)
    edits, questions = plain.get("edits", {}), plain.get("questions", {})
    places = {"title": plain.get("title"), "rights": plain.get("rights"), "withdrawn": plain.get("withdrawn")}
    mix = plain.get("mix", {})
    places["mix"] = {k: v for k, v in mix.items() if k in ("basis", "items")} or None
    places["mix/scale"], places["mix/order"] = mix.get("scale"), mix.get("order")
    found = {}
    for key in {*plain.get("notes", {}), *(a[6:] for a in (*edits, *questions) if a.startswith("notes/"))}:
        places[f"notes/{key}"] = plain.get("notes", {}).get(key)
    for key in {*plain.get("spray_ready", {}), *(a[12:] for a in (*edits, *questions) if a.startswith("spray_ready/"))}:
        places[f"spray_ready/{key}"] = plain.get("spray_ready", {}).get(key)
    for atom, value in places.items():
        if atom in questions:
            found[atom] = {dot: repr(answer.get("value")) for dot, answer in questions[atom].items()}
        elif atom in edits:
            found[atom] = {dot: repr(value) for dot in edits[atom]}
        elif value is not None:
            found[atom] = {atom[6:] if atom.startswith("notes/") else plain["made"]: repr(value)}
    for member in ("tags", "aliases"):
        if plain.get(member):
            found[member] = {dot: repr(value) for dot, value in plain[member].items()}
    return found


def change(rng, document):
    match rng.randrange(11):
        case 0 | 1 | 2:
            return Put("mix", mix_value(rng))
        case 3:
            return Put("title", rng.choice(["Kelp glass", "Kelp", "Fen glass"]))
        case 4:
            return Add("tags", rng.choice(["teal", "moss", "deep"]))
        case 5:
            tags = list((document.tags or {}).values())
            return TakeOut("tags", rng.choice(tags)) if tags else Add("tags", "teal")
        case 6:
            return Add("notes", {"text": f"note {rng.randrange(3)}"})
        case 7:
            notes = list(document.notes or {})
            atom = f"notes/{rng.choice(notes)}" if notes else "rights"
            gone = rng.random() < 0.4
            value = {"text": f"again {rng.randrange(3)}"} if notes else "free to use"
            return TakeAway(atom) if gone else Put(atom, value)
        case 8:
            return Put(f"spray_ready/{rng.choice(['small', 'large'])}", {"tip_mm": rng.choice(["1.3", "1.6"])})
        case 9:
            return Put("mix/scale", rng.choice(["1", "2", "0.5"]))
        case _:
            return Put("mix/order", rng.choice([[A, B], [B, A]]))


def stored_and_read(document):
    return read(write(document))


def play(rng, *, shops, steps=12, doubled=False, copied=False, withdrawals=False, partial=False):
    """Return the final states of the shops and the oracle, each state passed through its stored form."""
    oracle = Oracle()
    clock = itertools.count()
    states = {}
    base = first(COPIES[0])
    oracle.note(None, base)
    for copy in COPIES[:shops]:
        states[copy] = base
    if doubled:
        other = first(COPIES[1], "Kelp glass again")
        oracle.note(None, other)
        states[COPIES[1]] = other
    published = dict(states)
    for _ in range(steps):
        copy = rng.choice(list(states))
        document = states[copy]
        at = f"2026-03-0{rng.randrange(3, 9)}T00:00:{next(clock) % 60:02d}Z"
        roll = rng.random()
        if roll < 0.55:
            after = edit(document, copy, [change(rng, document)], at, _names(rng, document) if partial else None)
        elif roll < 0.62 and document.questions:
            atom = rng.choice(sorted(document.questions))
            answer = rng.choice(list(document.questions[atom].values()))
            value = tree(document)["questions"][atom]
            answer = rng.choice(list(value.values())).get("value", ABSENT)
            after = settle(document, copy, atom, answer, at)
        elif roll < 0.68 and withdrawals:
            after = (
                withdraw(document, copy, at)
                if rng.random() < 0.6
                else edit(document, copy, [TakeAway("withdrawn")], at)
            )
        elif roll < 0.72 and copied and len(states) < len(COPIES):
            _copy_the_folder(rng, states, published, copy)
            continue
        else:
            other = rng.choice(list(states))
            states[copy] = stored_and_read(join(document, states[other]))
            published[copy] = states[copy]
            continue
        oracle.note(document, after)
        states[copy] = stored_and_read(after)
        if rng.random() < 0.5:
            published[copy] = states[copy]
    return states, oracle


def _names(rng, document):
    """Now and then an edit that replaces only some of the live answers of an open atom."""
    chosen = {}
    for atom, answers in (document.questions or {}).items():
        chosen[atom] = rng.sample(sorted(answers), rng.randrange(len(answers) + 1))
    return chosen


def _copy_the_folder(rng, states, published, copy):
    """A folder is copied with its copy id; the guard renames what was not published before anything is exchanged."""
    fresh = COPIES[len(states)]
    base, mine = published[copy], states[copy]
    known = base.seen.get(copy, 0)
    states[fresh] = published[fresh] = base
    if mine.seen.get(copy, 0) > known and rng.random() < 0.5:
        # The copy edits on under the old id, as a copied folder would, and is found out at its next exchange.
        doubled = edit(base, copy, [Add("notes", {"text": "made in the copied folder"})], "2026-03-09T00:00:00Z")
        states[fresh] = from_tree(renamed(tree(doubled), copy, fresh, known))
