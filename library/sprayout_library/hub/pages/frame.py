"""The frame of every page: templates with every text escaped, figures and times as people say them."""

from __future__ import annotations

import re
from datetime import datetime
from functools import cache
from importlib.resources import files

from jinja2 import Environment, PackageLoader, StrictUndefined, pass_context
from jinja2.runtime import Context
from markupsafe import Markup

from sprayout_library.hub.pages.advice import advice
from sprayout_library.hub.pages.told import coats_of, coats_said
from sprayout_library.hub.pages.visit import Reply, Visit

__all__ = ["DOORS", "css_and_js", "day", "rendered"]

#: The doors of the day: address, word.
DOORS = (
    ("/", "Today"), ("/mix", "Mix"), ("/pour", "Pour"), ("/spray", "Spray"), ("/look", "Look"), ("/share", "Share"),
)  # fmt: skip
#: A blank between a number and a word.
_COUNTS = re.compile(r"(?<=\d) (?=[^\W\d])")
_MEDIA = {"css": "text/css; charset=utf-8", "js": "text/javascript; charset=utf-8", "svg": "image/svg+xml"}


@cache
def _templates() -> Environment:
    found = Environment(
        loader=PackageLoader("sprayout_library.hub.pages"), autoescape=True, undefined=StrictUndefined,
        trim_blocks=True, lstrip_blocks=True,
    )  # fmt: skip
    found.filters["day"] = day
    found.filters["counted"] = counted
    found.filters["coats"] = coats_said
    found.filters["coats_of"] = coats_of
    found.filters["begun"] = begun
    found.filters["advised"] = advised
    found.filters["glued"] = glued
    return found


def rendered(reply: Reply, visit: Visit | None, path: str) -> str:
    """Return the page of a reply; without a visit, of one that never came to a library."""
    door = next((where for where, _ in reversed(DOORS) if path == where or path.startswith(where + "/")), "")
    told = {
        "base": visit.base if visit else "",
        "csrf": visit.csrf if visit else "",
        "may_write": visit.may_write if visit else False,
        "label": visit.names.label if visit else str,
        "now": visit.at if visit else "",
        "doors": DOORS,
        "door": door,
        "units": visit.asked.units if visit else "",
        "shelf_here": visit is not None and visit.shelf is not None,
        "here": visit.asked.here if visit else "/",
        "mark": visit.mark if visit and reply.status == 200 else "",
        "faults": (),
        **reply.shown,
    }
    return _templates().get_template(reply.template).render(told)


def css_and_js(name: str) -> tuple[bytes, str] | None:
    """Return a static file and its media type, or None; only plain names are looked at."""
    ending = name.rpartition(".")[2]
    if ending not in _MEDIA or "/" in name or "\\" in name or name.startswith("."):
        return None
    place = files("sprayout_library.hub.pages") / "static" / name
    return (place.read_bytes(), _MEDIA[ending]) if place.is_file() else None


@pass_context
def advised(context: Context, text: str) -> Markup:
    """Return a remedy or a remark without commands, behind it links to the pages that do what they do."""
    told = advice(text)
    link = Markup('<a href="{}{}">{}</a>')
    links = [link.format(context["base"], where, word) for where, word in told.pages]
    return Markup(" ").join([*([told.words] if told.words else []), *links])


def day(time: str | None) -> str:
    """Return a time as people say it: 2 March 2026, 09:10, by this machine's clock."""
    if not time:
        return ""
    try:
        at = datetime.fromisoformat(time.upper().replace("Z", "+00:00")).astimezone()
    except ValueError:
        return time
    return f"{at.day} {at:%B %Y, %H:%M}"


def counted(number: int, word: str, plural: str = "") -> str:
    """Return a number with its word: 1 reading, 2 readings."""
    return f"{number} {word if number == 1 else plural or word + 's'}"


def begun(text: str) -> str:
    """Return words as a sentence begins: with a capital, names in them as they are."""
    return text[:1].upper() + text[1:]


def glued(text: str) -> str:
    """Return words in which no line ends between a number and what it counts: 5 weak teal : 2 strong teal."""
    return _COUNTS.sub("\u00a0", text)
