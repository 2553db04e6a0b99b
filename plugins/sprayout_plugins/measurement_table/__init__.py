"""Measurement tables by open standard: the text form of ISO 28178, which descends from CGATS.17, in
and out.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from sprayout_core.tables import Preview, RowLeftOut, Source, TableReading, WrittenTable
from sprayout_plugins.hooks import answers

__all__ = ["preview_table", "read_table", "sprayout_contract", "write_table"]

sprayout_contract = "1.0"


@answers
def preview_table(source: Source, options: Mapping[str, str]) -> Preview | None:
    """Say what would be read from a measurement table; None for a file without its section marks."""
    from sprayout_plugins.measurement_table import reader

    return reader.preview(source, options) if reader.ours(source) else None


@answers
def read_table(source: Source, options: Mapping[str, str]) -> Iterator[TableReading | RowLeftOut] | None:
    """Read a measurement table under options that leave no question open."""
    from sprayout_plugins.measurement_table import reader

    return reader.read(source, options) if reader.ours(source) else None


@answers
def write_table(readings: Sequence[TableReading], shape: str, options: Mapping[str, str]) -> WrittenTable | None:
    """Write readings as a measurement table; None for any other shape than `iso28178`."""
    from sprayout_plugins.measurement_table import writer

    return writer.write(readings, options) if shape == "iso28178" else None
