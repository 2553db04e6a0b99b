"""Begin: an empty library gets its name and the light that its colours are compared in."""

from __future__ import annotations

from sprayout_core.errors import SprayoutError
from sprayout_library.hub.pages.visit import Reply, Visit
from sprayout_library.record.between import manifest_of

__all__ = ["begin", "lights"]


def lights() -> tuple[str, ...]:
    """Return the lights offered, by the names people use; daylight stands first."""
    from sprayout_core.light import VIEWS

    return tuple(VIEWS)


def begin(visit: Visit) -> Reply:
    """Write down what the library is called and which light counts; once."""
    from sprayout_core.light import named_view

    writer, asked = visit.writer(), visit.asked
    if manifest_of(visit.store) is not None:
        raise SprayoutError("this library was begun already", "Look at Today anew.")
    title = asked.said("title")
    if not title:
        raise SprayoutError("what is it called?", "Give the library a name.")
    view = named_view(asked.said("light", lights()[0]))
    facts = {"title": title, "illuminant": str(view.illuminant), "observer": view.observer, "difference": "ciede2000"}
    writer.save([writer.new("library", facts)], f"Begin {title}")
    return visit.go("/")
