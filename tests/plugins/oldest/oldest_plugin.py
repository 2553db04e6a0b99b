"""The oldest plugin, written for contract 1.0 and never edited: within 1.x it must go on working.

It names as few arguments as the contract allowed, builds its answers with the first fields of each record
only, and relies on nothing else.
"""

from sprayout_core.tables import Conditions, Preview, RowLeftOut, TableReading, WrittenTable
from sprayout_plugins.hooks import answers

sprayout_contract = "1.0"


@answers
def preview_table(source):
    if not source.name.endswith(".oldest"):
        return None
    return Preview("oldest 1", readings=1, first=(_reading(),))


@answers
def read_table(source):
    if not source.name.endswith(".oldest"):
        return None
    return iter([RowLeftOut(1, "a title"), _reading()])


@answers
def write_table(readings, shape):
    if shape != "oldest":
        return None
    return WrittenTable("oldest", "\n".join(reading.label for reading in readings).encode())


def _reading():
    return TableReading("tern", 2, Conditions(geometry="45:0", stage="bare"), (400.0, 500.0, 600.0), (0.1, 0.2, 0.3))
