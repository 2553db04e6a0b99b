"""People, their shops and roles, the tokens that stand for them, and which copies of a library are whose.

A token is 256 random bits, so its plain SHA-256 is kept: guessing one is out of reach at any speed, and a slow hash,
which passwords need, would only make each request slow. There are no passwords.
"""

from __future__ import annotations

import hashlib
import re
import secrets
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from sprayout_library.hub.errors import HubError, NoSuchError
from sprayout_library.machine import Facts

__all__ = ["EVERYWHERE", "ROLES", "Accounts", "Person", "Token", "Visitor"]

#: What a person may do, each including those before it: look; send and write; keep people and tokens.
ROLES = ("reader", "contributor", "keeper")
#: Stands for every library of the hub.
EVERYWHERE = "*"

_NAME = re.compile(r"[a-z0-9][a-z0-9.-]{0,39}", re.ASCII)
_TOKEN = re.compile(r"spray-[0-9a-f]{64}", re.ASCII)
_MOST_VISITS = 2_000


@dataclass(frozen=True, slots=True)
class Person:
    """Somebody who may come in: a handle, the shop, roles by library."""

    name: str
    shop: str
    roles: Mapping[str, str]
    withdrawn: str


@dataclass(frozen=True, slots=True)
class Token:
    """What is known of a token; the token itself is not."""

    id: str
    person: str
    label: str
    made: str
    used: str
    until: str
    withdrawn: str


@dataclass(frozen=True, slots=True)
class Visitor:
    """Who asks: the person, the shop, the roles, and by which token; nobody has no name and no role."""

    name: str = ""
    shop: str = ""
    roles: Mapping[str, str] = field(default_factory=dict)
    token: str = ""

    @property
    def owner(self) -> str:
        """Who the copies are booked to that this visitor sends from: the shop, where there is one."""
        return f"shop {self.shop}" if self.shop else f"person {self.name}"

    def role(self, library: str) -> str:
        """Return the role in a library, or "" for none."""
        found = [self.roles[place] for place in (library, EVERYWHERE) if place in self.roles]
        return max(found, key=ROLES.index, default="")

    def may(self, library: str, role: str) -> bool:
        """Say whether the visitor has at least this role there."""
        own = self.role(library)
        return bool(own) and ROLES.index(own) >= ROLES.index(role)


def _text(at: datetime) -> str:
    return at.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


def _digest(secret: str) -> str:
    return hashlib.sha256(secret.encode("ascii", "replace")).hexdigest()


def _now() -> datetime:
    return datetime.now(UTC)


