import os
import sqlite3
import subprocess
import sys
import time

import pytest
from tests.library.shops import Put, text

from sprayout_core.documents import proofs
from sprayout_library.index import Index, Near, OpenIndex, Question, Uses, find, read_target, seal
from sprayout_library.index.seal import Seal
from sprayout_library.index.standing import folder_of, standing
from sprayout_library.store import Store

GRID = {"start_nm": 400, "end_nm": 700, "step_nm": 20}


def reading(bench, store, panel, level, geometry="45:0", **facts):
    spectrum = {**GRID, "values": [round(level + 0.01 * place, 5) for place in range(16)]}
    measured = [{"geometry": geometry, "spectrum": spectrum}]
    facts = {"panel": panel.id, "stage": {"surface": "bare"}, "grade": "spectrum", "measured": measured, **facts}
    return bench.made(store, "reading", {"measured_at": text(bench.tick()), **facts})


@pytest.fixture
def shop(bench):
    """Two dyes, a mix, the mix inside another, a panel of the mix with a reading, a panel without."""
    store = bench.shop("a")
    weak, strong = bench.material(store, "Weak teal"), bench.material(store, "Strong teal")
    kelp = bench.formula(store, "Kelp glass", {weak.id: 5, strong.id: 2})
    nested = {
        "basis": "volume",
        "items": {kelp.id: {"kind": "formula", "ratio": 1}, weak.id: {"kind": "material", "ratio": 9}},
    }
    bodied = bench.made(store, "formula", {"title": "Kelp, bodied", "mix": nested})
    held = {one.id: one for one in (weak, strong, kelp, bodied)}
    sprayed = {"coats": [{"formula": kelp.id, "count": "3"}], "proofs": proofs(kelp, held.get)}
    one = bench.made(store, "panel", {"label": "P-1", **sprayed})
    two = bench.made(store, "panel", {"label": "P-2", **sprayed})
    bench.save(store, *held.values(), one, two, reading(bench, store, one, 0.2), reading(bench, store, one, 0.22))
    return bench, store, {"weak": weak, "strong": strong, "kelp": kelp, "bodied": bodied, "one": one, "two": two}


TABLES = {
    "doc": "id, kind, title, label, aliases, notes, tags, materials, withdrawn, asked, status, readings, seen_at, mix",
    "share": "formula, material, exact, basis",
    "stands": "thing, panel",
    "sprayed": "panel, place, kind, thing",
}


def everything(index):
    """All an index says, however its layers lie."""
    said = {table: sorted(index.rows(f"SELECT {columns} FROM {table}")) for table, columns in TABLES.items()}
    panels = [row[0] for row in index.rows("SELECT id FROM doc WHERE kind = 'panel'")]
    near = find(index, Question(near=Near(read_target(index, "45:0=50 0 0")), limit=len(panels) or 1))
    return said, [(one.what.id, one.spot, round(one.difference, 10)) for one in near.found]


def names(index, **question):
    return [one.what.name for one in find(index, Question(**question)).found]


def same_as_anew(store):
    with Index.open(store) as index:
        layers, forward = len(index.levels), everything(index)
    with Index.open(store, anew="a test") as index:
        assert len(index.levels) == 1
        assert everything(index) == forward
    return layers


def test_every_condition(shop):
    _, store, _ = shop
    with Index.open(store) as index:
        assert names(index, words="teal") == ["Weak teal", "Strong teal", "Kelp glass", "Kelp, bodied"]
        assert names(index, words="kelp bod") == ["Kelp, bodied"]
        uses = Uses(index.named("strong teal"), 1, 3)
        assert names(index, uses=(uses,)) == ["Kelp, bodied"]  # 2 of 70 parts
        assert names(index, uses=(Uses(index.named("strong teal"), 3, 100),)) == ["Kelp glass"]
        assert names(index, uses=(Uses(index.named("Kelp glass")),)) == ["Kelp, bodied"]
        assert names(index, evidence=frozenset({"no-reading"})) == ["P-2"]
        assert names(index, evidence=frozenset({"never-sprayed"})) == ["Kelp, bodied"]
        assert names(index, near=Near(read_target(index, "50 0 0"))) == ["P-1"]


