import os
import threading

import pytest
from tests.library.shops import git

from sprayout_library.index import Index, stream
from sprayout_library.index.stream import every, objects
from sprayout_library.store import DamagedError

NAMES = [f"{number:040x}" for number in range(1, 200)]
CONTENTS = [b"line\n" * number + b"end" for number in range(198)] + [b"long\n" * 200_000]


def piped(content):
    """What is read of a pipe into which another writes as fast as it can."""
    reading, writing = os.pipe()

    def write():
        with os.fdopen(writing, "wb") as end:
            end.write(content)

    writer = threading.Thread(target=write)
    writer.start()
    try:
        with os.fdopen(reading, "rb") as end:
            return list(objects(end))
    finally:
        writer.join()


def told(names, contents):
    return b"".join(
        b"%s blob %d\n%s\n" % (name.encode(), len(text), text) for name, text in zip(names, contents, strict=True)
    )


def test_objects_come_out_as_they_went_in():
    assert piped(told(NAMES, CONTENTS)) == list(zip(NAMES, CONTENTS, strict=True))
    assert piped(b"") == []


@pytest.mark.parametrize(
    "harm",
    [lambda text: text[:-1], lambda text: text[:-5], lambda text: text + b"0" * 40 + b" missing\n",
     lambda text: text[:20], lambda text: text.replace(b" blob ", b" tree ", 1)],
)  # fmt: skip
def test_what_is_cut_off_or_missing_is_told(harm):
    with pytest.raises(DamagedError):
        piped(harm(told(NAMES[:3], CONTENTS[:3])))


def test_a_document_that_is_none_is_told_and_nothing_is_indexed(bench):
    store = bench.shop("a")
    bench.save(store, bench.material(store, "Weak teal"))
    assert [one.title for one, _, _ in every(store, "material")] == ["Weak teal"]
    assert list(every(store, "panel")) == []
    blob = git(store.folder, "hash-object", "-w", "--stdin", given=b"no document")
    git(store.folder, "update-index", "--add", "--cacheinfo", f"100644,{blob},panel/aa/bb/none.json")
    tree = git(store.folder, "write-tree")
    commit = git(store.folder, "commit-tree", tree, "-m", "by hand")
    git(store.folder, "update-ref", f"refs/heads/shops/{store.copy_id}", commit)
    store.refresh()
    with pytest.raises(DamagedError, match="is no panel"):
        list(every(store, "panel"))
    with pytest.raises(DamagedError):
        Index.open(store)


def test_a_library_is_read_in_parts_by_several_children(bench, monkeypatch):
    monkeypatch.setattr(stream, "_PART", 3 * 41)
    store = bench.shop("a")
    titles = {f"Dye {number}" for number in range(11)}
    bench.save(store, *(bench.material(store, title) for title in sorted(titles)))
    found = list(every(store, "material"))
    assert {one.title for one, _, _ in found} == titles
    assert len({blob for _, blob, _ in found}) == 11
    some = every(store, "material")
    next(some)
    some.close()  # whoever has seen enough leaves no child behind: a warning would tell
    assert len(list(every(store, "material"))) == 11


def test_a_child_that_breaks_off_is_told(bench, monkeypatch):
    store = bench.shop("a")
    bench.save(store, bench.material(store, "Weak teal"))
    monkeypatch.setattr(stream, "_WORDS", ("cat-file", "--batch", "--no-such-word"))
    with pytest.raises(DamagedError, match="does not read"):
        list(every(store, "material"))
