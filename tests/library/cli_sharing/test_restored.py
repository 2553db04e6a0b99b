"""A restored backup as a shop lives it: nothing is lost, and the shop keeps its name though its copy gets another."""

import shutil

from tests.library.cli_sharing.conftest import put_back


def test_a_restored_library_goes_on_and_is_still_the_shops(shops):
    reed, heath = shops
    kept = reed.folder / "backup"
    shutil.copytree(reed.library, kept)
    reed.said("note", "Sedge", "after the backup")
    reed.said("sync")
    put_back(kept, reed.library)
    reed.said("note", "Sedge", "after the restore")
    assert "nothing was lost" in reed.said("sync")
    told = reed.said("show", "Sedge")
    assert "after the backup" in told
    assert "after the restore" in told
    reed.said("sync")
    heath.said("sync")
    assert "Reed shop" in heath.said("history", "--json")
    history = heath.said("history", "Sedge")
    assert "new note: after the restore" in history
    assert "copy " not in history, "the shop's new copy has no name"


def test_a_library_put_back_as_a_new_folder_is_still_shared_private_and_the_shops(shops):
    """A backup program makes the folder anew; what this machine knows of the library in that place stays true."""
    reed, heath = shops
    kept = reed.folder / "backup"
    shutil.copytree(reed.library, kept)
    reed.said("note", "Sedge", "after the backup")
    reed.said("sync")
    reed.said("leaving", "--private", "trials")
    reed.library.rename(reed.folder / "lost")
    kept.rename(reed.library)
    reed.said("note", "Sedge", "after the restore")
    assert "marked private" in reed.refused("sync")
    assert "1 sent, 1 taken in" in reed.said("sync", "--yes")
    told = reed.said("show", "Sedge")
    assert "after the backup" in told
    assert "after the restore" in told
    reed.said("sync", "--yes")
    heath.said("sync")
    assert "copy " not in heath.said("history", "Sedge")
    shutil.rmtree(reed.library)
    (reed.folder / "lost").rename(reed.library)


def test_a_library_copied_to_another_place_is_not_taken_for_the_restored_one(shops):
    reed, _ = shops
    shutil.copytree(reed.library, reed.folder / "second")
    reed.said("note", "Sedge", "here")
    reed.library, first = reed.folder / "second", reed.library
    assert "not shared yet" in reed.refused("sync")
    reed.library = first