def test_a_nested_mix_changes_what_follows_from_it(shop):
    bench, store, made = shop
    Index.open(store).close()
    weak, strong = made["weak"].id, made["strong"].id
    bench.edit(store, made["kelp"].id, Put("mix", {"basis": "volume", "items": {
        weak: {"kind": "material", "ratio": 1}, strong: {"kind": "material", "ratio": 1}}}))  # fmt: skip
    with Index.open(store) as index:
        assert len(index.levels) == 2
        assert index.named("Kelp glass").status == "changed"
        assert names(index, uses=(Uses(index.named("strong teal"), 4, 6),)) == ["Kelp, bodied"]
    assert same_as_anew(store) == 2


def test_forward_is_the_same_as_anew_after_every_kind_of_change(shop):
    bench, store, made = shop
    Index.open(store).close()
    late = reading(bench, store, made["two"], 0.4)
    steps = (
        lambda: bench.save(store, late),
        lambda: bench.save(store, reading(bench, store, made["two"], 0.5, supersedes=late.id)),
        lambda: bench.edit(store, made["weak"].id, Put("title", "Pale teal")),
        lambda: bench.withdraw(store, made["two"].id),
        lambda: bench.save(store, bench.formula(store, "Fern", {made["weak"].id: 5, made["strong"].id: 2})),
        lambda: bench.edit(store, made["kelp"].id, Put("title", "Kelp")),
    )
    for step in steps:
        step()
        Index.open(store).close()
    same_as_anew(store)
    with Index.open(store) as index:
        assert index.named("P-2").readings == 1
        assert names(index, same_as=index.named("Fern"), kinds=("formula",)) == ["Kelp"]


def files(store):
    return sorted(folder_of(store).glob("*.rows")) + sorted(folder_of(store).glob("*.colours"))


