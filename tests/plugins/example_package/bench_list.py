"""Read the bench's own list of colours (an invented format): a line `bench list`, then `name | L* | a* | b*`."""

from sprayout_core.errors import Fault
from sprayout_core.tables import Conditions, Preview, Question, RowLeftOut, TableReading
from sprayout_plugins.hooks import answers

sprayout_contract = "1.0"


@answers
def preview_table(source, options):
    """Say what would be read; the light and the geometry are the bench's, only the stage is asked."""
    if not _ours(source):
        return None
    faults, questions, readings, left_out = [], [], [], []
    if unknown := sorted(set(options) - {"stage"}):
        faults.append(Fault(f"{source.name}, option {unknown[0]}", "there is no such option", "Only stage is asked."))
    if "stage" not in options:
        questions.append(Question("stage", "What had been done to the pieces?", "the list does not say"))
    for found in _rows(source, options):
        target = readings if isinstance(found, TableReading) else left_out if isinstance(found, RowLeftOut) else faults
        target.append(found)
    return Preview(
        reader="bench_list 0.3.0",
        questions=tuple(questions),
        faults=tuple(faults),
        readings=len(readings),
        first=tuple(readings[:3]),
        left_out=tuple(left_out[:100]),
        left_out_count=len(left_out),
        mapping=dict(options),
    )


@answers
def read_table(source, options):
    """Read the list, one reading after another."""
    return _rows(source, options) if _ours(source) else None


def _ours(source):
    with source.open() as stream:
        return stream.readline(64).strip() == b"bench list"


def _rows(source, options):
    about = Conditions(geometry="45:0", illuminant="D65", observer=10, stage=options.get("stage", ""))
    with source.open() as stream:
        for line, text in enumerate(stream, 1):
            if line == 1:
                continue
            name, *numbers = [cell.strip() for cell in text.decode("utf-8", "replace").split("|")]
            try:
                values = dict(zip(("L*", "a*", "b*"), map(float, numbers), strict=True))
            except ValueError:
                yield RowLeftOut(line, "not a name and three numbers")
                continue
            yield TableReading(name, line, about, coordinates=values)
