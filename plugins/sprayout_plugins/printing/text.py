"""Text set to a width: wrapped, and where even that is not enough, visibly shortened."""

from __future__ import annotations

from sprayout_plugins.printing.fonts import printable, width

__all__ = ["ELLIPSIS", "shorten", "wrap", "wrap_at_most"]

ELLIPSIS = "…"


def wrap(text: str, face: str, size: float, room: float) -> list[str]:
    """Return the text in lines no wider than `room` points; a word longer than a line is broken.

    The text's own line ends are kept. A text of nothing gives no line.
    """
    lines: list[str] = []
    for paragraph in text.splitlines():
        lines += _wrapped(printable(paragraph), face, size, room)
    return lines


def wrap_at_most(most: int, text: str, face: str, size: float, room: float) -> list[str]:
    """Return at most `most` lines; what did not fit ends in an ellipsis."""
    lines = wrap(text, face, size, room)
    if len(lines) <= most:
        return lines
    return [*lines[: most - 1], shorten(" ".join(lines[most - 1 :]), face, size, room)]


def shorten(text: str, face: str, size: float, room: float) -> str:
    """Return the text where it fits, else as much of it as fits with an ellipsis at its end."""
    line = printable(text)
    if width(line, face, size) <= room:
        return line
    return line[: _fitting(line, face, size, room - width(ELLIPSIS, face, size))].rstrip() + ELLIPSIS


def _wrapped(line: str, face: str, size: float, room: float) -> list[str]:
    lines: list[str] = []
    current = ""
    for word in line.split(" "):
        longer = f"{current} {word}" if current else word
        if width(longer, face, size) <= room:
            current = longer
            continue
        if current:
            lines.append(current)
        current = word
        while width(current, face, size) > room:
            cut = max(1, _fitting(current, face, size, room))
            lines.append(current[:cut])
            current = current[cut:]
    return [*lines, current] if current else lines


def _fitting(line: str, face: str, size: float, room: float) -> int:
    """Return how many letters of the line fit, by halving: a width only grows with every letter."""
    low, high = 0, len(line)
    while low < high:
        middle = (low + high + 1) // 2
        low, high = (middle, high) if width(line[:middle], face, size) <= room else (low, middle - 1)
    return low
