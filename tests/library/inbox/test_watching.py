"""The watched folder, stepped by a clock of the test: each reading exactly once, none lost."""

import os
from pathlib import Path

import pytest

from sprayout_library.inbox import Refused
from sprayout_library.inbox import watching as watching_room
from sprayout_library.store import FullDiskError


def test_what_is_there_is_taken_once(shop):
    shop.put("a.csv", shop.table(("KF-1", 10), ("KF-2", 20)))
    watch = shop.watch()
    assert shop.sorts(shop.run(watch)) == [("taken", "a.csv", 2, 0, 0)]
    assert shop.run(watch) == []
    assert shop.run(shop.watch()) == [], "a new start knows it"
    assert len(shop.readings()) == 2


def test_a_file_is_not_taken_before_it_is_quiet(shop):
    watch = shop.watch(quiet=1.0)
    path = shop.put("a.csv", shop.table(("KF-1", 10)))
    watch.scan()
    for text in ("", shop.row("KF-2", 20), shop.row("KF-2", 30)):
        with path.open("a", encoding="utf-8") as file:
            file.write(text)
        os.utime(path, ns=(int(shop.now * 1e9), int(shop.now * 1e9)))
        assert watch.step(shop.now) == []
        shop.now += 0.5
        assert watch.step(shop.now) == []
        shop.now += 0.4
    told = [*watch.step(shop.now + 0.2), *watch.step(shop.now + 2)]
    assert [one.name for one in told] == ["a.csv"]
    assert isinstance(told[0], Refused), "two rows of one name are asked about"


def test_a_writer_that_pauses_is_waited_for_until_it_closes(shop):
    watch = shop.watch(quiet=1.0, patience=30.0)
    path = shop.put("a.csv", shop.table(("KF-1", 10)))
    watch.settling.written(path)
    assert shop.run(watch, 10) == [], "a pause of ten seconds is no end"
    with path.open("a", encoding="utf-8") as file:
        file.write(shop.row("KF-2", 20))
    watch.settling.written(path)
    assert shop.run(watch, 5) == []
    watch.settling.closed(path)
    assert shop.sorts(shop.run(watch)) == [("taken", "a.csv", 2, 0, 0)]


def test_a_close_that_was_never_heard_does_not_lose_the_file(shop):
    watch = shop.watch(quiet=1.0, patience=5.0)
    path = shop.put("a.csv", shop.table(("KF-1", 10)))
    watch.settling.written(path)
    assert shop.run(watch, 4) == []
    assert shop.sorts(shop.run(watch, 4)) == [("taken", "a.csv", 1, 0, 0)]


def test_rows_added_later_are_taken_and_the_earlier_ones_known(shop):
    watch = shop.watch()
    path = shop.put("a.csv", shop.table(("KF-1", 10)))
    shop.run(watch)
    with path.open("a", encoding="utf-8") as file:
        file.write(shop.row("KF-2", 20))
    assert shop.sorts(shop.run(watch)) == [("taken", "a.csv", 1, 1, 0)]
    assert [value for _, value in shop.readings()] == [0.1, 0.2]


def test_rows_added_under_other_options_are_refused_not_doubled(shop):
    path = shop.put("a.csv", shop.table(("KF-1", 10)))
    shop.run(shop.watch())
    with path.open("a", encoding="utf-8") as file:
        file.write(shop.row("KF-2", 20))
    told = shop.run(shop.watch({**shop.options, "stage": "cleared"}))
    assert shop.sorts(told) == [("refused", "a.csv")] and "under other options" in told[0].reason
    assert shop.sorts(shop.run(shop.watch())) == [("taken", "a.csv", 1, 1, 0)]
    assert len(shop.readings()) == 2


def test_one_file_under_two_names_counts_once(shop):
    text = shop.table(("KF-1", 10), ("KF-2", 20))
    shop.put("a.csv", text)
    shop.put("deep/er/b.csv", text)
    watch = shop.watch()
    assert shop.sorts(shop.run(watch)) == [("taken", "a.csv", 2, 0, 0), ("same", "b.csv", "a.csv")]
    os.link(shop.folder / "a.csv", shop.folder / "c.csv")
    (shop.folder / "a.csv").rename(shop.folder / "d.csv")
    assert shop.sorts(shop.run(watch)) == [("same", "c.csv", "a.csv"), ("same", "d.csv", "a.csv")]
    assert shop.run(shop.watch()) == [], "told once"
    assert len(shop.readings()) == 2


def test_the_same_rows_in_two_tables_of_one_pass_count_once(shop):
    shop.put("a.csv", shop.table(("KF-1", 10), ("KF-2", 20)))
    shop.put("b.csv", shop.table(("KF-2", 20), ("KF-1", 30)))
    assert shop.sorts(shop.run(shop.watch())) == [("taken", "a.csv", 2, 0, 0), ("taken", "b.csv", 1, 1, 0)]


