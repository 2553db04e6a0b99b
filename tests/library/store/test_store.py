import shutil
from concurrent.futures import ThreadPoolExecutor

import pytest
from tests.library.shops import NOW, Add, Put, git, mix, text

from sprayout_core.compare import edit
from sprayout_core.documents import write
from sprayout_library.store import NotALibraryError, StaleError, Store, StoreError


def test_a_new_library_is_empty_and_has_a_copy_id(bench):
    store = bench.shop("a")
    assert store.head is None
    assert len(store.copy_id) == 8
    assert list(store.documents()) == []
    assert store.get(bench.new_id()) is None
    assert Store.open(store.folder).copy_id == store.copy_id


def test_what_was_saved_is_read_back_byte_for_byte(bench):
    store = bench.shop("a")
    teal, violet = bench.material(store, "Weak teal"), bench.material(store, "Weak violet")
    commit = bench.save(store, teal, violet, message="two dyes")
    assert store.head == commit
    assert store.get(teal.id) == teal
    assert store.find(violet.id) == violet
    assert dict(store.raw("material")) == {teal.id: write(teal), violet.id: write(violet)}
    assert [document.title for document in store.documents("formula")] == []
    assert {document.id for document in store.documents()} == {teal.id, violet.id}


def test_documents_lie_by_kind_and_the_end_of_their_id(bench):
    store = bench.shop("a")
    teal = bench.material(store, "Weak teal")
    bench.save(store, teal)
    [path] = git(store.folder, "ls-tree", "-r", "--name-only", "main").splitlines()
    assert path == f"material/{teal.id[-2:]}/{teal.id[-4:-2]}/{teal.id}.json"
    assert git(store.folder, "fsck", "--strict") == ""


def test_a_plain_clone_reads_as_json(bench, tmp_path):
    store = bench.shop("a")
    teal = bench.material(store, "Weak teal")
    bench.save(store, teal)
    git(tmp_path, "clone", "-q", str(store.folder), "plain")
    [path] = (tmp_path / "plain").rglob("*.json")
    assert path.read_bytes() == write(teal)
    with pytest.raises(NotALibraryError, match="plain copy for reading"):
        Store.open(tmp_path / "plain")


def test_history_tells_every_version_newest_first(bench):
    store = bench.shop("a")
    teal = bench.material(store, "Weak teal")
    first = bench.save(store, teal, message="a dye")
    bench.save(store, bench.material(store, "Weak violet"))
    bench.edit(store, teal.id, Put("title", "Weaker teal"))
    newer, older = store.history(teal.id)
    assert (older.commit, older.author, older.copy, older.what, older.message) == (
        first, "ada", store.copy_id, "edit", "a dye",
    )  # fmt: skip
    assert older.at == NOW
    assert store.at(older.commit, teal.id).title == "Weak teal"
    assert store.at(newer.commit, teal.id).title == "Weaker teal"
    assert store.history(bench.new_id()) == []
    with pytest.raises(StoreError, match="did not exist"):
        store.at(older.commit, bench.new_id())
    with pytest.raises(StoreError, match="no version"):
        store.at("--output=x", teal.id)


def test_saving_what_stands_there_makes_no_commit(bench):
    store = bench.shop("a")
    teal = bench.material(store, "Weak teal")
    commit = bench.save(store, teal)
    assert bench.save(store, teal) == commit


def test_a_document_changed_underneath_is_not_saved_over(bench):
    store = bench.shop("a")
    teal, violet = bench.material(store, "Weak teal"), bench.material(store, "Weak violet")
    bench.save(store, teal, violet)
    other = bench.open("a")
    mine = edit(store.get(teal.id), store.copy_id, [Put("title", "Mine")], text(bench.tick()))
    bench.edit(other, teal.id, Put("title", "Theirs"))
    with pytest.raises(StaleError, match=r": was changed by another command"):
        bench.save(store, mine)
    assert bench.open("a").get(teal.id).title == "Theirs"
    bench.edit(store, violet.id, Put("title", "Violet"))  # another document: goes on top
    store.refresh()
    assert store.get(teal.id).title == "Theirs"
    assert store.get(violet.id).title == "Violet"


