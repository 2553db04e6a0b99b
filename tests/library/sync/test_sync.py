import shutil

import pytest
from tests.library.shops import Add, Put, git, mix, state

from sprayout_library.store import StoreError
from sprayout_library.sync import (
    RefusedError,
    SyncError,
    UnreachableError,
    add_remote,
    bundle,
    join_remote,
    take_bundle,
)


@pytest.fixture
def pair(bench):
    """Two shops that share a formula through a folder."""
    bench.a = bench.joined("a")
    bench.weak, bench.strong = (bench.material(bench.a, title) for title in ("Weak teal", "Strong teal"))
    bench.kelp = bench.formula(bench.a, "Kelp glass", {bench.weak.id: 9, bench.strong.id: 2})
    bench.save(bench.a, bench.weak, bench.strong, bench.kelp)
    bench.sync(bench.a)
    bench.b, _ = bench.clone("b")
    return bench


def together(bench, *stores):
    for _ in range(2):
        for store in stores:
            assert bench.sync(store).refused == []
    assert len({store.head for store in stores}) == 1
    assert len({str(sorted(state(store).items())) for store in stores}) == 1


def test_a_clone_holds_the_same_bytes_at_the_same_head(pair):
    assert state(pair.b) == state(pair.a)
    assert pair.b.head == pair.a.head
    assert pair.b.copy_id != pair.a.copy_id


def test_different_formulas_join_without_a_question(pair):
    moss = pair.formula(pair.a, "Moss", {pair.weak.id: 1, pair.strong.id: 3})
    violet = pair.formula(pair.b, "Violet", {pair.weak.id: 7, pair.strong.id: 4})
    pair.save(pair.a, moss)
    pair.save(pair.b, violet)
    pair.sync(pair.a)
    report = pair.sync(pair.b)
    assert report.received == [moss.id]
    assert report.sent == [violet.id]
    assert (report.questions, report.refused, report.notes) == ([], [], [])
    assert report.at_remote
    assert report.folded == pair.b.head
    together(pair, pair.a, pair.b)


def test_note_here_and_mix_there_are_both_kept(pair):
    pair.edit(pair.a, pair.kelp.id, Add("notes", {"text": "lay it wet"}))
    pair.edit(pair.b, pair.kelp.id, Put("mix", mix({pair.weak.id: 7, pair.strong.id: 2})))
    together(pair, pair.a, pair.b)
    kelp = pair.a.get(pair.kelp.id)
    assert [note.text for note in kelp.notes.values()] == ["lay it wet"]
    assert kelp.mix.items[pair.weak.id].ratio == 7
    assert not kelp.questions


def test_two_components_of_one_mix_are_two_answers(pair):
    pair.edit(pair.a, pair.kelp.id, Put("mix", mix({pair.weak.id: 7, pair.strong.id: 2})))
    pair.edit(pair.b, pair.kelp.id, Put("mix", mix({pair.weak.id: 9, pair.strong.id: 5})))
    pair.sync(pair.a)
    [question] = pair.sync(pair.b).questions
    assert (question.id, question.atom, question.title) == (pair.kelp.id, "mix", "Kelp glass")
    together(pair, pair.a, pair.b)
    kelp = pair.a.get(pair.kelp.id)
    assert kelp.is_open("mix")
    assert kelp.mix.items is None
    assert len(kelp.questions["mix"]) == 2
    assert pair.sync(pair.a).questions == []  # asked once


def test_the_same_mix_written_differently_is_no_question(pair):
    pair.edit(pair.a, pair.kelp.id, Put("mix/scale", "2"))
    pair.edit(pair.b, pair.kelp.id, Put("mix", mix({pair.weak.id: 7, pair.strong.id: 2})))
    together(pair, pair.a, pair.b)
    assert not pair.a.get(pair.kelp.id).questions


def test_a_settled_question_stays_settled(pair):
    first, second = (mix({pair.weak.id: parts, pair.strong.id: 2}) for parts in (7, 5))
    pair.edit(pair.a, pair.kelp.id, Put("mix", first))
    pair.edit(pair.b, pair.kelp.id, Put("mix", second))
    together(pair, pair.a, pair.b)
    pair.settle(pair.b, pair.kelp.id, "mix", second)
    together(pair, pair.a, pair.b)
    assert not pair.a.get(pair.kelp.id).questions
    assert pair.a.get(pair.kelp.id).mix.items[pair.weak.id].ratio == 5
    assert len(pair.a.history(pair.kelp.id)) >= 4


def test_a_third_shop_that_never_met_the_first_hears_of_it(pair):
    """b sits between two folders; what a saved reaches c through b's own branch."""
    join_remote(pair.b, "far", str(pair.folder / "far"), pair.now)
    c, _ = pair.clone("c", hub="far")
    pair.edit(pair.a, pair.kelp.id, Put("title", "Kelp"))
    pair.sync(pair.a)
    pair.sync(pair.b)
    from sprayout_library.sync import remotes, sync

    sync(pair.b, remotes(pair.b)["far"], pair.now)
    pair.sync(c)
    assert c.get(pair.kelp.id).title == "Kelp"


def test_libraries_that_began_apart_join(bench):
    a, b = bench.shop("a"), bench.shop("b")
    bench.save(a, bench.material(a, "Weak teal"))
    bench.save(b, bench.material(b, "Weak violet"))
    for store in (a, b):
        join_remote(store, "hub", str(bench.folder / "hub"), bench.now)
    together(bench, a, b)
    assert len(state(a)) == 2


def test_one_id_made_on_both_sides(bench):
    a, b = bench.joined("a"), bench.joined("b")
    name = bench.new_id()
    bench.save(a, bench.made(a, "material", {"title": "Weak teal", "role": "dye"}, name))
    bench.save(b, bench.made(b, "material", {"title": "Teal, weak", "role": "dye"}, name))
    together(bench, a, b)
    assert len(a.get(name).questions["title"]) == 2


