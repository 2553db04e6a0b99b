"""sprayout spray: a spray day, tapped coat by coat; every tap is on the disk before the next one."""

from __future__ import annotations

import click

from sprayout_library.cli.bench_words import degrees_in, humidity_in, named
from sprayout_library.cli.desk import Desk
from sprayout_library.cli.spray_running import SESSION, now_tap, running_session
from sprayout_library.cli.spray_seen import judge, picture
from sprayout_library.cli.spray_told import line_words, piece_rows, seen_rows, suggest_cards
from sprayout_library.cli.told import counted, heading, json_out, say, soft


@click.group("spray", invoke_without_command=True)
@click.pass_context
def command(ctx: click.Context) -> None:
    """A spray day. Without more words: what runs, piece by piece, with the time since the last coat.

    \b
    sprayout spray start "Kelp frame" --cup C1 --piece "K1 over silver" --piece "K2 over white, curved"
    sprayout spray coat all
    sprayout spray coat K1 K2 --laid wet
    sprayout spray judge compare warmer K2 --against K1 --light D65
    sprayout spray picture flop.jpg --piece K2 --light "shop LED" --tilt 60
    sprayout spray finish
    """
    if ctx.invoked_subcommand is None:
        _tell(ctx.obj, None, None)


command.add_command(judge)
command.add_command(picture)


@command.command("show")
@SESSION
@click.option("--json", "form", flag_value="json", help="As JSON.")
@click.pass_obj
def show(desk: Desk, /, session: str | None, form: str | None) -> None:
    """Tell what runs: every piece, its coats, the time since the last one, the recipe's dry rule."""
    _tell(desk, session, form)


@command.command("start")
@click.argument("recipe")
@click.option("--cup", "cups", multiple=True, metavar="CODE", help="A cup at hand; repeat it.")
@click.option(
    "--piece", "pieces", multiple=True, metavar="WORDS", help='"K1 over silver", "K2 over white, curved"; repeat it.'
)
@click.pass_obj
def start(desk: Desk, /, recipe: str, cups: tuple[str, ...], pieces: tuple[str, ...]) -> None:
    """Begin a session: RECIPE as it stands now, the cups, and each piece over its ground."""
    from sprayout_core.documents import Recipe
    from sprayout_core.errors import SprayoutError
    from sprayout_library.cli.cup import found_cup
    from sprayout_library.record.cups import Shelf
    from sprayout_library.session import begin, open_sessions, start_tap
    from sprayout_library.today.cautions import spraying_cautions
    from sprayout_library.today.sheets import library_ids

    with desk.store() as store:
        names = desk.names(store)
        document = desk.document(store, recipe, "recipe")
        assert isinstance(document, Recipe)
        shelf = Shelf(store)
        batches = [found_cup(code, store, names, shelf) for code in cups]
        libraries = library_ids(store)
        writer = desk.writer(store)
        first = start_tap(document, libraries[0], writer.fresh_id(), shelf, names, batches, pieces)
        for other in open_sessions(*libraries):
            taken = {name.casefold() for name in other.tally.pieces}
            for piece in first["pieces"]:
                if piece["name"].casefold() in taken:
                    raise SprayoutError(
                        f"{piece['name']!r} is on the stand in {other.tally.recipe_name}",
                        "Give each piece a code of its own.",
                    )
        session = begin(first, now_tap(), writer.by)
        say(f"{document.name}: {counted(len(pieces), 'piece')}, {counted(len(cups), 'cup')}. Begun.", bold=True)
        piece_rows(session.tally)
        for line in spraying_cautions(batches, document, shelf):
            say(f"  {line}", fg="yellow")
        suggest_cards(session.tally)
        soft("Next, after each coat: sprayout spray coat all")


