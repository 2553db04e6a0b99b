"""Instrument CSV: readings from text tables of many shapes, asking for what a table does not say."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from sprayout_core.tables import Preview, RowLeftOut, Source, TableReading
from sprayout_plugins.hooks import answers

__all__ = ["preview_table", "read_table", "sprayout_contract"]

sprayout_contract = "1.0"


@answers
def preview_table(source: Source, options: Mapping[str, str]) -> Preview | None:
    """Say what would be read from a text table; None for a file that says it is of another kind."""
    from sprayout_plugins.instrument_csv import table

    return table.preview(source, options) if table.ours(source) else None


@answers
def read_table(source: Source, options: Mapping[str, str]) -> Iterator[TableReading | RowLeftOut] | None:
    """Read a text table under options that leave no question open."""
    from sprayout_plugins.instrument_csv import table

    return table.read(source, options) if table.ours(source) else None