@pytest.mark.parametrize("which", ["rows", "colours", "seal.json"])
def test_any_flipped_byte_is_noticed_and_mended(shop, which):
    _, store, _ = shop
    with Index.open(store) as index:
        whole = everything(index)
    [path] = [one for one in folder_of(store).iterdir() if one.name.endswith(which)]
    size = path.stat().st_size
    for place in range(0, size, max(1, size // 12)):
        [path] = [one for one in folder_of(store).iterdir() if one.name.endswith(which)]
        content = bytearray(path.read_bytes())
        content[min(place, len(content) - 1)] ^= 0x41
        path.write_bytes(content)
        os.utime(path, ns=(1, 1))
        assert standing(store) is None
        with Index.open(store) as index:
            assert everything(index) == whole


@pytest.mark.parametrize("which", ["rows", "colours"])
@pytest.mark.parametrize(("small", "days"), [(4_000_000, 0), (0, 8)])
def test_what_a_disk_turns_over_without_a_write_is_noticed(shop, which, small, days):
    _, store, _ = shop
    with Index.open(store) as index:
        whole = everything(index)
    part = next(one for layer in Seal.read(folder_of(store) / "seal.json").layers for one in (layer.rows, layer.colours)
                if one.file.endswith(which))  # fmt: skip
    path = folder_of(store) / part.file
    content = bytearray(path.read_bytes())
    content[len(content) // 2] ^= 1
    path.write_bytes(content)
    now = time.time()
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(seal, "_SMALL", small)
        patch.setattr(seal, "_stamp", lambda path: (path.stat().st_size, part.stamp))
        patch.setattr(seal.time, "time", lambda: now + days * 86400)
        assert standing(store) is None
    with Index.open(store) as index:
        assert everything(index) == whole


def test_absent_cut_off_or_of_another_edition(shop):
    _, store, _ = shop
    with Index.open(store) as index:
        whole = everything(index)
    seal = folder_of(store) / "seal.json"
    for harm in (
        lambda: seal.unlink(),
        lambda: files(store)[0].unlink(),
        lambda: files(store)[0].write_bytes(files(store)[0].read_bytes()[:5000]),
        lambda: seal.write_text(seal.read_text().replace('\\"edition\\": 3', '\\"edition\\": 2')),
    ):
        harm()
        assert standing(store) is None
        with Index.open(store) as index:
            assert everything(index) == whole


_CHILD = """
import os, sys
from pathlib import Path
from sprayout_library.index import Index
from sprayout_library.index import rows, seal
from sprayout_library.store import Store
name, number = sys.argv[2], int(sys.argv[3])
left = [number]
def dying(original):
    def run(*words, **named):
        left[0] -= 1
        if left[0] < 0:
            os._exit(9)
        return original(*words, **named)
    return run
if name in ("put", "pairs"):
    setattr(rows.RowsFile, name, dying(getattr(rows.RowsFile, name)))
elif name == "write":
    seal.Seal.write = dying(seal.Seal.write)
with Store.open(Path(sys.argv[1])) as store, Index.open(store) as index:
    print(sum(1 for _ in index.rows("SELECT id FROM doc")))
"""


def child(store, *words):
    done = subprocess.run(
        [sys.executable, "-c", _CHILD, str(store.folder), *words], capture_output=True, text=True, check=False
    )
    return done.returncode, done.stdout.strip()


@pytest.mark.long
@pytest.mark.parametrize(("where", "number"), [("put", 0), ("put", 2), ("put", 5), ("pairs", 0), ("write", 0)])
def test_killed_while_writing(shop, where, number):
    bench, store, made = shop
    assert child(store, where, str(number))[0] == 9
    Index.open(store).close()
    bench.save(store, reading(bench, store, made["two"], 0.4))
    assert child(store, "put" if where == "pairs" else where, "0")[0] == 9
    same_as_anew(store)
    assert len(files(store)) == 2  # nothing half-written is left lying


def test_others_read_while_one_writes(shop):
    bench, store, made = shop
    with Index.open(store) as before:
        bench.save(store, reading(bench, store, made["two"], 0.4))
        start = [sys.executable, "-c", _CHILD, str(store.folder), "", "0"]
        others = [subprocess.Popen(start, stdout=subprocess.PIPE, text=True) for _ in range(2)]
        told = [other.communicate(timeout=180)[0].strip() for other in others]
        assert [other.returncode for other in others] == [0, 0]
        assert told == ["6", "6"]
        assert before.named("P-2").readings == 0  # what was opened stays as it was
        assert names(before, near=Near(read_target(before, "50 0 0"))) == ["P-1"]
    with Store.open(store.folder) as again, Index.open(again) as after:
        assert after.named("P-2").readings == 1


def test_one_kept_open_answers_of_its_state_whatever_others_do(shop):
    bench, store, held = shop
    before = store.head
    kept = OpenIndex(before)
    said = kept.asking(store, everything)
    assert kept.is_open
    with Store.open(store.folder) as other:
        other.save([reading(bench, store, held["two"], 0.5)], "measured", "ada")
        with Index.open(other) as index:  # brought forward; files that nobody names are taken away
            assert everything(index) != said
    for file in folder_of(store).glob("*.*s"):
        if sys.platform != "win32":
            file.unlink()
    assert store.head == before and kept.asking(store, everything) == said
    assert kept.asking(store, lambda index: [kept.asking(store, lambda one: one) is index]) == [True]
    store.refresh()
    assert kept.asking(store, everything) != said  # a store that reads elsewhere is answered for itself
    kept.end()
    assert not kept.is_open and kept.asking(store, names_of_all) and not kept.is_open


def test_one_kept_open_that_proves_damaged_is_made_anew(shop):
    _, store, _ = shop
    kept = OpenIndex(store.head)
    said = kept.asking(store, everything)
    tries = []

    def found(index):
        tries.append(index)
        if len(tries) == 1:
            raise sqlite3.DatabaseError("malformed")
        return everything(index)

    assert kept.asking(store, found) == said and tries[0] is not tries[1]
    kept.end()


def names_of_all(index):
    return [one.name for one, _ in index.everything()]
