"""The API."""

from __future__ import annotations

from typing import TYPE_CHECKING

from starlette.routing import BaseRoute

if TYPE_CHECKING:
    from sprayout_library.hub.app import Service


def routes(service: Service) -> list[BaseRoute]:
    """Return the routes of the API."""
    return []
