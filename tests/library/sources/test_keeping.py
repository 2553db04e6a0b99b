"""Sources lie beside the library under their digest, are put once and read checked."""

import pytest

from sprayout_library.sources import LARGEST_SOURCE, SourceError, Sources, digest_of


def test_a_source_is_kept_under_its_digest_beside_git(bench):
    store = bench.shop("a")
    kept = Sources(store.folder)
    name = kept.keep(b"a table")
    assert name == digest_of(b"a table")
    assert kept.path(name) == store.folder / "sources" / name[7:9] / name[7:]
    assert kept.content(name) == b"a table"
    assert kept.has(name)
    assert type(store).open(store.folder).head == store.head


def test_keeping_twice_writes_nothing(bench):
    kept = Sources(bench.shop("a").folder)
    path = kept.path(kept.keep(b"a table"))
    before = path.stat().st_mtime_ns
    kept.keep(b"a table")
    assert path.stat().st_mtime_ns == before


def test_what_is_not_what_its_digest_says_is_refused(bench):
    kept = Sources(bench.shop("a").folder)
    with pytest.raises(SourceError, match="not what its digest says"):
        kept.keep(b"another", digest_of(b"a table"))
    name = kept.keep(b"a table")
    kept.path(name).write_bytes(b"b table")
    with pytest.raises(SourceError, match="damaged"):
        kept.content(name)


@pytest.mark.parametrize("name", ["", "sha256:", "sha256:../../../HEAD", "sha256:" + "A" * 64, "md5:" + "0" * 64])
def test_what_is_no_digest_names_no_file(bench, name):
    with pytest.raises(SourceError, match="no digest"):
        Sources(bench.shop("a").folder).content(name)


def test_an_unknown_one_is_not_here_and_a_large_one_is_refused(bench):
    kept = Sources(bench.shop("a").folder)
    assert kept.content("sha256:" + "0" * 64) is None
    with pytest.raises(SourceError, match="50"):
        kept.keep(bytes(LARGEST_SOURCE + 1))


def test_a_table_that_grew_is_kept_once(bench):
    kept = Sources(bench.shop("a").folder)
    states = [b"line\n" * count for count in range(1, 6)]
    names = [kept.keep(state) for state in states]
    for earlier, later, state in zip(names, names[1:], states, strict=False):
        kept.grown(earlier, len(state), later)
    assert [kept.content(name) for name in names] == states
    assert all(kept.has(name) for name in names)
    assert [path for path in kept.folder.rglob("*") if path.is_file() and not path.suffix] == [kept.path(names[-1])]
    kept.path(names[-1]).write_bytes(b"Line\n" * 5)
    with pytest.raises(SourceError, match="damaged"):
        kept.content(names[0])
    kept.path(names[-1]).unlink()
    assert [kept.content(name) for name in names] == [None] * 5


def test_only_what_is_its_start_is_kept_with_a_later_one(bench):
    kept = Sources(bench.shop("a").folder)
    one, other = kept.keep(b"a table"), kept.keep(b"another table")
    kept.grown(one, 7, other)
    kept.grown(one, 7, one)
    kept.grown(one, 7, "sha256:" + "0" * 64)
    assert (kept.content(one), kept.content(other)) == (b"a table", b"another table")


def test_starts_that_point_at_each_other_end(bench):
    kept = Sources(bench.shop("a").folder)
    one, two = "sha256:" + "1" * 64, "sha256:" + "2" * 64
    for here, there in ((one, two), (two, one)):
        kept.path(here).parent.mkdir(parents=True)
        kept.path(here).with_suffix(".start").write_text(f"{there} 3\n")
    assert kept.content(one) is None
