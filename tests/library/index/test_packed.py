"""Names come back in the order of the packs, each once, whatever the tables of the packs say."""

import random

import pytest
from tests.library.shops import git

from sprayout_library.index.packed import in_pack_order


@pytest.fixture
def packed(tmp_path):
    """A bare repository with objects in two packs and some in none; their names, and their order by git's own word."""
    git(tmp_path, "init", "-q", "--bare", "library")
    folder = tmp_path / "library"
    written = []
    for first in (0, 40, 80):
        blobs = [f"a line that stays\nnumber {number}\n" * 5 for number in range(first, first + 40)]
        names = [git(folder, "hash-object", "-w", "--stdin", given=blob.encode()) for blob in blobs]
        if first < 80:
            git(folder, "pack-objects", "-q", "objects/pack/pack", given="\n".join(names).encode())
            git(folder, "prune-packed", "-q")
        written.append(names)
    order = []
    for table in sorted((folder / "objects" / "pack").glob("*.idx")):
        lines = git(folder, "show-index", given=table.read_bytes()).splitlines()
        order += [name for _, name in sorted((int(line.split()[0]), line.split()[1]) for line in lines)]
    return folder, order, written[2]


def ordered(folder, names):
    return in_pack_order("".join(f"{name}\n" for name in names).encode(), folder).decode().splitlines()


def test_in_the_order_that_git_tells(packed):
    folder, order, loose = packed
    names = [*order, *loose]
    random.Random(1).shuffle(names)
    found = ordered(folder, names)
    assert found[:80] == order
    assert sorted(found[80:]) == sorted(loose)
    assert ordered(folder, []) == []


@pytest.mark.parametrize("harm", [lambda text: b"", lambda text: text[:500], lambda text: text[:1064], lambda text:
                                  b"\0" * len(text)])  # fmt: skip
def test_a_table_that_is_not_understood_loses_no_name(packed, harm):
    folder, order, loose = packed
    for table in (folder / "objects" / "pack").glob("*.idx"):
        content = table.read_bytes()
        table.chmod(0o644)
        table.write_bytes(harm(content))
    assert sorted(ordered(folder, [*order, *loose])) == sorted([*order, *loose])
