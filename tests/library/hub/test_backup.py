"""A backup is proved when it is written and when it comes back; a damaged one leaves nothing."""

import pytest
from tests.library.shops import state

from sprayout_library.hub import Hub, HubError
from sprayout_library.hub.backup import back_up, prove, restore


@pytest.fixture
def saved(shops, tmp_path):
    a, _ = shops.at_hub("a", "cal")
    shops.save(a, shops.material(a, "Weak teal"))
    assert shops.sync(a).at_remote
    shops.live.hub.add_library("empty")
    shops.before = state(a)
    shops.file = tmp_path / "hub.backup"
    shops.proof = back_up(shops.live.hub, shops.file)
    return shops


def test_everything_comes_back_with_its_heads(saved, tmp_path):
    proof = restore(saved.file, tmp_path / "again")
    assert proof.heads == saved.proof.heads and len(proof.heads["co-op"]) == 3
    hub = Hub.open(tmp_path / "again")
    assert hub.libraries() == ["co-op", "empty"]
    with hub.store("co-op") as store:
        assert state(store) == saved.before
    assert hub.accounts.visitor(saved.live.tokens["cal"]).name == "cal"
    assert hub.accounts.copies() == saved.live.hub.accounts.copies()
    assert (hub.folder / "received.jsonl").read_bytes() == (saved.live.hub.folder / "received.jsonl").read_bytes()
    hub.close()


def test_a_restored_hub_goes_on_under_a_copy_id_of_its_own(saved, tmp_path):
    restore(saved.file, tmp_path / "again")
    hub = Hub.open(tmp_path / "again")
    with hub.store("co-op") as one, saved.live.hub.store("co-op") as other:
        assert one.copy_id != other.copy_id and one.head == other.head
    hub.close()


def test_no_secret_is_in_a_backup(saved):
    content = saved.file.read_bytes()
    assert not any(secret.encode() in content for secret in saved.live.tokens.values())
    assert b"visits" not in content and saved.file.stat().st_mode & 0o077 == 0


def test_a_damaged_backup_is_refused_and_leaves_nothing(saved, tmp_path):
    whole = saved.file.read_bytes()
    places = [place for place in range(len(whole)) if whole[place]]
    for where in (0.05, 0.3, 0.5, 0.7):
        content = bytearray(whole)
        content[places[int(len(places) * where)]] ^= 0x41
        saved.file.write_bytes(content)
        with pytest.raises(HubError):
            restore(saved.file, tmp_path / "again")
        assert not (tmp_path / "again").exists() and not list(tmp_path.glob(".again*"))


def test_a_cut_or_foreign_file_is_refused(saved, tmp_path):
    content = saved.file.read_bytes()
    for wrong in (content[: len(content) // 2], b"", b"no backup" * 100):
        other = tmp_path / "other"
        other.write_bytes(wrong)
        with pytest.raises(HubError):
            prove(other)


def test_a_backup_never_overwrites(saved, tmp_path):
    with pytest.raises(HubError):
        back_up(saved.live.hub, saved.file)
    with pytest.raises(HubError):
        restore(saved.file, tmp_path)
