"""sprayout card: print a card frame, read a scan of it, record its known colours, count coats on it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from sprayout_library.cli.desk import Desk
from sprayout_library.cli.told import PartlyDone, counted, json_out, on_terminal, rows, say, soft

if TYPE_CHECKING:
    from sprayout_core.card import CardResult
    from sprayout_core.documents import Panel
    from sprayout_library.cards import CardReadings
    from sprayout_library.record import Names
    from sprayout_library.store import Store

_PAPERS = {"a4": "A4", "letter": "Letter"}
_STAGES = ("bare", "cleared", "polished")


@click.group("card")
def command() -> None:
    """Colours without a meter: print a card frame, lay pieces and known colours in, scan it, read it.

    What a card gives is graded image-derived, with its uncertainty, and stays apart from what a meter measured.

    \b
    sprayout card target chips.csv --set stage=bare
    sprayout card print KF-2/1 KF-2/3 --to card.pdf
    sprayout card read scan.tif --stage bare --overlay seen.png
    """


@command.command("print")
@click.argument("pieces", nargs=-1)
@click.option("--to", "to", type=click.Path(path_type=Path), required=True, help="The PDF file.")
@click.option("--steps", metavar="PANEL", help="Lay in this step card whole; one piece beside it.")
@click.option("--hiding", metavar="PANEL", help="Lay in this panel's zones over black and over white.")
@click.option("--paper", type=click.Choice(list(_PAPERS)), default="a4", show_default=True)
@click.pass_obj
def print_(desk: Desk, /, pieces: tuple[str, ...], to: Path, steps: str | None, hiding: str | None, paper: str) -> None:
    """Print a card frame for PIECES (KF-1, KF-2/3), true to size; it is remembered which belongs where."""
    from sprayout_core.errors import SprayoutError
    from sprayout_library.cards import Cards, laid_out, printed_card
    from sprayout_library.cli.new_file import put_new, room_for
    from sprayout_library.record.pieces import piece_from_words, piece_name

    room_for(to)
    with desk.store() as store:
        names, cards = desk.names(store), Cards(store.folder)
        laid = [piece_from_words(words, names, store) for words in pieces]
        for words, piece in zip(pieces, laid, strict=True):
            panel = store.get(piece.panel)
            if piece.step is None and getattr(panel, "steps", None):
                raise SprayoutError(f"{words} is a step card", f"Lay it in whole with --steps {words}, or name a step.")
        card = laid_out(
            cards.fresh(), laid, _PAPERS[paper], steps=_panel(desk, store, steps), hiding=_panel(desk, store, hiding)
        )
        content = printed_card(card.frame)
        cards.keep(card)
        put_new(to, content)
        say(f"{to}: card {card.frame.identity}, {counted(len(card.pieces), 'cell')} to fill.")
        rows((cell, piece_name(piece, names)) for cell, piece in card.pieces.items())
    soft("Print at 100 %, on matt white paper; the line in the heading is 100 mm long.")
    soft("For sanding or spraying pieces: the safety data sheet, local rules and licensed practice hold as ever.")


@command.command("target")
@click.argument("file", type=click.Path(path_type=Path), required=False)
@click.option("--name", metavar="NAME", help="What it is called; by default the file's name.")
@click.option("--set", "options", multiple=True, metavar="OPTION=VALUE", help="What the table does not say; repeat it.")
@click.option("--drop", metavar="NAME", help="Forget known colours.")
@click.pass_obj
def target(desk: Desk, /, file: Path | None, name: str | None, options: tuple[str, ...], drop: str | None) -> None:
    """Record known colours from the table in FILE: a reference target (A1 to D6), own chips (chip 1 to chip 8).

    Without FILE, list what is recorded on this machine.
    """
    from sprayout_core.errors import SprayoutError
    from sprayout_core.light import View
    from sprayout_library.cards import known_colours, known_from_rows
    from sprayout_library.cli.card_table import table_rows
    from sprayout_library.machine import shop_facts

    facts = shop_facts()
    kept = known_colours(facts.get("known_colours"))
    if drop is not None:
        if all(one.name != drop for one in kept):
            raise SprayoutError(f"no known colours are called {drop!r}", "sprayout card target lists them.")
        facts.change(lambda all_: all_["known_colours"].pop(drop))
        say(f"{drop} forgotten; readings made with it stay.")
    elif file is None:
        for one in kept:
            light = f"{one.illuminant}/{one.observer}°, {one.geometry}"
            say(f"{one.name}: {counted(len(one.colours), 'colour')}, {light}")
        if not kept:
            say("No known colours are recorded. Record some: sprayout card target FILE")
    else:
        called = name or file.stem
        if any(one.name == called for one in kept):
            raise SprayoutError(f"{called} is recorded already", f"Choose another --name, or first --drop {called}.")
        known = known_from_rows(called, *table_rows(file, options, View()))
        facts.change(lambda all_: all_.setdefault("known_colours", {}).update({called: known.tree()}))
        light = f"{known.illuminant}/{known.observer}°, {known.geometry}"
        say(f"{called}: {counted(len(known.colours), 'colour')}, {light}.")
        if len(known.colours) < 12:
            soft("At least 12 are needed on a card, better 24: record chips of your own beside it.")


@command.command("read")
@click.argument("scan", type=click.Path(path_type=Path))
@click.option("--stage", type=click.Choice(_STAGES), required=True, help="What had been done to the pieces.")
@click.option("--target", "targets", multiple=True, metavar="NAME", help="Which known colours; by default all.")
@click.option("--overlay", type=click.Path(path_type=Path), help="A picture of what was found where (PNG).")
@click.option("--yes", "way", flag_value="take", help="Take it in without asking.")
@click.option("--json", "form", flag_value="json", help="As JSON; takes in with --yes only.")
@click.pass_obj
def read(
    desk: Desk, /, scan: Path, stage: str, targets: tuple[str, ...], overlay: Path | None, way: str | None,
    form: str | None,
) -> None:  # fmt: skip
    """Read the colours of a scanned or photographed card; shows them first, then asks."""
    from sprayout_core.errors import SprayoutError
    from sprayout_library.cards import keep_card, look_at_card, recorded_colours
    from sprayout_library.cli.card_table import picture_bytes
    from sprayout_library.cli.new_file import put_new, room_for

    if overlay is not None:
        room_for(overlay)
    taken: list[str] = []
    with desk.store() as store:
        names, writer = desk.names(store), desk.writer(store)
        seen = look_at_card(writer, scan.name, picture_bytes(scan), stage, recorded_colours(targets))
        result, told = seen.measured.result, seen.readings
        if form != "json":
            _tell(result, told, names, seen.measured.geometry)
        if overlay is not None:
            put_new(overlay, seen.measured.overlay)
            if form != "json":
                say(f"{overlay}: what was found where. Look at it before believing a number.")
        if not told.found:
            raise SprayoutError("no piece on the card has a colour", "Nothing was changed. Take the picture again.")
        wanted = way == "take" or (form != "json" and on_terminal() and click.confirm("Take it in?"))
        if wanted:
            taken = keep_card(writer, seen)
    if form == "json":
        json_out(_json(result, told, names) | {"taken": taken, "known": told.known})
    elif wanted:
        say(f"{counted(len(taken), 'reading')} taken in, {len(told.known)} known already.")
    else:
        soft("Nothing was written. To take it in: the same with --yes")
    if told.refused and wanted:
        raise PartlyDone(f"{counted(len(told.refused), 'piece')} without a colour", "The others were taken in.")


@command.command("coats")
@click.argument("scan", type=click.Path(path_type=Path))
@click.option("--target", "targets", multiple=True, metavar="NAME", help="Which known colours; by default all.")
@click.option("--json", "form", flag_value="json", help="As JSON.")
@click.pass_obj
def coats(desk: Desk, /, scan: Path, targets: tuple[str, ...], form: str | None) -> None:
    """Tell how many coats the piece beside a step card comes to, from one picture of both; writes nothing."""
    from sprayout_library.cards import coats_in, measure_card, recorded_colours
    from sprayout_library.cli.card_table import counts_of, picture_bytes
    from sprayout_library.record.pieces import piece_name

    with desk.store() as store:
        names = desk.names(store)
        measured = measure_card(store, scan.name, picture_bytes(scan), recorded_colours(targets))
        found = coats_in(measured.result, counts_of(measured.card, store))
        piece = measured.card.pieces.get("piece/piece")
        called = piece_name(piece, names) if piece else "the piece"
    if form == "json":
        json_out(
            {"piece": called, "coats": round(found.coats, 3), "low": round(found.low, 3), "high": round(found.high, 3),
             "film_low": round(found.film_low, 3), "film_high": round(found.film_high, 3), "notes": list(found.notes)}
        )  # fmt: skip
        return
    say(f"{called} is {found.coats:.1f} coats of the step card ({found.low:.1f} to {found.high:.1f}), by picture")
    rows([("film really there", f"{found.film_low:.1f} to {found.film_high:.1f} coats' worth")])
    for note in found.notes:
        say(f"  {note}", fg="yellow")


def _panel(desk: Desk, store: Store, words: str | None) -> Panel | None:
    return None if words is None else desk.document(store, words, "panel")  # type: ignore[return-value]


def _tell(result: CardResult, told: CardReadings, names: Names, geometry: str) -> None:
    from sprayout_library.record.pieces import piece_name

    view = result.reference.view
    say(f"Card {result.frame.identity}, {view}, as {result.reference.name} at {geometry}: image-derived", bold=True)
    mean = float(result.model.left_out.mean())
    rows([(f"correction {result.model.model}", f"known colours left out one by one come back within {mean:.1f}")])
    for piece, _, patch in told.found:
        assert patch.lab is not None
        lab = ", ".join(f"{name} {value:.1f}" for name, value in zip(("L*", "a*", "b*"), patch.lab, strict=True))
        rows([(piece_name(piece, names), f"{lab}  give or take {patch.interval:.1f}")])
    for piece, patch in told.refused:
        why = patch.refusal
        say(f"  {piece_name(piece, names)}: {why.problem}. {why.remedy}" if why else piece_name(piece, names), fg="red")
    for window, hidden in result.hidings.items():
        say(f"  {window}: hides {100 * hidden.ratio:.0f} % ({100 * hidden.low:.0f} to {100 * hidden.high:.0f} %)")
    if told.unlaid:
        say(f"  not said what lies there: {', '.join(told.unlaid)}", fg="yellow")
    for note in result.notes:
        say(f"  {note}", fg="yellow")


def _json(result: CardResult, told: CardReadings, names: Names) -> dict[str, object]:
    from sprayout_core.card import result_tree
    from sprayout_library.record.pieces import piece_name

    pieces = {f"{patch.window}/{patch.label}": piece_name(piece, names) for piece, _, patch in told.found}
    return {"result": result_tree(result), "pieces": pieces}
