"""The font of every printed page, and what it cannot print, made visible."""

from __future__ import annotations

import io
import re
import unicodedata
from collections.abc import Iterable
from functools import cache
from importlib.resources import files
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from reportlab.pdfbase.ttfonts import TTFont

__all__ = ["BOLD", "REGULAR", "printable", "ready", "unprintable", "width"]

REGULAR = "DejaVuSans"
BOLD = "DejaVuSans-Bold"

_BLANKS = re.compile(r"[^\S\u00a0]+")  # every blank but the one that glues
_LEFT_OUT = frozenset({"Cc", "Cf", "Cs", "Co", "Cn"})
_RIGHT_TO_LEFT = frozenset({"R", "AL"})


@cache
def ready() -> None:
    """Make both faces known to reportlab; cheap when done before."""
    from reportlab.pdfbase import pdfmetrics

    for name in (REGULAR, BOLD):
        pdfmetrics.registerFont(_face(name))


@cache
def _face(name: str) -> TTFont:
    from reportlab.pdfbase.ttfonts import TTFont

    data = files("sprayout_plugins.printing").joinpath("data", f"{name}.ttf").read_bytes()
    return TTFont(name, io.BytesIO(data))


def printable(text: str) -> str:
    """Return one line of text that the font can print: composed, blanks single, missing letters as <U+4E00>.

    Control and direction marks are left out: they have no shape, and could hide or turn what is beside them.
    """
    pieces = []
    for letter in _BLANKS.sub(" ", unicodedata.normalize("NFC", text)).strip():
        if unicodedata.category(letter) in _LEFT_OUT:
            continue
        pieces.append(letter if _has(letter) else f"<U+{ord(letter):04X}>")
    return "".join(pieces)


def unprintable(texts: Iterable[str]) -> str:
    """Return a sentence for the page when a text holds letters this font lacks or sets wrongly."""
    letters = set("".join(texts))
    said = []
    if any(unicodedata.category(letter) not in _LEFT_OUT and not _has(letter) for letter in letters):
        said.append("Letters this font lacks are printed as <U+...>; the phone card shows them.")
    if any(unicodedata.bidirectional(letter) in _RIGHT_TO_LEFT for letter in letters):
        said.append("Right-to-left words are printed left to right; the phone card shows them rightly.")
    return " ".join(said)


def width(text: str, face: str, size: float) -> float:
    """Return how wide a text is, in points."""
    return float(_face(face).stringWidth(text, size))


def _has(letter: str) -> bool:
    return letter.isspace() or ord(letter) in _face(REGULAR).face.charToGlyph