@command.command("coat")
@click.argument("pieces", nargs=-1, required=True)
@click.option("--cup", metavar="CODE", help="From which cup; needed where there are several.")
@click.option(
    "--laid", type=click.Choice(["mist", "medium", "wet"]), help="How it was laid, if not as the recipe says."
)
@click.option(
    "--count",
    default="1",
    show_default=True,
    metavar="N",
    help='More than one, as honest as it was: 2, "about 3", "until covered".',
)
@SESSION
@click.pass_obj
def coat(
    desk: Desk, /, pieces: tuple[str, ...], cup: str | None, laid: str | None, count: str, session: str | None
) -> None:
    """A coat is on: "all", or these PIECES. It is on the disk when this returns."""
    with desk.store() as store:
        running = running_session(store, session)
        done = running.coat(pieces, now_tap(), cup, laid, count)
        which = running.cup(cup)
        say(f"{which.name} on {', '.join(piece.name for piece in done)}.")
        piece_rows(running.tally, {piece.name for piece in done})
        suggest_cards(running.tally)


@command.command("covered")
@click.argument("pieces", nargs=-1, required=True)
@SESSION
@click.pass_obj
def covered(desk: Desk, /, pieces: tuple[str, ...], session: str | None) -> None:
    """These PIECES are covered: for a coat that goes on until it covers. The count stays what was tapped."""
    with desk.store() as store:
        running = running_session(store, session)
        done = running.mark("covered", pieces, now_tap())
        piece_rows(running.tally, {piece.name for piece in done})


@command.command("off")
@click.argument("pieces", nargs=-1, required=True)
@SESSION
@click.pass_obj
def off(desk: Desk, /, pieces: tuple[str, ...], session: str | None) -> None:
    """These PIECES leave the stand: "all" no longer means them. What is on them stays and is saved at the end."""
    with desk.store() as store:
        done = running_session(store, session).mark("off", pieces, now_tap())
        say(f"Off the stand: {', '.join(piece.name for piece in done)}.")


@command.command("note")
@click.argument("piece")
@click.argument("words")
@SESSION
@click.pass_obj
def note(desk: Desk, /, piece: str, words: str, session: str | None) -> None:
    """A remark on a PIECE; it goes into its panel."""
    from sprayout_core.errors import SprayoutError

    if not words.strip() or len(words) > 2000:
        raise SprayoutError("a remark of nothing, or a very long one", "Say it in up to 2000 letters.")
    with desk.store() as store:
        running_session(store, session).mark("note", [piece], now_tap(), words.strip())
        say(f"{piece}: noted.")


@command.command("piece")
@click.argument("words")
@SESSION
@click.pass_obj
def piece_(desk: Desk, /, words: str, session: str | None) -> None:
    """One more piece: "K9 over silver", or "K2F over white, flat, for K2" beside a curved one."""
    from sprayout_core.documents import Recipe
    from sprayout_library.session import piece_tap

    with desk.store() as store:
        running = running_session(store, session)
        recipe = store.get(running.tally.recipe)
        assert isinstance(recipe, Recipe)
        made = piece_tap(words, recipe, desk.names(store), list(running.tally.pieces))
        running.tap({"tap": "piece", "piece": made}, now_tap())
        piece_rows(running.tally, {made["name"]})


@command.command("cup")
@click.argument("code")
@SESSION
@click.pass_obj
def cup_(desk: Desk, /, code: str, session: str | None) -> None:
    """One more cup at hand."""
    from dataclasses import asdict

    from sprayout_library.cli.cup import found_cup
    from sprayout_library.record.cups import Shelf
    from sprayout_library.session import cup_tap
    from sprayout_library.today.cautions import cup_cautions

    with desk.store() as store:
        running = running_session(store, session)
        shelf = Shelf(store)
        names = desk.names(store)
        batch = found_cup(code, store, names, shelf)
        lines = [asdict(line) for line in running.tally.lines]
        made = cup_tap(batch, lines, shelf, names, list(running.tally.cups))
        running.tap({"tap": "cup", "cup": made}, now_tap())
        say(f"{made['label']}: {made['name']}, at hand.")
        for line in cup_cautions(batch, shelf):
            say(f"  {line}", fg="yellow")


