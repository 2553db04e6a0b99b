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
