"""sprayout keys: sign what this copy saves, and say whose keys count on this machine."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from sprayout_library.cli.desk import Desk
from sprayout_library.cli.told import date_of, rows, say, soft

if TYPE_CHECKING:
    from sprayout_library.store import Store
    from sprayout_library.trust import TrustedKey


@click.group("keys")
def command() -> None:
    """Keys: begin, rotate, trust, withdraw, accept, list.

    A signature says which copy stored something, and no more. Which keys count is said on each machine by its
    own people: compare the fingerprint by telephone or face to face, not by what was synced.
    """


@command.command("begin")
@click.pass_obj
def begin(desk: Desk, /) -> None:
    """Make a key for this copy; all it saves from now on is signed."""
    from sprayout_library.trust import begin_signing

    with desk.store() as store:
        public = begin_signing(store)
        say("From now on this copy signs what it saves. Its key:")
        _tell_own(desk, store, public.line, public.fingerprint)


@command.command("rotate")
@click.pass_obj
def rotate(desk: Desk, /) -> None:
    """Go on to a new key, said with the old one; where the old one was stolen, others withdraw it too."""
    from datetime import UTC, datetime

    from sprayout_library.trust import rotate as go_on

    with desk.store() as store:
        public = go_on(store, datetime.now(UTC))
        say("This copy goes on with a new key:")
        _tell_own(desk, store, public.line, public.fingerprint)
    soft("Others: sprayout sync, then sprayout keys accept")


@command.command("trust")
@click.argument("who", metavar="SHOP-COPY")
@click.argument("fingerprint")
@click.pass_obj
def trust(desk: Desk, /, who: str, fingerprint: str) -> None:
    """Trust the key of SHOP-COPY (a shop, or one of its copies) whose FINGERPRINT its owner told you."""
    from sprayout_core.errors import SprayoutError
    from sprayout_library.record.shops import copies_called, copies_named
    from sprayout_library.trust import claims, trust_key

    with desk.store() as store:
        copies = copies_named(store, who)
        if not copies:
            known = sorted(set(copies_called(store).values()))
            remedy = (
                f"Shops here: {', '.join(known)}." if known else "No shop is named in this library yet: sync first."
            )
            raise SprayoutError(f"no shop and no copy is called {who!r}", remedy)
        said = [claim for claim in claims(store) if claim.copy in copies]
        if not said:
            raise SprayoutError(f"{who} names no key yet", "There: sprayout keys begin, then sync on both sides.")
        fitting = [claim for claim in said if claim.fingerprint == fingerprint.strip()]
        if not fitting:
            raise SprayoutError(
                f"{who} does not name a key with this fingerprint",
                "Compare it once more with its owner, sign by sign. If it differs, someone wrote a key in their name.",
            )
        key = trust_key(store, fitting[0].copy, fitting[0].key)
        say(f"{_whose(store, key.copy)}: trusted on this machine.")
    soft("What it signed: sprayout verify")


@command.command("withdraw")
@click.argument("fingerprint")
@click.pass_obj
def withdraw(desk: Desk, /, fingerprint: str) -> None:
    """Let nothing count any more that a key signed: it was stolen or lost."""
    from datetime import UTC, datetime

    from sprayout_library.trust import withdraw_key

    with desk.store() as store:
        key = withdraw_key(store, fingerprint.strip(), datetime.now(UTC))
        say(f"{_whose(store, key.copy)}: nothing counts any more that this key signed.")
    soft("What that touches: sprayout verify")


@command.command("accept")
@click.pass_obj
def accept(desk: Desk, /) -> None:
    """Trust the new keys that trusted copies went on to, said with their old ones."""
    from sprayout_library.trust import accept_rotations, trusted_keys, verify

    with desk.store() as store:
        accepted = set(accept_rotations(store, verify(store)))
        for key in trusted_keys(store):
            if key.fingerprint in accepted:
                say(f"{_whose(store, key.copy)}: goes on with {key.fingerprint}")
        if not accepted:
            say("No trusted copy went on to a new key.")


@command.command("list")
@click.pass_obj
def list_keys(desk: Desk, /) -> None:
    """List the keys that count here, and those that shops name but nobody here has compared yet."""
    from sprayout_library.trust import claims, trusted_keys

    with desk.store() as store:
        trusted = trusted_keys(store)
        known = {key.fingerprint for key in trusted}
        named = [claim for claim in claims(store) if claim.fingerprint not in known]
        rows([(_whose(store, key.copy), key.fingerprint, _standing(key)) for key in trusted])
        rows([(_whose(store, claim.copy), claim.fingerprint, "named, not compared") for claim in named])
        if not trusted and not named:
            say("No keys: nothing here is signed. To begin: sprayout keys begin")
        if named:
            soft("  Compare with its owner, then: sprayout keys trust SHOP FINGERPRINT")


def _standing(key: TrustedKey) -> str:
    if key.withdrawn:
        return f"withdrawn {date_of(key.withdrawn)}"
    return f"trusted until {date_of(key.until)}" if key.until else "trusted"


def _whose(store: Store, copy: str) -> str:
    from sprayout_library.record.shops import copies_called

    own = ", this copy" if copy == store.copy_id else ""
    return copies_called(store).get(copy, f"copy {copy}") + own


def _tell_own(desk: Desk, store: Store, line: str, fingerprint: str) -> None:
    from sprayout_library.record.shops import announce_key

    say(f"  {fingerprint}")
    if announce_key(desk.writer(store), line):
        soft("Tell others this fingerprint by another way; they say: sprayout keys trust SHOP FINGERPRINT")
    else:
        soft("This copy belongs to no shop yet, so others cannot see its key: sprayout shop --new NAME")