def test_an_id_of_two_kinds_is_refused(bench):
    a, b = bench.joined("a"), bench.joined("b")
    name, weak = bench.new_id(), bench.new_id()
    bench.save(a, bench.made(a, "material", {"title": "Weak teal", "role": "dye"}, name))
    bench.save(b, bench.made(b, "formula", {"title": "Kelp", "mix": mix({weak: 1})}, name))
    bench.sync(a)
    [fault] = bench.sync(b).refused
    assert "another kind" in fault.problem
    assert name in fault.place


def test_without_the_other_side_work_goes_on(pair):
    (pair.folder / "hub").rename(pair.folder / "unplugged")
    pair.edit(pair.a, pair.kelp.id, Put("title", "Kelp"))
    with pytest.raises(UnreachableError, match="not there"):
        pair.sync(pair.a)
    (pair.folder / "unplugged").rename(pair.folder / "hub")
    assert pair.sync(pair.a).sent == [pair.kelp.id]


def test_a_lost_hub_is_filled_again(pair):
    shutil.rmtree(pair.folder / "hub")
    join_remote(pair.a, "hub", str(pair.folder / "hub"), pair.now)
    assert pair.sync(pair.b).at_remote
    c, _ = pair.clone("c")
    assert state(c) == state(pair.a)


def test_a_branch_that_is_gone_is_told(pair):
    pair.sync(pair.a)
    git(pair.folder / "hub", "update-ref", "-d", f"refs/heads/shops/{pair.b.copy_id}")
    assert pair.b.copy_id in pair.sync(pair.a).notes[0]


def test_a_stick_carries_a_library_there_and_back(pair):
    c = pair.shop("c")
    stick = pair.folder / "stick.bundle"
    bundle(pair.a, stick)
    assert len(take_bundle(c, stick, pair.now).received) == 3
    assert state(c) == state(pair.a)
    pair.edit(c, pair.kelp.id, Put("title", "Kelp"))
    bundle(c, stick)
    assert take_bundle(pair.a, stick, pair.now).received == [pair.kelp.id]
    assert take_bundle(pair.a, stick, pair.now).received == []
    assert state(c) == state(pair.a)
    with pytest.raises(RefusedError, match="no such file"):
        take_bundle(c, pair.folder / "none", pair.now)
    with pytest.raises(SyncError, match="nothing was saved"):
        bundle(pair.shop("empty"), stick)


def test_progress_is_told(pair):
    heard = []
    from sprayout_library.sync import remotes, sync

    pair.edit(pair.b, pair.kelp.id, Put("title", "Kelp"))
    pair.sync(pair.b)
    sync(pair.a, remotes(pair.a)["hub"], pair.now, lambda what, done, whole: heard.append(what))
    assert {"looking", "fetching", "checking", "sending"} <= set(heard)


def test_a_library_is_no_remote_of_itself(pair):
    with pytest.raises(SyncError, match="shared through itself"):
        add_remote(pair.a, "self", str(pair.a.folder))


def test_months_offline_are_one_fold(pair):
    for number in range(12):
        pair.edit(pair.a, pair.kelp.id, Put("title", f"Kelp {number}"))
        pair.edit(pair.b, pair.weak.id, Put("title", f"Teal {number}"))
    pair.sync(pair.a)
    before = git(pair.b.folder, "rev-list", "--count", "main")
    report = pair.sync(pair.b)
    assert report.folded
    assert int(git(pair.b.folder, "rev-list", "--count", "main")) == int(before) + 12 + 1


def test_a_plain_host_may_lose_main_and_nobody_cares(pair):
    git(pair.folder / "hub", "update-ref", "-d", "refs/heads/main")
    pair.edit(pair.a, pair.kelp.id, Put("title", "Kelp"))
    assert pair.sync(pair.a).at_remote
    pair.sync(pair.b)
    assert pair.b.get(pair.kelp.id).title == "Kelp"


def test_somebody_elses_commits_on_main_are_left_alone(pair):
    work = pair.folder / "work"
    git(pair.folder, "clone", "-q", "--branch", "main", str(pair.folder / "hub"), "work")
    (work / "README").write_text("a stranger's text\n")
    git(work, "add", "-A")
    git(work, "commit", "-q", "-m", "a stranger")
    git(work, "push", "-q", "origin", "HEAD:main")
    report = pair.sync(pair.b)
    assert report.refused == []
    pair.edit(pair.a, pair.kelp.id, Put("title", "Kelp"))
    assert pair.sync(pair.a).at_remote
    assert pair.sync(pair.b).received == [pair.kelp.id]


def test_the_fold_does_not_depend_on_who_makes_it(pair):
    c, _ = pair.clone("c")
    stores = (pair.a, pair.b, c)
    for number, store in enumerate(stores):
        pair.edit(store, pair.kelp.id, Put("title", f"Kelp {number}"))
    from sprayout_library.store.objects import Pile
    from sprayout_library.store.trees import trees_of
    from sprayout_library.sync.folding import fold

    heads = [store.head for store in stores]
    for store in stores:
        for other in stores:
            git(store.folder, "fetch", "-q", str(other.folder), "main")
    made = set()
    for store in stores:
        for order in (heads, heads[::-1], heads[1:] + heads[:1]):
            with Pile() as pile:
                made.add(fold(store.git, trees_of(store.git, store.reader), order, pile))
    assert len(made) == 1


def test_at_a_commit_that_is_none(pair):
    with pytest.raises(StoreError):
        pair.a.at("0" * 40, pair.kelp.id)
