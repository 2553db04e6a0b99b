"""Small pieces of SVG as text: elements, words and the frame every picture stands in."""

from __future__ import annotations

import re
from collections.abc import Iterable
from html import escape

from sprayout_core.errors import SprayoutError

__all__ = [
    "INK",
    "PALE",
    "PictureError",
    "colour",
    "element",
    "framed",
    "number",
    "polyline",
    "room",
    "words",
]

INK, PALE = "#22262a", "#c9ced3"
"""Lines and lettering; grid lines."""

_LETTER = 7.3
"""Width of a letter of a wide font at the size used here."""

_COLOUR = re.compile(r"#[0-9a-fA-F]{6}")
_NOT_IN_XML = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]")


class PictureError(SprayoutError):
    """Something that cannot be drawn."""


def number(value: float) -> str:
    """Return a coordinate with at most two decimals."""
    # rounding first and adding zero leaves no "-0"
    return f"{round(value, 2) + 0.0:.2f}".rstrip("0").rstrip(".")


def clean(text: str) -> str:
    """Return a text safe to stand in XML, between tags and in attributes."""
    return escape(_NOT_IN_XML.sub("\ufffd", text), quote=True)


def element(name: str, content: str = "", /, **attributes: str | float) -> str:
    """Return one element; an underscore in an attribute's name stands for a hyphen; content is SVG."""
    written = "".join(
        f' {key.replace("_", "-")}="{clean(value) if isinstance(value, str) else number(value)}"'
        for key, value in attributes.items()
    )
    return f"<{name}{written}>{content}</{name}>" if content else f"<{name}{written}/>"


def words(x: float, y: float, text: str, **attributes: str | float) -> str:
    """Return a text at a place; its letters are escaped."""
    return element("text", clean(text), x=x, y=y, **attributes)


def room(texts: Iterable[str]) -> float:
    """Return the width that the longest of some texts may need, whatever font the reader has."""
    return _LETTER * max((len(text) for text in texts), default=0)


def polyline(places: Iterable[tuple[float, float]], **attributes: str | float) -> str:
    """Return an open line through places."""
    points = " ".join(f"{number(x)},{number(y)}" for x, y in places)
    return element("polyline", points=points, fill="none", **attributes)


def colour(text: str, place: str) -> str:
    """Return a colour written #rrggbb, or raise PictureError."""
    if not _COLOUR.fullmatch(text):
        raise PictureError(f"{text!r} is not a colour", "Write it as #rrggbb.", place=place)
    return text


def framed(width: float, height: float, title: str, told: str, body: Iterable[str]) -> str:
    """Return a whole picture.

    title  what it is, drawn on top and read out first
    told   what it shows, in words and numbers, for those who do not see it
    """
    return element(
        "svg",
        "".join(
            (
                element("title", clean(title)),
                element("desc", clean(told)),
                element("rect", width=width, height=height, fill="#ffffff"),
                words(12, 22, title, font_weight="600", font_size=14),
                *body,
            )
        ),
        xmlns="http://www.w3.org/2000/svg",
        viewBox=f"0 0 {number(width)} {number(height)}",
        width=width,
        height=height,
        role="img",
        aria_label=f"{title}. {told}",
        font_family="system-ui, sans-serif",
        font_size=12,
        fill=INK,
    )
