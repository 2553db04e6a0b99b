from datetime import timedelta

import pytest
from tests.library.shops import Put, git

from sprayout_library import trust
from sprayout_library.machine import PublicKey, SigningError, key_of
from sprayout_library.store import Person
from sprayout_library.store.commits import commit_bytes, edit_message
from sprayout_library.store.objects import Pile
from sprayout_library.store.writing import copy_mail
from sprayout_library.trust import State

NEXT_KEY = "ssh-ed25519 AAAAC3NzaC1lZDI1NTE5AAAAI" + "A" * 43


@pytest.fixture
def shops(bench):
    bench.a, bench.b = bench.joined("a"), bench.joined("b")
    bench.key = trust.begin_signing(bench.a)
    bench.teal = bench.material(bench.a, "Weak teal")
    bench.save(bench.a, bench.teal)
    bench.sync(bench.a)
    bench.sync(bench.b)
    return bench


def states(store):
    return {one.commit: one.state for one in trust.verify(store).checked}


def forged(store, at, message=None, key=None, copy=None, committer_copy=None):
    """An edit commit on top of the head, made by hand; moves no reference but the library's own main and branch."""
    copy = copy or store.copy_id
    person = Person("ada", copy_mail(committer_copy or copy), int(at.timestamp()))
    tree = store.git.text("rev-parse", f"{store.head}^{{tree}}")
    message = message or edit_message("forged", copy)
    content = commit_bytes(tree, (store.head,), person, person, message)
    if key is not None:
        content = commit_bytes(tree, (store.head,), person, person, message, key.sign(content))
    with Pile() as pile:
        commit = pile.add("commit", content)
        pile.write(store.git)
    for name in (f"refs/heads/shops/{store.copy_id}", "refs/heads/main"):
        git(store.folder, "update-ref", name, commit)
    store.refresh()
    return commit


def test_first_contact_works_unsigned_and_says_so(bench):
    a, b = bench.joined("a"), bench.joined("b")
    bench.save(a, bench.material(a, "Weak teal"))
    bench.sync(a)
    assert bench.sync(b).refused == []
    assert set(states(b).values()) == {State.UNSIGNED}
    assert trust.trusted_keys(b) == []
    assert list(trust.verified_lines(trust.verify(b))) == ["1 not signed"]


def test_the_three_states(shops):
    bench = shops
    bench.save(bench.b, bench.material(bench.b, "Strong teal"))
    bench.sync(bench.b)
    assert sorted(state.name for state in states(bench.b).values()) == ["UNKNOWN", "UNSIGNED"]
    trust.trust_key(bench.b, bench.a.copy_id, bench.key.line)
    assert sorted(state.name for state in states(bench.b).values()) == ["KNOWN", "UNSIGNED"]
    assert trust.verify(bench.b).wrong == []


def test_git_itself_agrees_that_the_signature_is_good(shops):
    allowed = shops.folder / "allowed"
    allowed.write_text(f"{shops.a.copy_id} {shops.key.line}\n")
    said = git(
        shops.a.folder, "-c", "gpg.format=ssh", "-c", f"gpg.ssh.allowedSignersFile={allowed}",
        "log", "-1", "--format=%G? %GS %GF", "main",
    )  # fmt: skip
    assert said == f"G {shops.a.copy_id} {shops.key.fingerprint}"


def test_an_unsigned_copy_stays_unsigned_and_a_signing_one_signs_everything(shops):
    shops.edit(shops.a, shops.teal.id, Put("title", "Teal"))
    raw = git(shops.a.folder, "cat-file", "commit", "main")
    assert "gpgsig -----BEGIN SSH SIGNATURE-----" in raw
    with pytest.raises(trust.TrustError, match="a key already"):
        trust.begin_signing(shops.a)


def test_a_fold_is_made_again(shops):
    shops.edit(shops.a, shops.teal.id, Put("title", "A"))
    shops.edit(shops.b, shops.teal.id, Put("title", "B"))
    shops.sync(shops.a)
    shops.sync(shops.b)
    assert State.FOLD in states(shops.b).values()