@pytest.mark.parametrize(
    "name", [".a.csv", "~a.csv", "a.csv.tmp", "a.csv.part", "a.csv~", ".hidden/a.csv", "a.CRDOWNLOAD", "#a#"]
)
def test_hidden_and_temporary_files_are_passed_over(shop, name):
    shop.put(name, shop.table(("KF-1", 10)))
    watch = shop.watch()
    assert shop.run(watch) == []
    assert not watch.ours(shop.folder / name)


def test_a_renamed_in_file_is_taken(shop):
    watch = shop.watch()
    path = shop.put("a.csv.part", shop.table(("KF-1", 10)))
    assert shop.run(watch) == []
    path.rename(shop.folder / "a.csv")
    assert shop.sorts(shop.run(watch)) == [("taken", "a.csv", 1, 0, 0)]


def test_what_cannot_be_taken_is_told_once_and_tried_again_when_it_changed(shop):
    path = shop.put("a.csv", shop.table(("KF-1", 10)).replace("10.00", "1O.00"))
    watch = shop.watch()
    told = shop.run(watch)
    assert shop.sorts(told) == [("refused", "a.csv")] and "line 2" in told[0].reason
    assert shop.run(watch) == []
    assert [note.reason for note in shop.inbox().refused()] == [told[0].reason]
    path.write_text(shop.table(("KF-1", 10)), encoding="utf-8")
    assert shop.sorts(shop.run(watch)) == [("taken", "a.csv", 1, 0, 0)]
    assert shop.inbox().refused() == []


def test_what_asks_is_tried_again_with_other_options(shop):
    shop.put("a.csv", shop.table(("KF-1", 10)))
    told = shop.run(shop.watch({"scale": "percent"}))
    assert "--set geometry=... --set stage=..." in told[0].reason
    assert shop.run(shop.watch({"scale": "percent"})) == [], "asked the same, it is the same"
    assert shop.sorts(shop.run(shop.watch())) == [("taken", "a.csv", 1, 0, 0)]


def test_a_file_no_plugin_reads_is_listed(shop):
    (shop.folder / "a.pdf").write_bytes(b"%PDF-1.7 invented")
    assert "is no kind of file that is read here" in shop.run(shop.watch())[0].reason


def test_a_file_replaced_while_it_is_read_is_taken_when_it_rests(shop, monkeypatch):
    path = shop.put("a.csv", shop.table(("KF-1", 10)))
    watch = shop.watch()
    real, swapped = watching_room.copied, []

    def swapping(given, first=0):
        if not swapped:
            swapped.append(given)
            real_open = Path.open

            def opened(self, *words, **more):
                file = real_open(self, *words, **more)
                if self == path:
                    monkeypatch.setattr(Path, "open", real_open)
                    other = path.with_name("b.tmp")
                    other.write_text(shop.table(("KF-2", 20)), encoding="utf-8")
                    other.replace(path)
                return file

            monkeypatch.setattr(Path, "open", opened)
        return real(given, first)

    monkeypatch.setattr(watching_room, "copied", swapping)
    assert shop.sorts(shop.run(watch, 6)) == [("taken", "a.csv", 1, 0, 0)]
    assert [value for _, value in shop.readings()] == [0.2]


def test_a_full_disk_loses_nothing(shop, monkeypatch):
    shop.put("a.csv", shop.table(("KF-1", 10)))
    watch = shop.watch()
    real = type(watch._store).write_ready

    def full(*_, **__):
        raise FullDiskError("the disk is full", "Make room.")

    monkeypatch.setattr(type(watch._store), "write_ready", full)
    told = shop.run(watch, 60)
    assert len(told) == 1 and told[0].passing and "disk is full" in told[0].reason
    monkeypatch.setattr(type(watch._store), "write_ready", real)
    assert shop.sorts(shop.run(watch, 60)) == [("taken", "a.csv", 1, 0, 0)]


def test_a_stop_between_saving_and_noting_doubles_nothing(shop, monkeypatch):
    shop.put("a.csv", shop.table(("KF-1", 10), ("nobody", 20)))
    watch = shop.watch()
    monkeypatch.setattr(watch.inbox.journal, "add", lambda entries: (_ for _ in ()).throw(KeyboardInterrupt))
    with pytest.raises(KeyboardInterrupt):
        shop.run(watch)
    assert len(shop.readings()) == 1
    assert shop.sorts(shop.run(shop.watch())) == [("taken", "a.csv", 0, 1, 1)]
    assert len(shop.readings()) == 1 and len(shop.inbox().rows) == 1


