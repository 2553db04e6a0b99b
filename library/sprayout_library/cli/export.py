"""sprayout export: readings out, as a measurement table by open standard."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from sprayout_library.cli.desk import Desk
from sprayout_library.cli.told import counted, say, soft

if TYPE_CHECKING:
    from sprayout_core.documents import Measured, Reading
    from sprayout_core.tables import TableReading, WrittenTable
    from sprayout_library.record import Names, Writer
    from sprayout_library.record.placing import Spots
    from sprayout_library.store import Store

_GRADES = ("spectrum", "coordinates")


@click.command("export")
@click.argument("panels", nargs=-1, required=True)
@click.option("--to", "to", type=click.Path(path_type=Path), required=True, help="The file.")
@click.option("--stage", type=click.Choice(["bare", "cleared", "polished"]), help="Only readings of this stage.")
@click.option("--grade", type=click.Choice(_GRADES), help="Only spectra, or only coordinates.")
@click.pass_obj
def command(desk: Desk, /, panels: tuple[str, ...], to: Path, stage: str | None, grade: str | None) -> None:
    """Write the readings of PANELS (or KF-2/3) as a table by ISO 28178, to be taken in anywhere.

    One table holds one kind: spectra or coordinates, of one stage. Colours from a card or typed by hand stay
    here: a table has no place for their grade.
    """
    from sprayout_core.errors import SprayoutError
    from sprayout_library.cli.new_file import put_new, room_for
    from sprayout_library.record.placing import Spots

    room_for(to)
    with desk.store() as store:
        names = desk.names(store)
        found, apart = _rows(store, names, panels, stage, grade)
        if not found:
            more = f"; {apart} of another grade" if apart else ""
            raise SprayoutError(f"there is no reading to write{more}", "See what there is: sprayout show PANEL.")
        table = _written(found)
        repeated = len(found) - len({(row.label, row.conditions.geometry) for row in found})
        others = _others(desk.writer(store), Spots(store), table, repeated)
    put_new(to, table.content)
    say(f"{to}: {counted(len(found), 'reading')}, {found[0].conditions.stage}.")
    if apart:
        say(f"  {counted(apart, 'reading')} from a card or typed left here: a table has no place for the grade.")
    if repeated:
        soft("  Some pieces were read several times: taking it in asks for --set repeats=replicates.")
    if others:
        soft(f"  {others} would come back as readings of their own: a table has no place for instrument, time or angles"
             " taken together.")  # fmt: skip


def _rows(
    store: Store, names: Names, panels: tuple[str, ...], stage: str | None, grade: str | None
) -> tuple[list[TableReading], int]:
    """Return the rows to write, and how many readings are of a grade that is not written."""
    from sprayout_core.documents import Piece
    from sprayout_core.errors import SprayoutError
    from sprayout_library.record.evidence import evidence_for
    from sprayout_library.record.pieces import piece_from_words, piece_name

    readings = evidence_for(store, "reading").readings
    chosen: dict[str, Reading] = {}
    for piece in (piece_from_words(words, names, store) for words in panels):
        for one in readings.get(piece.panel, []):
            if one.withdrawn is None and (piece.step, piece.zone) in ((None, None), (one.step, one.zone)):
                chosen[one.id] = one
    replaced = {one.supersedes for one in chosen.values()}
    fitting = [
        one
        for one in sorted(chosen.values(), key=lambda one: (names.label(one.panel), one.step or "", one.id))
        if one.id not in replaced and stage in (None, one.stage.surface) and grade in (None, one.grade)
    ]
    written = [one for one in fitting if one.grade in _GRADES]
    kinds = sorted({(one.grade, one.stage.surface) for one in written})
    if len(kinds) > 1:
        told = "; ".join(f"{grade}, {stage}" for grade, stage in kinds)
        raise SprayoutError(f"readings of several kinds: {told}", "One table holds one: --grade and --stage choose.")
    rows = [
        _row(piece_name(Piece(panel=reading.panel, step=reading.step, zone=reading.zone), names), reading, one)
        for reading in written
        for one in reading.measured
    ]
    return rows, len(fitting) - len(written)


def _row(label: str, reading: Reading, one: Measured) -> TableReading:
    from sprayout_core.tables import Conditions, TableReading

    stage, spectrum, given = reading.stage.surface, one.spectrum, one.coordinates
    if reading.grade == "spectrum" and spectrum is not None:
        bandpass = {"corrected": "corrected", "not-corrected": "uncorrected"}.get(spectrum.bandpass or "", "")
        about = Conditions("unit", one.geometry, stage=stage, bandpass=bandpass)
        return TableReading(label, 0, about, tuple(map(float, spectrum.grid())), tuple(map(float, spectrum.values)))
    assert given is not None
    about = Conditions("", one.geometry, given.illuminant, given.observer, stage)
    return TableReading(label, 0, about, coordinates=dict(zip(("L*", "a*", "b*"), map(float, given.lab), strict=True)))


def _written(found: list[TableReading]) -> WrittenTable:
    from sprayout_core.errors import SprayoutError
    from sprayout_core.tables import WrittenTable
    from sprayout_plugins import guard, registry

    failed = None
    for answer in guard.ask(registry.find(), "write_table", readings=found, shape="iso28178", options={}):
        if isinstance(answer.value, WrittenTable):
            return answer.value
        failed = failed or answer.failure
    raise failed or SprayoutError("no plugin writes such a table", "See `sprayout plugins`.")


def _others(writer: Writer, spots: Spots, table: WrittenTable, repeated: int) -> int:
    """Return how many rows of a table would not be known again here; the table is read back as anyone would."""
    from sprayout_core.tables import in_memory
    from sprayout_library.inbox import Readers
    from sprayout_library.record import Intake

    readers, source = Readers(), in_memory("export.txt", table.content)
    options = {"repeats": "replicates"} if repeated else {}
    plugin, _ = readers.preview(source, options).chosen(None)
    taken = Intake(writer, spots, source.digest).take(readers.rows(source, plugin, options))
    return len(taken.fresh) + len(taken.unplaced) + len(taken.broken)