def test_a_fold_that_somebody_changed_is_told(shops):
    shops.edit(shops.a, shops.teal.id, Put("title", "A"))
    shops.edit(shops.b, shops.teal.id, Put("title", "B"))
    shops.sync(shops.a)
    shops.sync(shops.b)
    fold = git(shops.b.folder, "cat-file", "commit", shops.b.head)
    changed = fold.replace(fold.split("\n")[0], "tree " + git(shops.b.folder, "rev-parse", "main^1^{tree}")) + "\n"
    name = git(shops.b.folder, "hash-object", "-t", "commit", "-w", "--stdin", given=changed.encode())
    git(shops.b.folder, "update-ref", f"refs/heads/shops/{shops.b.copy_id}", name)
    shops.b.refresh()
    assert states(shops.b)[name] is State.DIFFERENT


def test_a_key_of_one_copy_proves_nothing_about_another(shops):
    """The trap: the signature is good, and the commit says it is of somebody else."""
    trust.trust_key(shops.b, shops.a.copy_id, shops.key.line)
    commit = forged(shops.b, shops.now, key=key_of(shops.a.copy_id))
    assert states(shops.b)[commit] is State.ANOTHERS


def test_a_changed_commit_does_not_fit_its_signature(shops):
    raw = git(shops.a.folder, "cat-file", "commit", "main") + "\n"
    name = git(
        shops.a.folder, "hash-object", "-t", "commit", "-w", "--stdin", given=raw.replace("a save", "a lie").encode()
    )
    git(shops.a.folder, "update-ref", f"refs/heads/shops/{shops.a.copy_id}", name)
    shops.a.refresh()
    assert states(shops.a)[name] is State.BROKEN


def test_a_withdrawn_key_proves_nothing_any_more(shops):
    trust.trust_key(shops.b, shops.a.copy_id, shops.key.line)
    trust.withdraw_key(shops.b, shops.key.fingerprint, shops.now)
    assert set(states(shops.b).values()) == {State.WITHDRAWN}
    with pytest.raises(trust.TrustError, match="was withdrawn"):
        trust.trust_key(shops.b, shops.a.copy_id, shops.key.line)
    with pytest.raises(trust.TrustError, match="not trusted here"):
        trust.withdraw_key(shops.b, "SHA256:nobody", shops.now)


def test_going_on_to_a_new_key(shops):
    trust.trust_key(shops.b, shops.a.copy_id, shops.key.line)
    new = trust.rotate(shops.a, shops.tick())
    shops.edit(shops.a, shops.teal.id, Put("title", "Teal"))
    assert new.fingerprint != shops.key.fingerprint
    assert set(states(shops.a).values()) == {State.KNOWN}
    shops.sync(shops.a)
    shops.sync(shops.b)
    found = trust.verify(shops.b)
    assert [(copy, public) for copy, public, _, _ in found.rotations] == [(shops.a.copy_id, new)]
    assert {one.state for one in found.checked} == {State.KNOWN}
    assert trust.accept_rotations(shops.b, found) == [new.fingerprint]
    assert trust.verify(shops.b).rotations == []
    assert set(states(shops.b).values()) == {State.KNOWN}


@pytest.fixture
def thief(shops):
    """Somebody who holds a copy of the old key's file."""
    old = key_of(shops.a.copy_id)
    stolen = shops.folder / "stolen"
    stolen.write_bytes(old.path.read_bytes())
    stolen.chmod(0o600)
    return type(old)(stolen, old.public)


def test_after_a_rotation_the_old_key_counts_only_for_what_the_rotation_contains(shops, thief):
    before = shops.now
    trust.trust_key(shops.b, shops.a.copy_id, shops.key.line)
    trust.rotate(shops.a, shops.tick())
    late = forged(shops.a, shops.tick() + timedelta(hours=1), key=thief)
    back = forged(shops.a, before, key=thief)
    shops.sync(shops.a)
    shops.sync(shops.b)
    trust.accept_rotations(shops.b, trust.verify(shops.b))
    found = states(shops.b)
    assert (found.pop(late), found.pop(back)) == (State.ENDED, State.BACKDATED)
    assert set(found.values()) == {State.KNOWN}