def test_a_library_put_back_to_an_earlier_state_gets_its_readings_again(shop):
    shop.put("a.csv", shop.table(("KF-1", 10)))
    import shutil

    earlier = shop.library.with_name("earlier")
    shutil.copytree(shop.library, earlier)
    shop.run(shop.watch())
    for name in ("objects", "refs"):
        shutil.rmtree(shop.library / name)
        shutil.copytree(earlier / name, shop.library / name)
    assert shop.readings() == []
    assert shop.sorts(shop.run(shop.watch())) == [("taken", "a.csv", 1, 0, 0)]


def test_source_files_are_never_changed(shop):
    path = shop.put("a.csv", shop.table(("KF-1", 10), ("nobody", 20)))
    path.chmod(0o444)
    before = (path.read_bytes(), path.stat().st_mtime_ns, path.stat().st_ino)
    shop.run(shop.watch())
    assert (path.read_bytes(), path.stat().st_mtime_ns, path.stat().st_ino) == before


def test_a_plugin_that_fails_unforeseen_spoils_its_own_file_only(shop, monkeypatch):
    shop.put("a.csv", shop.table(("KF-1", 10)))
    shop.put("b.csv", shop.table(("KF-2", 20)))
    watch = shop.watch()
    real = type(watch._readers).preview

    def failing(self, source, options):
        if source.name == "a.csv":
            raise ZeroDivisionError
        return real(self, source, options)

    monkeypatch.setattr(type(watch._readers), "preview", failing)
    told = shop.run(watch)
    assert shop.sorts(told) == [("refused", "a.csv"), ("taken", "b.csv", 1, 0, 0)]


def test_two_watches_of_one_folder_take_each_reading_once(shop):
    shop.put("a.csv", shop.table(("KF-1", 10), ("KF-2", 20)))
    one, other = shop.watch(), shop.watch()
    one.scan()
    other.scan()
    told = []
    for _ in range(5):
        told += [*one.step(shop.now), *other.step(shop.now)]
        shop.now += 0.5
    assert shop.sorts(told) == [("taken", "a.csv", 2, 0, 0)]
    assert len(shop.readings()) == 2


@pytest.mark.skipif(
    not hasattr(os, "geteuid") or os.geteuid() == 0, reason="whoever may read everything is never refused"
)
def test_a_file_that_may_not_be_read_is_listed_and_tried_again(shop):
    path = shop.put("a.csv", shop.table(("KF-1", 10)))
    path.chmod(0)
    watch = shop.watch()
    told = shop.run(watch, 60)
    assert len(told) == 1 and told[0].passing
    path.chmod(0o644)
    assert shop.sorts(shop.run(watch, 60)) == [("taken", "a.csv", 1, 0, 0)]


def test_a_file_held_by_another_program_is_listed_and_tried_again(shop, monkeypatch):
    path = shop.put("a.csv", shop.table(("KF-1", 10)))
    watch = shop.watch()
    real = Path.open

    def held(self, *words, **more):
        if self == path:
            raise PermissionError(13, "Permission denied")
        return real(self, *words, **more)

    monkeypatch.setattr(Path, "open", held)
    told = shop.run(watch, 60)
    assert len(told) == 1 and told[0].passing and "Permission denied" in told[0].reason
    assert [note.path for note in shop.inbox().refused()] == [str(path)] and watch.refused() == 1
    monkeypatch.setattr(Path, "open", real)
    assert shop.sorts(shop.run(watch, 60)) == [("taken", "a.csv", 1, 0, 0)]
    assert shop.inbox().refused() == [] and watch.refused() == 0


def test_a_row_that_can_be_no_reading_refuses_its_file_and_is_tried_under_other_options(shop):
    text = shop.table(("KF-1", 10), ("KF-2", 280)).replace(
        shop.row("KF-2", 280), shop.row("KF-2", 280).replace("280.00", "9.00")
    )
    shop.put("a.csv", text)
    told = shop.run(shop.watch({**shop.options, "scale_confirmed": "percent"}))
    assert shop.sorts(told) == [("refused", "a.csv")]
    assert "line 3" in told[0].reason and "KF-2" in told[0].reason and "no reflectance factor" in told[0].reason
    assert shop.readings() == []
    told = shop.run(shop.watch({**shop.options, "scale": "thousandths", "scale_confirmed": "thousandths"}))
    assert shop.sorts(told) == [("taken", "a.csv", 2, 0, 0)]


@pytest.fixture
def small_parts(monkeypatch):
    """A table of thirty rows is a large one."""
    from sprayout_library.inbox import batch
    from sprayout_library.store import inflow

    monkeypatch.setattr(batch, "MOST", 7)
    monkeypatch.setattr(batch, "_PART", 5)
    monkeypatch.setattr(inflow, "_TOGETHER", 5)


