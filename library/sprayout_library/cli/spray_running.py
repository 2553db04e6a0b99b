"""Which session a tap goes to, and when it was tapped."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from sprayout_library.session import Session
    from sprayout_library.store import Store

__all__ = ["SESSION", "now_tap", "running_session"]

SESSION = click.option("--session", metavar="NAME", help="Which one, where several run: its recipe, or its id's end.")


def now_tap() -> str:
    """Return the time that a tap made now is given."""
    from sprayout_library.record import now_text

    return now_text(datetime.now(UTC))


def running_session(store: Store, wanted: str | None) -> Session:
    """Return the session that runs here, or the wanted one. Raises SprayoutError where there is none, or several."""
    from sprayout_library.session import open_session
    from sprayout_library.today.sheets import library_ids

    return open_session(*library_ids(store), wanted=wanted)
