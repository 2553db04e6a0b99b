"""Tables: what a reader hands back about a file of measurements, as plain values that do nothing by
themselves.
"""

from sprayout_core.tables.conditions import (
    BANDPASS,
    SCALES,
    STAGES,
    Conditions,
    geometry,
    illuminant,
    observer,
)
from sprayout_core.tables.differences import Differences
from sprayout_core.tables.preview import Choice, Preview, Question, RowLeftOut, Understood
from sprayout_core.tables.reading import TableReading, WrittenTable
from sprayout_core.tables.source import Source, counted, in_memory
from sprayout_core.tables.trees import TableValue, from_tree, tree
from sprayout_core.tables.typed import TYPED, typed

__all__ = [
    "BANDPASS",
    "SCALES",
    "STAGES",
    "TYPED",
    "Choice",
    "Conditions",
    "Differences",
    "Preview",
    "Question",
    "RowLeftOut",
    "Source",
    "TableReading",
    "TableValue",
    "Understood",
    "WrittenTable",
    "counted",
    "from_tree",
    "geometry",
    "illuminant",
    "in_memory",
    "observer",
    "tree",
    "typed",
]