REPLICATES = {"repeats": "replicates"}


def test_a_large_table_is_saved_in_one_version(shop, small_parts):
    rows = [("KF-1" if number % 3 else "nobody", 10 + number) for number in range(30)]
    shop.put("a.csv", shop.table(*rows))
    before = len(shop.store().git.text("rev-list", shop.store().head).split())
    told = shop.run(shop.watch({**shop.options, **REPLICATES}))
    assert shop.sorts(told) == [("taken", "a.csv", 20, 0, 10)]
    assert len(shop.readings()) == 20 and len(shop.inbox().rows) == 10
    store = shop.store()
    assert len(store.git.text("rev-list", store.head).split()) == before + 1
    assert not list(store.folder.glob("incoming/*"))
    shop.put("b.csv", shop.table(*rows, ("KF-1", 90)))
    assert shop.sorts(shop.run(shop.watch({**shop.options, **REPLICATES}))) == [("taken", "b.csv", 1, 20, 10)]
    assert len(shop.readings()) == 21 and len(shop.inbox().rows) == 10


def test_of_a_large_table_with_a_broken_row_nothing_is_taken(shop, small_parts, monkeypatch):
    """A plugin that finds out too late; the files beside it are taken."""
    from sprayout_core.errors import Fault, FaultsError
    from sprayout_library.inbox import taking

    real = taking.Readers.rows

    def late(self, source, plugin, options):
        yield from real(self, source, plugin, options)
        if source.name == "b.csv":
            raise FaultsError([Fault("line 40", "cut in the middle")])

    monkeypatch.setattr(taking.Readers, "rows", late)
    for name, start in (("a.csv", 10), ("b.csv", 40), ("c.csv", 70)):
        shop.put(name, shop.table(*[("KF-1", start + number / 2) for number in range(20)]))
    told = shop.run(shop.watch({**shop.options, **REPLICATES}))
    assert sorted(shop.sorts(told)) == [
        ("refused", "b.csv"), ("taken", "a.csv", 20, 0, 0), ("taken", "c.csv", 20, 0, 0),
    ]  # fmt: skip
    assert len(shop.readings()) == 40


def test_the_tables_are_kept_by_their_digest_one_copy_of_a_file_that_grew(shop):
    from sprayout_library.sources import Sources

    watch, rows = shop.watch({**shop.options, **REPLICATES}), []
    for number in range(4):
        rows.append(("KF-1", 10 + number))
        shop.put("a.csv", shop.table(*rows))
        shop.run(watch, 3)
    store = shop.store()
    sources = Sources(store.folder)
    named = {one.provenance.source_place: one.provenance.source for one in store.documents("reading")}
    assert len(set(named.values())) == 4
    for place, digest in named.items():
        lines = sources.content(digest).decode().splitlines()
        assert len(lines) == int(place.removeprefix("line "))  # the row is the last one of the table it came in
    whole = [path for path in sources.folder.rglob("*") if path.is_file() and not path.suffix]
    assert len(whole) == 1 and whole[0].read_bytes() == (shop.folder / "a.csv").read_bytes()


def test_no_room_for_the_table_takes_nothing_and_is_tried_again(shop, monkeypatch):
    from sprayout_library.sources import SourceError, Sources

    real = Sources.keep

    def full(*_, **__):
        raise SourceError("cannot be kept: No space left on device", "Check the room on the disk.")

    monkeypatch.setattr(Sources, "keep", full)
    shop.put("a.csv", shop.table(("KF-1", 10)))
    watch = shop.watch()
    (told,) = shop.run(watch, 60)
    assert told.passing and "cannot be kept" in told.reason
    assert shop.readings() == []
    monkeypatch.setattr(Sources, "keep", real)
    assert shop.sorts(shop.run(watch, 60)) == [("taken", "a.csv", 1, 0, 0)]


def test_a_file_that_grows_is_taken_on_after_an_update_of_the_program(shop, monkeypatch):
    from sprayout_library.inbox import taking

    shop.put("a.csv", shop.table(("KF-1", 10)))
    shop.run(shop.watch())
    monkeypatch.setattr(taking, "tool_name", lambda: "sprayout 99.0")
    shop.put("a.csv", shop.table(("KF-1", 10), ("KF-2", 20)))
    told = shop.run(shop.watch(names="{panel}-*.csv"))  # how files are named says nothing about their rows
    assert shop.sorts(told) == [("taken", "a.csv", 1, 1, 0)]
    shop.put("a.csv", shop.table(("KF-1", 10), ("KF-2", 20), ("KF-2", 30)))
    told = shop.run(shop.watch({**shop.options, "stage": "cleared"}))
    assert shop.sorts(told) == [("refused", "a.csv")] and "other options" in told[0].reason