@command.command("undo")
@SESSION
@click.pass_obj
def undo(desk: Desk, /, session: str | None) -> None:
    """Take the last tap back."""
    with desk.store() as store:
        running = running_session(store, session)
        tap = running.undo(now_tap())
        on = f" on {', '.join(tap['pieces'])}" if "pieces" in tap else ""
        say(f"Taken back: {tap['tap']}{on}.")
        piece_rows(running.tally)


@command.command("give-up")
@SESSION
@click.confirmation_option(prompt="End it without saving panels?", help="Without asking.")
@click.pass_obj
def give_up(desk: Desk, /, session: str | None) -> None:
    """End the session without panels. Its taps stay on this machine."""
    with desk.store() as store:
        running = running_session(store, session)
        running.give_up(now_tap())
        say(f"{running.tally.recipe_name}: given up; no panel was saved.")


@command.command("finish")
@click.option(
    "--stage", type=click.Choice(["bare", "cleared", "polished"]), default="bare", show_default=True,
    help="What has been done to the pieces so far.",
)  # fmt: skip
@click.option(
    "--used",
    multiple=True,
    metavar="CUP=AMOUNT",
    help='What was sprayed out of a cup: "C1=80 ml" or C1=rest; repeat it.',
)
@click.option("--air", metavar="DEGC", help="How warm the booth was.")
@click.option("--humidity", metavar="PERCENT", help="How damp the booth was.")
@SESSION
@click.pass_obj
def finish(
    desk: Desk, /, stage: str, used: tuple[str, ...], air: str | None, humidity: str | None, session: str | None
) -> None:
    """Save every piece with a coat as a panel, all in one version of the library."""
    from sprayout_library.session import Last
    from sprayout_library.session import finish as finish_session

    taken = dict(named(pair, "how much out of which cup") for pair in used)
    noted = {"air_degc": degrees_in(air), "humidity_percent": humidity_in(humidity)}
    conditions = {name: value for name, value in noted.items() if value is not None}
    with desk.store() as store:
        running = running_session(store, session)
        found = finish_session(running, store, desk.writer(store), Last(stage, conditions or None, taken or None))
        labels = [panel.label or panel.name for panel in found.panels]
        say(f"{counted(len(labels), 'panel')} saved: {', '.join(labels)}.", bold=True)
        if found.seen:
            kinds = [one.kind for one in found.seen]
            told = [counted(kinds.count(kind), kind) for kind in ("judgement", "picture") if kind in kinds]
            say(f"  With what was seen on the way: {' and '.join(told)}.")
        if found.left_out:
            say(f"  Without a coat, so left out: {', '.join(found.left_out)}.")
        said = {code.casefold() for code in taken}
        standing = [cup.label for cup in running.tally.cups.values() if cup.label.casefold() not in said]
        if standing:
            soft(f"What went out of {', '.join(standing)} was not said: sprayout cup {standing[0]} --take AMOUNT")
        soft(f"Next: sprayout label {' '.join(labels)} --out labels.pdf, then sprayout judge, picture or import.")


def _tell(desk: Desk, wanted: str | None, form: str | None) -> None:
    from sprayout_library.session import open_sessions, session_data
    from sprayout_library.today.sheets import library_ids

    with desk.store() as store:
        found = list(open_sessions(*library_ids(store))) if wanted is None else [running_session(store, wanted)]
        if form == "json":
            json_out([session_data(one.tally) for one in found])
            return
        for one in found:
            heading(f"{one.tally.recipe_name} (…{one.tally.session[-6:]})")
            for line in one.tally.lines:
                say(f"  {line_words(line)}")
            piece_rows(one.tally)
            seen_rows(one.tally)
            suggest_cards(one.tally)
            if one.tally.state == "finishing":
                soft("  It was being finished: sprayout spray finish goes on with it.")
        if not found:
            say("No session runs.")
            soft('Begin: sprayout spray start "RECIPE" --cup C1 --piece "K1 over silver"')
