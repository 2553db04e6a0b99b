import json
import sys
from concurrent.futures import ThreadPoolExecutor

import pytest

from sprayout_library.machine import (
    Facts,
    FactsError,
    LockedError,
    PublicKey,
    SigningError,
    fingerprint,
    held,
    home,
    key_of,
    library_facts,
    make_key,
    shop_facts,
    use_key,
    write_whole,
)

KEY = "ssh-ed25519 AAAAC3NzaC1lZDI1NTE5AAAAI" + "A" * 43


def test_the_home_of_facts_can_be_named(monkeypatch, tmp_path):
    monkeypatch.setenv("SPRAYOUT_HOME", str(tmp_path / "mine"))
    assert home() == tmp_path / "mine"
    monkeypatch.delenv("SPRAYOUT_HOME")
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    if sys.platform == "linux":
        assert home() == tmp_path / "data" / "sprayout"


def test_facts_are_kept_by_name(bench):
    facts = shop_facts()
    assert facts.all() == {}
    facts.put("cups", {"small": ["300", "5:2"]})
    facts.put("scale_g", "0.1")
    assert shop_facts().get("cups") == {"small": ["300", "5:2"]}
    facts.put("scale_g", None)
    assert shop_facts().all() == {"cups": {"small": ["300", "5:2"]}}
    assert json.loads(facts.path.read_text(encoding="utf-8"))


def test_writers_at_once_lose_no_fact(bench):
    with ThreadPoolExecutor(8) as pool:
        list(pool.map(lambda number: shop_facts().put(f"cup{number}", number), range(40)))
    assert len(shop_facts().all()) == 40


@pytest.mark.parametrize("content", [b"{", b"[]", b"\xff", b"3"])
def test_a_broken_file_of_facts_is_named_and_left_alone(bench, content):
    path = home() / "shop.json"
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(content)
    with pytest.raises(FactsError, match=r"shop\.json: is no JSON object"):
        shop_facts().put("cups", 1)
    assert path.read_bytes() == content


def test_facts_that_may_not_be_written(bench, tmp_path):
    (tmp_path / "file").write_text("x")
    with pytest.raises(FactsError, match=r"cannot be (written|read)"):
        Facts(tmp_path / "file" / "facts.json").put("a", 1)


def test_a_file_is_replaced_whole(tmp_path):
    write_whole(tmp_path / "x", b"old")
    write_whole(tmp_path / "x", b"new", private=True)
    assert (tmp_path / "x").read_bytes() == b"new"
    assert [path.name for path in tmp_path.iterdir()] == ["x"]


def test_another_folder_has_another_fingerprint(tmp_path):
    (tmp_path / "a").mkdir()
    (tmp_path / "b").mkdir()
    assert fingerprint(tmp_path / "a") != fingerprint(tmp_path / "b")
    before = fingerprint(tmp_path / "a")
    (tmp_path / "a").rename(tmp_path / "c")
    assert fingerprint(tmp_path / "c") == before


def test_facts_of_a_library_belong_to_its_mark(bench, tmp_path):
    (tmp_path / "a").mkdir()
    facts = library_facts(tmp_path / "a", "0" * 16)
    facts.drawn("k7f3q2", tmp_path / "a")
    facts.put("remotes", {"hub": "/srv/shared"})
    assert library_facts(tmp_path / "a", "0" * 16).copy_id == "k7f3q2"
    other = library_facts(tmp_path / "a", "1" * 16)
    assert (other.copy_id, other.get("remotes")) == (None, None)
    other.drawn("m2x9ab", tmp_path / "a")
    assert library_facts(tmp_path / "a", "0" * 16).copy_id is None


def test_a_lock_keeps_others_out_and_lets_go(tmp_path):
    first, second = (held(tmp_path / "x.lock", seconds=0.05) for _ in range(2))
    with first, pytest.raises(LockedError, match="another command is writing"):
        second.__enter__()
    with held(tmp_path / "x.lock", seconds=0.05):
        assert (tmp_path / "x.lock").exists()


def test_a_key_is_used_only_when_it_is_put_in_place(bench):
    assert key_of("k7f3q2") is None
    following = make_key("k7f3q2")
    assert make_key("k7f3q2").public == following.public  # an interrupted call goes on
    assert key_of("k7f3q2") is None
    assert use_key("k7f3q2").public == following.public
    assert key_of("k7f3q2").sign(b"x") == key_of("k7f3q2").sign(b"x")
    with pytest.raises(SigningError, match="no next key"):
        use_key("k7f3q2")


def test_public_keys_and_their_fingerprints():
    assert PublicKey.read(KEY + " a comment").line == KEY
    assert PublicKey.read(KEY).fingerprint.startswith("SHA256:")
    for text in ("", "ssh-ed25519", "ssh-rsa AAAA", KEY[:-5], "-oProxyCommand=x " + KEY):
        with pytest.raises(SigningError):
            PublicKey.read(text)
