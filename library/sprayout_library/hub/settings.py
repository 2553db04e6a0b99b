"""What a keeper sets of a hub: its name, the address others reach it under, and its bounds."""

from __future__ import annotations

from pathlib import Path

import msgspec

from sprayout_library.hub.errors import HubError

__all__ = ["Bounds", "Settings", "read_settings", "settings_bytes"]


class Bounds(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """How much is taken at once, and how often.

    push_bytes           bytes of one push
    body_bytes           bytes of any other request
    git_processes        transfers of git running at once
    waiting_seconds      how long a transfer waits for its turn
    stalled_seconds      how long a client may send nothing
    transfer_seconds     how long one transfer may take
    requests_per_second  steady rate of one visitor
    burst                requests at once before that rate counts
    guesses              wrong tokens from one address before it has to wait
    guess_seconds        how long one wrong token counts
    sign_in_days         how long a browser stays signed in
    streams              open pages that listen for news at once; streams_each of one sign-in
    beat_seconds         between heartbeats of such a stream; at each it is asked anew who may look
    """

    push_bytes: int = 2_000_000_000
    body_bytes: int = 64_000_000
    git_processes: int = 8
    waiting_seconds: float = 60.0
    stalled_seconds: float = 60.0
    transfer_seconds: float = 1800.0
    requests_per_second: float = 50.0
    burst: int = 300
    guesses: int = 10
    guess_seconds: float = 60.0
    sign_in_days: int = 30
    streams: int = 200
    streams_each: int = 12
    beat_seconds: float = 15.0

    def __post_init__(self) -> None:
        """Refuse a bound that would stop everything, or nothing."""
        wrong = [name for name in self.__struct_fields__ if not getattr(self, name) > 0]
        if wrong:
            raise ValueError(f"{wrong[0]} must be above 0")


class Settings(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """The settings of a hub, as `hub.json` holds them.

    name      what it is called on its pages
    address   where others reach it, such as https://paint.example; empty on one machine
    """

    name: str = "Hub"
    address: str = ""
    bounds: Bounds = Bounds()

    def __post_init__(self) -> None:
        """Refuse an address that is none."""
        import re

        if not 0 < len(self.name) <= 80 or not self.name.isprintable():
            raise ValueError("name: 1 to 80 letters")
        if self.address and not re.fullmatch(r"https?://[A-Za-z0-9.-]+(?::\d{1,5})?", self.address):
            raise ValueError("address: https://, a host, and a port where it is another one; nothing behind it")

    @property
    def secure(self) -> bool:
        """Whether visitors come through TLS."""
        return self.address.startswith("https://")

    @property
    def hosts(self) -> frozenset[str]:
        """The host names that requests may be for."""
        from urllib.parse import urlsplit

        named = urlsplit(self.address).hostname if self.address else None
        return frozenset({"127.0.0.1", "localhost", "::1", *([named] if named else [])})


def read_settings(path: Path) -> Settings:
    """Return the settings in a file. Raises HubError naming the member that is wrong."""
    try:
        return msgspec.json.decode(path.read_bytes(), type=Settings)
    except FileNotFoundError:
        raise HubError(
            "there is no hub in this folder", "Make one: sprayout hub create FOLDER", place=path.name
        ) from None
    except (msgspec.DecodeError, ValueError) as error:
        raise HubError(f"is not understood: {error}", "Mend that member.", place=path.name) from None


def settings_bytes(settings: Settings) -> bytes:
    """Return settings as they are kept."""
    return msgspec.json.format(msgspec.json.encode(settings), indent=2) + b"\n"
