"""Pages: a library in a browser, shown and tapped, on one machine or by the hub."""

from sprayout_library.hub.pages.drops import Upload
from sprayout_library.hub.pages.routing import HEADERS, Serving, routes
from sprayout_library.hub.pages.visit import Asked, Reply, Visit

__all__ = ["HEADERS", "Asked", "Reply", "Serving", "Upload", "Visit", "routes"]
