"""What is marked private is named and held back until somebody says it shall go out."""

import json


def test_a_private_note_holds_back_sync_packet_and_gift(shops):
    reed, heath = shops
    reed.said("note", "weak moss", "Private: the price we pay")
    assert "weak moss is marked private" in reed.said("leaving")
    [found] = json.loads(reed.said("leaving", "--json")).values()
    assert len(found["marked_private"]) == 1

    assert "with weak moss, marked private" in reed.refused("sync")
    said = reed.refused("pack", "Sedge")
    assert "marked private: material weak moss" in said.casefold()
    assert 'sprayout pack "Sedge" --yes' in said
    assert not (reed.folder / "Sedge.packet").exists()
    reed.said("create", "other", "--name", "Other works")
    assert "material weak moss" in reed.refused("give", "Sedge", "--to", "Other works")
    assert "with weak moss, marked private" in reed.refused("stick", "write", "all.stick")

    reed.said("pack", "Sedge", "--yes")
    assert (reed.folder / "Sedge.packet").exists()
    assert "given" in reed.said("give", "Sedge", "--to", "Other works", "--yes")
    reed.said("sync", "--yes")
    assert "nothing would leave" in reed.said("leaving")
    heath.said("sync")
    assert "the price we pay" in heath.said("show", "weak moss")


def test_a_private_library_holds_back_packets_and_gifts_too(shops):
    reed, _ = shops
    reed.said("leaving", "--private", "trials")
    assert "this library" in reed.refused("pack", "Sedge")
    reed.said("create", "other", "--name", "Other works")
    assert "this library" in reed.refused("give", "Sedge", "--to", "Other works")
    reed.said("leaving", "--not-private")
    reed.said("pack", "Sedge")


def test_a_note_that_only_speaks_of_private_things_is_no_mark(shops):
    reed, _ = shops
    reed.said("note", "Sedge", "shown at a private party")
    assert "marked private" not in reed.said("leaving")
    reed.said("pack", "Sedge")