def test_without_a_rotation_the_receive_log_catches_a_back_dated_commit(shops, thief):
    """The key was ended by word of mouth; only the log of a machine that received it knows when it came."""
    before = shops.now
    end = trust.Ended(shops.tick().strftime("%Y-%m-%dT%H:%M:%SZ"))
    for store in (shops.a, shops.b):
        trust.trust_key(store, shops.a.copy_id, shops.key.line)
        trust.trust_key(store, shops.a.copy_id, NEXT_KEY, end)
    back = forged(shops.a, before, key=thief)
    assert states(shops.a)[back] is State.KNOWN  # its date lies, and nothing here knows better
    shops.sync(shops.a)
    shops.sync(shops.b)  # received by this machine's clock, which is after the end of the key
    assert states(shops.b)[back] is State.BACKDATED


def test_rotation_by_an_unknown_key_is_not_believed(shops):
    trust.rotate(shops.a, shops.tick())
    shops.sync(shops.a)
    shops.sync(shops.b)
    found = trust.verify(shops.b)
    assert found.rotations == []
    assert State.KNOWN not in found.counts


def test_what_shops_claim_is_only_a_claim(shops):
    copies = {shops.a.copy_id: {"name": "office", "key": shops.key.line}}
    shops.save(shops.a, shops.made(shops.a, "shop", {"title": "Weir lane", "copies": copies}))
    shops.sync(shops.a)
    shops.sync(shops.b)
    [claim] = trust.claims(shops.b)
    assert (claim.shop, claim.copy, claim.fingerprint, claim.trusted) == (
        "Weir lane", shops.a.copy_id, shops.key.fingerprint, False,
    )  # fmt: skip
    assert State.KNOWN not in states(shops.b).values()
    trust.trust_key(shops.b, claim.copy, claim.key)
    assert trust.claims(shops.b)[0].trusted


def test_packets_carry_a_detached_signature(shops):
    content = b'{"invented": "packet"}\n'
    signature = trust.sign_packet(shops.a, content)
    assert trust.check_packet(shops.b, content, signature).state is State.UNKNOWN
    trust.trust_key(shops.b, shops.a.copy_id, shops.key.line)
    assert trust.check_packet(shops.b, content, signature).copy == shops.a.copy_id
    assert trust.check_packet(shops.b, content + b" ", signature).state is State.BROKEN
    assert trust.check_packet(shops.b, content, "").state is State.UNSIGNED
    assert trust.sign_packet(shops.b, content) == ""
    commit_signature = key_of(shops.a.copy_id).sign(content)  # made for commits: no signature of a packet
    assert trust.check_packet(shops.b, content, commit_signature).state is State.BROKEN
    with pytest.raises(trust.TrustError, match="no signature"):
        trust.check_packet(shops.b, content, "-----BEGIN SSH SIGNATURE-----\nAAAA\n-----END SSH SIGNATURE-----")


def test_only_ed25519_keys_are_read():
    with pytest.raises(SigningError, match="no Ed25519"):
        PublicKey.read("ssh-rsa AAAAB3NzaC1yc2EAAAADAQABAAAAgQ==")


def test_only_what_is_new_is_verified_again(shops):
    first = trust.verify(shops.a)
    shops.edit(shops.a, shops.teal.id, Put("title", "Teal"))
    assert len(trust.verify(shops.a, [first.checked[-1].commit]).checked) == 1


def test_keys_lie_outside_the_library_and_only_their_owner_reads_them(shops):
    key = key_of(shops.a.copy_id)
    assert shops.folder / "home" in key.path.parents
    assert key.path.stat().st_mode & 0o077 == 0
    assert "PRIVATE KEY" not in "".join(
        path.read_text(errors="replace") for path in shops.a.folder.rglob("*") if path.is_file()
    )
