"""Every question a plugin may answer, and the version of that contract."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING

import pluggy

from sprayout_core.tables import Differences, Preview, RowLeftOut, Source, TableReading, WrittenTable

if TYPE_CHECKING:  # readers of tables need not load the bench sheet or cards
    from sprayout_core.card import CardResult, Frame, Reference
    from sprayout_core.sheet import BenchSheet, LabelText

__all__ = [
    "ACROSS",
    "CONTRACT",
    "GROUP",
    "answers",
    "answers_to",
    "colour_differences",
    "identify_card",
    "preview_table",
    "print_card",
    "print_labels",
    "print_sheet",
    "read_card",
    "read_table",
    "write_table",
]

CONTRACT = "1.0"
"""The contract's version. A minor step adds hooks or arguments; arguments are never removed or renamed
in 1.x.
"""

GROUP = "sprayout.plugins"
"""The entry point group in which plugins are found."""

ACROSS = frozenset({"preview_table", "read_table", "write_table", "colour_differences"})
"""The hooks whose arguments and answers can cross to a process of their own: all that foreign plugins
are asked.
"""

_question = pluggy.HookspecMarker("sprayout")
answers = pluggy.HookimplMarker("sprayout")
"""The mark a plugin puts on a function that answers a hook."""


@_question
def preview_table(source: Source, options: Mapping[str, str]) -> Preview | None:
    """Say what would be read from one source, without writing anything.

    source   the bytes: name, size, digest, open(); a plugin never sees a path
    options  answers given so far, option name to text; an unknown name is a fault
    returns  what was understood, asked and left out; None when the source is not this plugin's kind

    Everything that could stop `read_table` is found here: a preview without questions and faults can be read.
    """


@_question
def read_table(source: Source, options: Mapping[str, str]) -> Iterable[TableReading | RowLeftOut] | None:
    """Read one source whose preview had no questions and no faults.

    source   the same bytes the preview saw
    options  the same options the preview was given
    returns  the readings and the lines left out, in file order, made one at a time so that memory stays
             bounded; None when the source is not this plugin's kind
    """


@_question
def write_table(readings: Sequence[TableReading], shape: str, options: Mapping[str, str]) -> WrittenTable | None:
    """Write readings as a table of a named shape.

    readings  what to write; all on one kind of conditions
    shape     name of the shape that is wanted, `iso28178`
    options   further wishes, option name to text
    returns   the bytes and a file ending; None when the shape is not one this plugin writes
    """


@_question
def print_sheet(sheet: BenchSheet, form: str) -> bytes | None:
    """Print a bench sheet.

    sheet    everything a painter needs for one exact version, as plain values
    form     `a4` or `letter` for paper (PDF), `card` for a phone (one HTML file that asks for nothing)
    returns  the file's bytes; None when the form is not one this plugin prints
    """


@_question
def print_labels(labels: Sequence[LabelText], grid: Mapping[str, str]) -> bytes | None:
    """Print labels for cups and panels.

    labels   what stands on each, in order
    grid     where labels stand, lengths in mm as decimal text: paper_width, paper_height, columns, rows, width,
             height; left, top, gap_across, gap_down and used (places already gone) where they are not 0
    returns  a PDF's bytes; None when the grid is not one this plugin prints
    """


@_question
def print_card(frame: Frame) -> bytes | None:
    """Print a card frame, true to size.

    frame    the sheet with its windows, in mm
    returns  a PDF's bytes; None when the frame is not one this plugin prints
    """


@_question
def identify_card(source: Source) -> str | None:
    """Say which card frame is in a picture.

    source   the picture's bytes: name, size, digest, open()
    returns  the frame's identity; None when the plugin reads no pictures of cards

    A picture without exactly one card in it is refused with CardRefused.
    """


@_question
def read_card(source: Source, frame: Frame, reference: Reference) -> CardResult | None:
    """Measure the windows of a scanned or photographed card.

    source     the picture's bytes: name, size, digest, open()
    frame      the card frame that was printed
    reference  the known colours laid into it
    returns    every patch with its colour and interval, or why it has none; None when not this plugin's kind

    A picture from which nothing can be measured is refused with CardRefused.
    """


@_question
def colour_differences(
    formula: str, standard: Sequence[Sequence[float]], trial: Sequence[Sequence[float]]
) -> Differences | None:
    """Compute the difference of pairs of colours in a formula of one's own.

    formula   the formula that is wanted, by its name
    standard  L*, a*, b* of the standards, (n, 3)
    trial     L*, a*, b* of the trials, seen in the same light, (n, 3)
    returns   one difference for each pair; None when the formula is not one this plugin knows
    """


def answers_to(hook: str) -> tuple[type, ...] | None:
    """Return the kinds a hook's answer may have, or None for a stream of readings and lines left out."""
    if hook == "read_card":
        from sprayout_core.card import CardResult

        return (CardResult,)
    kinds: dict[str, tuple[type, ...] | None] = {
        "preview_table": (Preview,),
        "read_table": None,
        "write_table": (WrittenTable,),
        "colour_differences": (Differences,),
        "print_sheet": (bytes,),
        "print_labels": (bytes,),
        "print_card": (bytes,),
        "identify_card": (str,),
    }
    return kinds[hook]
