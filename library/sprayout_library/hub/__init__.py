"""The hub: one service for several shops, and the pages that one machine shows as well."""

from sprayout_library.hub.accounts import EVERYWHERE, ROLES, Accounts, Person, Token, Visitor
from sprayout_library.hub.errors import BusyHubError, HubError, NoSuchError, NotAllowedError, TooLargeError
from sprayout_library.hub.house import Hub, library_name
from sprayout_library.hub.settings import Bounds, Settings

__all__ = [
    "EVERYWHERE",
    "ROLES",
    "Accounts",
    "Bounds",
    "BusyHubError",
    "Hub",
    "HubError",
    "NoSuchError",
    "NotAllowedError",
    "Person",
    "Settings",
    "Token",
    "TooLargeError",
    "Visitor",
    "library_name",
]
