"""What the hub refuses, by kind; the web answers each with its own status."""

from __future__ import annotations

from sprayout_core.errors import SprayoutError

__all__ = ["BusyHubError", "HubError", "NoSuchError", "NotAllowedError", "TooLargeError"]


class HubError(SprayoutError):
    """Something the hub cannot do as it was asked."""


class NoSuchError(HubError):
    """Nothing stands there, or nothing that this visitor may see."""


class NotAllowedError(HubError):
    """The visitor's role does not reach that far."""


class TooLargeError(HubError):
    """More than the hub takes at once."""


class BusyHubError(HubError):
    """The hub has as much to do as it takes on; later it will answer."""
