"""The way of a card, from print to readings; every step one command."""

import json
import shutil

import pytest

from sprayout_core.documents import Reading
from sprayout_library.cards import keep_card, look_at_card, recorded_colours
from sprayout_library.record import Writer
from sprayout_library.sources import Sources, digest_of
from sprayout_library.store import Store

TARGET = ("card", "target", "chart.csv", "--set", "geometry=45:0", "--set", "illuminant=D65", "--set", "observer=10",
          "--set", "stage=bare")  # fmt: skip
READ = ("card", "read", "scan.jpg", "--stage", "bare")


@pytest.fixture
def known(shop):
    if "chart:" not in shop("card", "target")[1]:
        status, out, err = shop(*TARGET)
        assert status == 0, err
        assert "24 colours, D65/10°, 45:0" in out
    return shop


def test_from_bytes_for_whoever_shows_it_elsewhere(known, machine, tmp_path):
    shutil.copytree(machine / "lib", tmp_path / "lib")
    with Store.open(tmp_path / "lib") as store:
        writer = Writer(store, "ada")
        seen = look_at_card(writer, "scan.jpg", (machine / "scan.jpg").read_bytes(), "bare", recorded_colours())
        cells = {cell.cell: cell for cell in seen.cells()}
        assert seen.measured.overlay.startswith(b"\x89PNG")
        assert any("image-derived" in warning for warning in seen.warnings)
        assert cells["piece/piece"].what == "fresh"
        assert isinstance(cells["piece/piece"].reading, Reading)
        assert cells["target/A1"].what == "reference"
        assert cells["own chips/chip 1"].what == "reference"
        before = store.head
        store.refresh()
        assert store.head == before  # looking writes nothing
        kept = keep_card(writer, seen)
        assert sorted(kept) == sorted(one.reading.id for one in cells.values() if one.what == "fresh")
        assert keep_card(writer, seen) == []
        for name in kept:
            store.get(name)


def test_looked_at_taken_once_and_kept_apart(known, machine, rendering):
    status, out, err = known(*READ)
    assert (status, err) == (0, "")
    assert "image-derived" in out
    assert "give or take" in out
    assert "Nothing was written" in out
    assert "9 readings taken in, 0 known" in known(*READ, "--yes", "--overlay", "seen.png")[1]
    assert (machine / "seen.png").read_bytes().startswith(b"\x89PNG")
    picture = (machine / "scan.jpg").read_bytes()
    assert Sources(machine / "lib").content(digest_of(picture)) == picture
    assert "0 readings taken in, 9 known" in known(*READ, "--yes")[1]
    status, _, err = known("card", "read", "scan.jpg", "--stage", "cleared", "--yes")
    assert status == 1
    assert "was read before" in err
    status, _, err = known("export", "KF-2", "--to", "out.txt")
    assert status == 1
    assert "6 of another grade" in err
    assert not (machine / "out.txt").exists()


def test_the_piece_comes_to_as_many_coats_as_it_has(known):
    status, out, err = known("card", "coats", "scan.jpg", "--json")
    assert status == 0, err
    found = json.loads(out)
    assert found["piece"] == "KF-1"
    assert found["low"] < 2 < found["high"]
    assert found["coats"] == pytest.approx(2, abs=0.4)  # the piece was painted as 2 coats


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("card", "read", "chart.csv", "--stage", "bare"), "Give a PNG"),
        (("card", "read", "none.jpg", "--stage", "bare"), "is not there"),
        ((*READ, "--target", "nobody"), "no known colours are called"),
        ((*READ, "--overlay", "card.pdf"), "a file already"),
        (("card", "print", "KF-1", "--to", "card.pdf"), "a file already"),
        (("card", "print", "KF-2", "--to", "new.pdf"), "is a step card"),
        (("card", "print", "KF-1", "KF-1", "--to", "new.pdf"), "stands twice"),
        (("card", "print", "--to", "new.pdf"), "0 pieces"),
        (("card", "print", "--hiding", "KF-1", "--to", "new.pdf"), "no zone over black and over white"),
        (("card", "print", "--steps", "KF-1", "--to", "new.pdf"), "has 0 steps"),
        (TARGET, "recorded already"),
    ],
)
def test_refused_in_words_and_nothing_changed(known, machine, words, said):
    before = sorted(path.name for path in (machine / "lib" / "cards").iterdir())
    status, _, err = known(*words)
    assert status == 1
    assert said.casefold() in err.casefold()
    assert not (machine / "new.pdf").exists()
    assert sorted(path.name for path in (machine / "lib" / "cards").iterdir()) == before


def test_exported_spectra_come_back_as_the_same_readings(shop, machine):
    lines = [
        f"{label},{','.join(f'{0.2 + n / 1000 + shift}' for n in range(31))}"
        for label, shift in (("KF-1", 0), ("KF-3", 0.01))
    ]
    head = "name," + ",".join(str(nm) for nm in range(400, 701, 10))
    (machine / "meter.csv").write_text("\n".join([head, *lines]) + "\n")
    told = ("--set", "scale=unit", "--set", "geometry=45:0", "--set", "stage=bare", "--yes")
    status, _, err = shop("import", "meter.csv", *told)
    assert status == 0, err
    status, out, err = shop("export", "KF-1", "KF-3", "--grade", "spectrum", "--to", "iso.txt")
    assert status == 0, err
    assert "2 readings, bare" in out
    assert "readings of their own" not in out
    assert "0 readings taken in, 2 known" in shop("import", "iso.txt", "--yes")[1]
    (machine / "again.csv").write_text("\n".join([head, lines[1].replace("KF-3", "KF-1")]) + "\n")
    assert "1 reading taken in" in shop("import", "again.csv", *told)[1]
    status, out, err = shop("export", "KF-1", "--grade", "spectrum", "--to", "twice.txt")
    assert status == 0, err
    assert "repeats=replicates" in out
    assert "0 readings taken in, 2 known" in shop("import", "twice.txt", "--set", "repeats=replicates", "--yes")[1]