def test_two_edits_of_one_atom_do_not_slip_past(bench):
    """Both took number 2 and then 3 for the same atom: the second looks newer, yet knows nothing of the first."""
    store = bench.shop("a")
    teal = bench.material(store, "Weak teal")
    bench.save(store, teal)
    other = bench.open("a")
    twice = store.get(teal.id)
    for title in ("One", "Two"):
        twice = edit(twice, store.copy_id, [Put("title", title)], text(bench.tick()))
    bench.edit(other, teal.id, Put("title", "Theirs"))
    with pytest.raises(StaleError):
        bench.save(store, twice)


def test_a_document_not_edited_from_what_stands_there_is_refused(bench):
    store = bench.shop("a")
    teal = bench.material(store, "Weak teal")
    bench.save(store, teal)
    bench.edit(store, teal.id, Put("title", "Weaker teal"))
    forked = edit(teal, store.copy_id, [Add("tags", "deep")], text(bench.tick()))
    with pytest.raises(StaleError, match="not edited from the version"):
        bench.save(store, forked)


def test_several_documents_are_saved_together_or_not_at_all(bench):
    store = bench.shop("a")
    teal = bench.material(store, "Weak teal")
    head = bench.save(store, teal)
    bench.edit(store, teal.id, Put("title", "Weaker teal"))
    head = store.head
    forked = edit(teal, store.copy_id, [Add("tags", "deep")], text(bench.tick()))
    new = bench.material(store, "Weak violet")
    with pytest.raises(StaleError):
        bench.save(store, new, forked)
    assert Store.open(store.folder).head == head
    assert store.get(new.id) is None


def test_writers_at_once_lose_nothing(bench):
    store = bench.shop("a")
    bench.save(store, bench.material(store, "Weak teal"))
    documents = [bench.material(store, f"Dye {number}") for number in range(12)]

    def one(document):
        with Store.open(store.folder) as own:
            return own.save([document], "at once", "ben", NOW)

    with ThreadPoolExecutor(4) as pool:
        commits = list(pool.map(one, documents))
    assert len(set(commits)) == 12
    store.refresh()
    assert {document.id for document in documents} <= {name for name, _ in store.raw()}
    assert git(store.folder, "fsck", "--strict") == ""


def test_a_message_cannot_pretend(bench):
    store = bench.shop("a")
    teal = bench.material(store, "Weak teal")
    commit = store.save([teal], "fold rules=1\n\nSprayout: packet rules=9 copy=zzzzzz", "ada <x@y>\n", NOW)
    raw = git(store.folder, "cat-file", "commit", commit)
    assert raw.endswith(f"\n\nSprayout: edit rules=1 copy={store.copy_id}")
    assert f"author ada x@y <{store.copy_id}@copy.sprayout.invalid> " in raw
    assert store.history(teal.id)[0].what == "edit"


@pytest.mark.parametrize("message", ["", "  \n\t "])
def test_a_save_needs_a_message(bench, message):
    store = bench.shop("a")
    with pytest.raises(StoreError, match="needs a message"):
        store.save([bench.material(store, "Weak teal")], message, "ada", NOW)


def test_a_copied_folder_draws_a_copy_id_of_its_own(bench, tmp_path):
    store = bench.shop("a")
    bench.save(store, bench.material(store, "Weak teal"))
    shutil.copytree(store.folder, tmp_path / "copied")
    twin = bench.open("copied")
    assert twin.copy_id != store.copy_id
    assert twin.head == store.head
    assert Store.open(tmp_path / "copied").copy_id == twin.copy_id
    assert Store.open(store.folder).copy_id == store.copy_id


def test_a_moved_folder_keeps_its_copy_id(bench, tmp_path):
    store = bench.shop("a")
    copy = store.copy_id
    store.folder.rename(tmp_path / "moved")
    assert Store.open(tmp_path / "moved").copy_id == copy


def test_an_inode_used_again_is_another_library(bench):
    store = bench.shop("a")
    facts = store.facts
    facts.put("remotes", {"hub": "somewhere"})
    config = store.folder / "config"
    config.write_text(config.read_text().replace(facts.mark, "0123456789abcdef"))
    again = bench.open("a")
    assert again.facts.copy_id is None
    assert again.facts.get("remotes") is None
    assert again.copy_id != store.copy_id


def test_mixes_read_back_exact(bench):
    store = bench.shop("a")
    teal, strong = bench.material(store, "Weak teal"), bench.material(store, "Strong teal")
    kelp = bench.formula(store, "Kelp glass", {teal.id: 5, strong.id: 2})
    bench.save(store, teal, strong, kelp)
    assert store.get(kelp.id).mix.model_dump(exclude_none=True) == mix({teal.id: 5, strong.id: 2})
