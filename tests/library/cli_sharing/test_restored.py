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
