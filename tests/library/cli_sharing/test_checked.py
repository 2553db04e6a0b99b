"""Check: a whole copy, leftovers of a killed command, a damaged copy, many small pieces."""

import hashlib
import json
import os
import subprocess
import zlib


def test_a_whole_copy(reed):
    told = reed.said("check")
    assert "Whole:" in told
    assert json.loads(reed.said("check", "--json"))["whole"] is True


def test_leftovers_are_thrown_away(shops):
    reed, _ = shops
    lock = reed.library / "refs" / "heads" / "main.lock"
    piece = reed.library / "objects" / "pack" / "tmp_pack_abc"
    for path in (lock, piece):
        path.parent.mkdir(exist_ok=True)
        path.write_bytes(b"")
        os.utime(path, (1, 1))
    assert "2 pieces" in reed.said("check")
    assert lock.exists()
    assert "2 leftovers" in reed.said("check", "--mend")
    assert not lock.exists() and not piece.exists()


def test_a_second_name_that_was_moved_is_put_right(shops):
    reed, _ = shops
    head = subprocess.run(["git", "-C", str(reed.library), "rev-parse", "main~1"], capture_output=True, check=True)
    (reed.library / "refs" / "heads" / "main").write_bytes(head.stdout)
    status, out, err = reed("check")
    assert status == 1 and "--mend" in err and "refs/" not in out
    assert "Put right" in reed.said("check", "--mend")
    assert "Whole:" in reed.said("check")


def test_a_document_that_is_gone_is_told_and_not_made_up(shops):
    reed, _ = shops
    said = subprocess.run(
        ["git", "-C", str(reed.library), "ls-tree", "-r", "main", "formula/"],
        capture_output=True,
        text=True,
        check=True,
    ).stdout
    blob = said.split()[2]
    packs = reed.library / "objects" / "pack"
    for pack in list(packs.glob("*.pack")):
        moved = reed.folder / pack.name
        pack.replace(moved)
        pack.with_suffix(".idx").unlink()
        with moved.open("rb") as file:
            subprocess.run(["git", "-C", str(reed.library), "unpack-objects", "-q"], stdin=file, check=True)
    broken = reed.library / "objects" / blob[:2] / blob[2:]
    broken.chmod(0o644)
    broken.write_bytes(b"not what it was")
    for words in (("check",), ("check", "--mend")):
        status, out, err = reed(*words)
        assert status == 1, (out, err)
        assert "missing or broken" in out
        assert "Traceback" not in err and "blob" not in out + err
    assert "join again" in err.casefold()


def test_many_small_pieces_are_tidied(shops):
    reed, _ = shops
    for number in range(2600):
        content = f"piece {number}".encode()
        digest = hashlib.sha1(b"blob %d\0" % len(content) + content, usedforsecurity=False).hexdigest()
        if digest.startswith("17"):
            path = reed.library / "objects" / "17" / digest[2:]
            path.parent.mkdir(exist_ok=True)
            path.write_bytes(zlib.compress(b"blob %d\0" % len(content) + content))
    assert "tidied up it is quicker" in reed.said("check")
    assert "Tidied up" in reed.said("check", "--mend")
    assert "Whole:" in reed.said("check")


def test_a_branch_that_is_gone_is_told_by_its_shops_name(shops, written):
    reed, _ = shops
    for branch in (written / "shared" / "refs" / "heads" / "shops").iterdir():
        branch.unlink()
    assert "what Heath shop saved is gone from hub" in reed.said("sync")
