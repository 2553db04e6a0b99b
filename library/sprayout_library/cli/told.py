"""How things are told on a terminal: short, coloured only there, faults with place and remedy."""

from __future__ import annotations

import json
import os
import sys
from collections.abc import Iterable, Sequence
from typing import Any

import click

from sprayout_core.errors import SprayoutError

__all__ = ["PartlyDone", "counted", "date_of", "heading", "json_out", "rows", "say", "soft", "swatches", "tell_faults"]


class PartlyDone(SprayoutError):
    """Done in part: what was left is told, and the exit status says so."""


def _colour() -> bool | None:
    """Return False where colour is not wanted; None lets click look at the terminal."""
    return False if os.environ.get("NO_COLOR") else None


def say(text: str = "", *, fg: str | None = None, bold: bool | None = None) -> None:
    """Print one line."""
    click.echo(click.style(text, fg=fg, bold=bold) if fg or bold else text, color=_colour())


def counted(number: int, word: str, plural: str = "") -> str:
    """Return a number with its word: 1 reading, 2 readings."""
    return f"{number} {word if number == 1 else plural or word + 's'}"


def heading(text: str) -> None:
    """Print a heading with an empty line before it."""
    say()
    say(text, bold=True)


def soft(text: str) -> None:
    """Print a line that may be passed over: what to type next, where it came from."""
    click.echo(click.style(text, dim=True), color=_colour())


def rows(table: Iterable[Sequence[str]], indent: str = "  ") -> None:
    """Print rows with their columns under each other; the last column runs free."""
    kept = [list(row) for row in table]
    if not kept:
        return
    widths = [max(len(row[place]) for row in kept) for place in range(len(kept[0]) - 1)]
    for row in kept:
        padded = [cell.ljust(width) for cell, width in zip(row, widths, strict=False)]
        say((indent + "  ".join([*padded, row[-1]])).rstrip())


def swatches(pairs: Iterable[tuple[str, str, str]]) -> None:
    """Print colours as blocks with their values beside; without colour, the values alone."""
    for label, colour, remark in pairs:
        if not sys.stdout.isatty() or _colour() is False:
            say(f"  {label}  {colour}  {remark}".rstrip())
            continue
        red, green, blue = (int(colour[place : place + 2], 16) for place in (1, 3, 5))
        block = click.style("      ", bg=(red, green, blue))
        click.echo(f"  {block}  {label}  {colour}  {remark}".rstrip(), color=_colour())


def json_out(value: Any) -> None:
    """Print a value as JSON, members in the order given."""
    click.echo(json.dumps(value, ensure_ascii=False, indent=2))


def date_of(time: str) -> str:
    """Return a document's time as people say it: 2 March 2026, 09:10."""
    from datetime import datetime

    try:
        at = datetime.fromisoformat(time.upper().replace("Z", "+00:00")).astimezone()
    except ValueError:
        return time
    return f"{at.day} {at:%B %Y, %H:%M}"


def tell_faults(error: SprayoutError) -> None:
    """Print every fault of an error to stderr: its place, its problem, what to do."""
    for fault in error.faults:
        click.echo(click.style(fault.sentence, fg="red"), err=True, color=_colour())
        if fault.remedy:
            click.echo(f"  {fault.remedy}", err=True)


def on_terminal() -> bool:
    """Return whether a person can be asked."""
    return sys.stdin.isatty() and sys.stdout.isatty()
