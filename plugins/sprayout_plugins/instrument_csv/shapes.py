"""Telling the shape of a table: one sample per row, per column, or one value per row."""

from __future__ import annotations

from sprayout_plugins.instrument_csv import wide
from sprayout_plugins.instrument_csv.head import Head
from sprayout_plugins.instrument_csv.options import Findings
from sprayout_plugins.instrument_csv.plan import Plan

__all__ = ["plan"]


def plan(head: Head, findings: Findings) -> Plan | None:
    """Return the plan for a table's shape, or None after noting what stands in the way."""
    if head.header < 0:
        findings.fault(
            f"lines 1 to {head.rows[-1][0]}",
            "no line of headings names wavelengths or L*, a*, b*",
            "Export with a line of headings such as 400, 400nm or R400.",
        )
        return None
    return wide.plan(head, findings)
