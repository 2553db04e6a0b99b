"""Pages: a library in a browser, shown and tapped, on one machine or by the hub."""

from sprayout_library.hub.pages.drops import Upload
from sprayout_library.hub.pages.routing import HEADERS, Serving, card_page, routes, static
from sprayout_library.hub.pages.visit import Asked, Known, PublicLink, PublicLinks, Reply, Visit

__all__ = [
    "HEADERS",
    "Asked",
    "Known",
    "PublicLink",
    "PublicLinks",
    "Reply",
    "Serving",
    "Upload",
    "Visit",
    "card_page",
    "routes",
    "static",
]