class Accounts:
    """The accounts of one hub, in files only its owner may read."""

    def __init__(
        self,
        folder: Path,
        clock: Callable[[], datetime] = _now,
        random: Callable[[int], bytes] = secrets.token_bytes,
    ) -> None:
        self._people = Facts(folder / "people.json", private=True)
        self._visits = Facts(folder / "visits.json", private=True)
        self._claims = Facts(folder / "copies.json", private=True)
        self._clock, self._random = clock, random
        self._kept: dict[Path, tuple[tuple[int, int, int], dict[str, Any]]] = {}

    def _all(self, facts: Facts) -> dict[str, Any]:
        """Return the facts of a file, read again only when it was written."""
        try:
            seen = facts.path.stat()
        except FileNotFoundError:
            return {}
        stamp = (seen.st_mtime_ns, seen.st_size, seen.st_ino)
        kept = self._kept.get(facts.path)
        if kept is None or kept[0] != stamp:
            kept = self._kept[facts.path] = (stamp, facts.all())
        return kept[1]

    # ---- people -----------------------------------------------------------------------------------------

    def people(self) -> list[Person]:
        """Return everybody, by name."""
        return [_person(name, held) for name, held in sorted(self._all(self._people).get("people", {}).items())]

    def add(self, name: str, role: str, library: str = EVERYWHERE, shop: str = "") -> Person:
        """Let a person in, or give a known one another role or shop. Raises HubError for what is no name or role."""
        if not _NAME.fullmatch(name):
            raise HubError(f"{name[:60]!r} is no handle", "Small letters, digits, dots, dashes; up to 40.")
        if role not in ROLES:
            raise HubError(f"{role[:60]!r} is no role", f"One of: {', '.join(ROLES)}.")
        if len(shop) > 80 or (shop and not shop.isprintable()):
            raise HubError("is no name of a shop", "Up to 80 letters.")

        def change(facts: dict[str, Any]) -> None:
            held = facts.setdefault("people", {}).setdefault(name, {"roles": {}, "shop": ""})
            held["roles"][library] = role
            held["shop"] = shop or held["shop"]
            held.pop("withdrawn", None)

        return _person(name, self._people.change(change)["people"][name])

    def withdraw(self, name: str) -> None:
        """Let a person in no more: their tokens and sign-ins end with it. What they sent stays."""

        def change(facts: dict[str, Any]) -> None:
            if name not in facts.get("people", {}):
                raise NoSuchError(f"nobody here is called {name[:60]!r}", "See: sprayout hub people")
            facts["people"][name]["withdrawn"] = _text(self._clock())

        self._people.change(change)

    # ---- tokens -----------------------------------------------------------------------------------------

    def tokens(self) -> list[Token]:
        """Return what is known of every token, newest first."""
        found = [_token(name, held) for name, held in self._all(self._people).get("tokens", {}).items()]
        return sorted(found, key=lambda token: (token.made, token.id), reverse=True)

    def issue(self, person: str, label: str = "", days: int = 0) -> tuple[Token, str]:
        """Return a new token for a person, and its secret, which nobody can show again.

        days   after which it ends; 0 for never
        """
        secret = f"spray-{self._random(32).hex()}"
        identity = self._random(4).hex()
        now = self._clock()

        def change(facts: dict[str, Any]) -> None:
            held = facts.get("people", {}).get(person)
            if held is None or held.get("withdrawn"):
                raise NoSuchError(f"nobody here is called {person[:60]!r}", "Add them: sprayout hub people --add NAME")
            facts.setdefault("tokens", {})[identity] = {
                "digest": _digest(secret),
                "person": person,
                "label": label[:80],
                "made": _text(now),
                "until": _text(now + timedelta(days=days)) if days else "",
            }

        facts = self._people.change(change)
        return _token(identity, facts["tokens"][identity]), secret

    def withdraw_token(self, identity: str) -> None:
        """End a token, and every sign-in made with it."""

        def change(facts: dict[str, Any]) -> None:
            if identity not in facts.get("tokens", {}):
                raise NoSuchError(f"no token is called {identity[:60]!r}", "See: sprayout hub token")
            facts["tokens"][identity]["withdrawn"] = _text(self._clock())

        self._people.change(change)

    def visitor(self, secret: str) -> Visitor | None:
        """Return who a token stands for, or None where it stands for nobody (any more)."""
        if not _TOKEN.fullmatch(secret):
            return None
        digest = _digest(secret)
        for identity, held in self._all(self._people).get("tokens", {}).items():
            if secrets.compare_digest(held["digest"], digest):
                return self._standing(identity)
        return None

    def _standing(self, identity: str) -> Visitor | None:
        facts = self._all(self._people)
        token = facts.get("tokens", {}).get(identity)
        if token is None or token.get("withdrawn") or (token["until"] and token["until"] <= _text(self._clock())):
            return None
        person = facts.get("people", {}).get(token["person"])
        if person is None or person.get("withdrawn"):
            return None
        self._note_used(identity, token)
        return Visitor(token["person"], person["shop"], person["roles"], identity)

    def _note_used(self, identity: str, token: Mapping[str, Any]) -> None:
        """Remember the day of last use; once a day, so that reading does not become writing."""
        today = _text(self._clock())[:10]
        if token.get("used") == today:
            return

        def change(facts: dict[str, Any]) -> None:
            if identity in facts.get("tokens", {}):
                facts["tokens"][identity]["used"] = today

        self._people.change(change)

    # ---- sign-ins of browsers ---------------------------------------------------------------------------

    def sign_in(self, token: str, days: int) -> str:
        """Return the secret of a new sign-in, for a cookie; kept as its digest."""
        secret = self._random(32).hex()
        now = _text(self._clock())

        def change(facts: dict[str, Any]) -> None:
            for old in [name for name, held in facts.items() if held["until"] <= now]:
                del facts[old]
            while len(facts) >= _MOST_VISITS:
                del facts[min(facts, key=lambda name: facts[name]["until"])]
            facts[_digest(secret)] = {"token": token, "until": _text(self._clock() + timedelta(days=days))}

        self._visits.change(change)
        return secret

    def signed_in(self, secret: str) -> Visitor | None:
        """Return who a sign-in stands for, or None."""
        held = self._all(self._visits).get(_digest(secret)) if re.fullmatch(r"[0-9a-f]{64}", secret) else None
        if held is None or held["until"] <= _text(self._clock()):
            return None
        return self._standing(held["token"])

    def sign_out(self, secret: str) -> None:
        """End a sign-in."""
        self._visits.change(lambda facts: facts.pop(_digest(secret), None))

    # ---- copies -----------------------------------------------------------------------------------------

    def claim(self, library: str, copies: list[str], owner: str, *, keeper: bool) -> str:
        """Book copies of a library to an owner, where they are nobody's yet; return whose one is instead, or "".

        A branch belongs to whoever sent it first, so that no shop can put something into another's name.
        keeper   may send for others; what they own stays theirs
        """
        key = {copy: f"{library}/{copy}" for copy in copies}
        known = self._claims.all()
        if not keeper:
            for copy in copies:
                if known.get(key[copy], owner) != owner:
                    return str(known[key[copy]])
        if all(key[copy] in known for copy in copies):
            return ""

        def change(facts: dict[str, Any]) -> None:
            for copy in copies:
                facts.setdefault(key[copy], owner)

        taken = self._claims.change(change)
        return next((str(taken[one]) for one in key.values() if taken[one] != owner and not keeper), "")

    def copies(self) -> dict[str, str]:
        """Return the owner of every copy, by "library/copy"."""
        return {name: str(owner) for name, owner in self._all(self._claims).items()}

    def release(self, library: str, copy: str) -> None:
        """Let a copy be nobody's again: whoever sends it next owns it."""
        name = f"{library}/{copy}"
        if name not in self._claims.all():
            raise NoSuchError(f"{name[:80]!r} is nobody's", "See: sprayout hub people --copies")
        self._claims.put(name, None)


def _person(name: str, held: Mapping[str, Any]) -> Person:
    return Person(name, held.get("shop", ""), dict(held.get("roles", {})), held.get("withdrawn", ""))


def _token(name: str, held: Mapping[str, Any]) -> Token:
    return Token(
        name,
        held["person"],
        held["label"],
        held["made"],
        held.get("used", ""),
        held["until"],
        held.get("withdrawn", ""),
    )
