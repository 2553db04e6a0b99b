"""The door: who asks, by a token or by a browser's sign-in; what each may reach; and how wrong tokens are slowed."""

from __future__ import annotations

import base64
import binascii
import hashlib
import hmac
from collections.abc import Mapping
from dataclasses import dataclass, field
from http.cookies import CookieError, SimpleCookie

from sprayout_library.hub.accounts import Visitor
from sprayout_library.hub.house import Hub
from sprayout_library.hub.rates import Rates

__all__ = ["Came", "Door", "csrf_of"]

NOBODY = Visitor()


@dataclass(frozen=True, slots=True)
class Came:
    """Who came to the door.

    visitor  nobody where nothing, or nothing valid, was shown
    how      "token", "sign-in" or ""
    cookie   the secret of the sign-in
    wrong    whether something was shown that stands for nobody
    waits    seconds until this address may try again
    """

    visitor: Visitor = NOBODY
    how: str = ""
    cookie: str = ""
    wrong: bool = False
    waits: float = 0.0


def csrf_of(cookie: str) -> str:
    """Return the token that forms of one sign-in carry: made from the cookie's secret, which no other page can read."""
    return hmac.new(cookie.encode("ascii", "replace"), b"forms", hashlib.sha256).hexdigest() if cookie else ""


@dataclass(slots=True)
class Door:
    """The door of one hub."""

    hub: Hub
    guesses: Rates = field(init=False)

    def __post_init__(self) -> None:
        """Begin to count."""
        bounds = self.hub.settings.bounds
        self.guesses = Rates(bounds.guesses, 1 / bounds.guess_seconds)

    @property
    def cookie_name(self) -> str:
        """The name of the cookie; through TLS one that browsers bind to this very host."""
        return "__Host-sprayout" if self.hub.settings.secure else "sprayout"

    def came(self, headers: Mapping[str, str], address: str) -> Came:
        """Return who asks. A valid token always passes; wrong ones make their address wait."""
        secret = _shown(headers.get("authorization", ""))
        if secret is not None:
            return self.shown(secret, address)
        cookie = self._cookie(headers.get("cookie", ""))
        if cookie and (visitor := self.hub.accounts.signed_in(cookie)) is not None:
            return Came(visitor, "sign-in", cookie)
        return Came()

    def shown(self, secret: str, address: str) -> Came:
        """Return who a token stands for."""
        visitor = self.hub.accounts.visitor(secret)
        if visitor is not None:
            return Came(visitor, "token")
        return Came(wrong=True, waits=self.guesses.take(address))

    def _cookie(self, header: str) -> str:
        if not header or len(header) > 4096:
            return ""
        try:
            held = SimpleCookie(header).get(self.cookie_name)
        except CookieError:
            return ""
        return held.value if held is not None else ""


def _shown(header: str) -> str | None:
    """Return the token in an Authorization header: Bearer, or the password of Basic; None where there is none."""
    scheme, _, rest = header.partition(" ")
    if not header:
        return None
    if scheme.lower() == "bearer":
        return rest.strip()
    if scheme.lower() == "basic":
        try:
            return base64.b64decode(rest.strip(), validate=True).decode("utf-8").partition(":")[2]
        except (binascii.Error, UnicodeDecodeError, ValueError):
            return ""
    return ""
