"""Public links: who has one sees the card of one recipe, and nothing else, until it is withdrawn."""

from __future__ import annotations

import hashlib
import re
import secrets
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from sprayout_library.hub.errors import HubError, NoSuchError
from sprayout_library.machine import Facts

__all__ = ["Link", "Links"]

_SECRET = re.compile(r"[0-9a-f]{48}", re.ASCII)
_MOST = 500


@dataclass(frozen=True, slots=True)
class Link:
    """A public link; the secret in its address is kept as its SHA-256, as tokens are."""

    id: str
    library: str
    recipe: str
    by: str
    made: str


def _now() -> datetime:
    return datetime.now(UTC)


class Links:
    """The public links of one hub, in a file only its owner may read."""

    def __init__(
        self, folder: Path, clock: Callable[[], datetime] = _now, random: Callable[[int], bytes] = secrets.token_bytes
    ) -> None:
        self._facts = Facts(folder / "links.json", private=True)
        self._clock, self._random = clock, random

    def of(self, library: str, recipe: str) -> list[Link]:
        """Return the links of a recipe, newest first."""
        found = [_link(held) for held in self._facts.all().values()]
        return sorted(
            (one for one in found if (one.library, one.recipe) == (library, recipe)),
            key=lambda one: (one.made, one.id), reverse=True,
        )  # fmt: skip

    def make(self, library: str, recipe: str, by: str) -> str:
        """Return the secret of a new link. Raises HubError where there are too many."""
        secret, identity = self._random(24).hex(), self._random(4).hex()
        made = self._clock().astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")

        def change(facts: dict[str, Any]) -> None:
            if len(facts) >= _MOST:
                raise HubError(f"there are {_MOST} public links", "Withdraw some first.")
            facts[_digest(secret)] = {"id": identity, "library": library, "recipe": recipe, "by": by, "made": made}

        self._facts.change(change)
        return secret

    def found(self, secret: str) -> Link | None:
        """Return the link a secret stands for, or None."""
        held = self._facts.all().get(_digest(secret)) if _SECRET.fullmatch(secret) else None
        return None if held is None else _link(held)

    def withdraw(self, library: str, recipe: str, identity: str) -> None:
        """Let a link lead nowhere from now on. Raises NoSuchError."""

        def change(facts: dict[str, Any]) -> None:
            wanted = (identity, library, recipe)
            hits = [key for key, held in facts.items() if (held["id"], held["library"], held["recipe"]) == wanted]
            if not hits:
                raise NoSuchError("there is no such link any more", "Look at the page anew.")
            for key in hits:
                del facts[key]

        self._facts.change(change)


def _digest(secret: str) -> str:
    return hashlib.sha256(secret.encode("ascii", "replace")).hexdigest()


def _link(held: dict[str, Any]) -> Link:
    return Link(held["id"], held["library"], held["recipe"], held["by"], held["made"])
