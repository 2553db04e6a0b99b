"""Keys and verify in all three states, and faults named; keys are made by ssh-keygen."""

import json
import shutil
import subprocess

import pytest

from sprayout_library.store import Store

pytestmark = pytest.mark.skipif(shutil.which("ssh-keygen") is None, reason="needs ssh-keygen")


def states(shop):
    _, out, _ = shop("verify", "--json")
    return {(one["shop"], one["state"]) for one in json.loads(out)["counts"]}


def fingerprint(text):
    return next(word for word in text.split() if word.startswith("SHA256:"))


def test_three_states_a_new_key_and_a_withdrawn_one(shops):
    reed, heath = shops
    assert ("Reed shop", "not signed") in states(heath)
    key = fingerprint(reed.said("keys", "begin"))
    assert "has a key already" in reed.refused("keys", "begin")
    reed.said("sync")
    heath.said("sync")
    assert ("Reed shop", "signed by an unknown key") in states(heath)
    assert "named, not compared" in heath.said("keys", "list")
    assert "does not name a key" in heath.refused("keys", "trust", "Reed shop", "SHA256:" + "B" * 43)
    heath.said("keys", "trust", "Reed shop", key)
    assert {("Reed shop", "signed by a known shop"), ("Reed shop", "not signed")} <= states(heath)
    assert ("Reed shop", "signed by an unknown key") not in states(heath)

    new = fingerprint(reed.said("keys", "rotate"))
    assert new != key
    reed.said("sync")
    heath.said("sync")
    assert new in heath.said("keys", "accept")
    assert heath("verify")[0] == 0

    heath.said("keys", "withdraw", key)
    status, out, err = heath("verify")
    assert status == 1
    assert "withdrawn key" in out and "says which key it signs with" in out
    assert "something is wrong" in err.casefold()
    assert "withdrawn" in heath.said("keys", "list")


def test_a_signature_of_another_copys_key_is_named(shops):
    reed, heath = shops
    key = fingerprint(reed.said("keys", "begin"))
    reed.said("sync")
    heath.said("sync")
    heath.said("keys", "trust", "Reed shop", key)
    [public] = (reed.folder / "machine" / "keys").glob("*.pub")
    taken = heath.folder / "machine" / "keys"
    taken.mkdir(exist_ok=True)
    heath.said("verify")  # this machine is the one that is meant
    with Store.open(heath.library) as store:
        copy = store.copy_id
    shutil.copy2(public, taken / f"{copy}.pub")
    shutil.copy2(public.with_suffix(""), taken / copy)
    heath.said("mix", "Stolen = 1 weak moss : 1 strong moss")
    status, out, _ = heath("verify")
    assert status == 1
    assert "Heath shop" in out and "signed with the key of another copy" in out


def test_the_fingerprint_is_the_one_that_ssh_keygen_tells(shops):
    reed, _ = shops
    key = fingerprint(reed.said("keys", "begin"))
    [public] = (reed.folder / "machine" / "keys").glob("*.pub")
    told = subprocess.run(["ssh-keygen", "-lf", str(public)], capture_output=True, text=True, check=True).stdout
    assert key in told
