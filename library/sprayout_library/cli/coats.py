"""sprayout coats: how many coats is this, and what would one more do."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from sprayout_library.cli.desk import Desk
from sprayout_library.cli.told import json_out, rows, say, soft

if TYPE_CHECKING:
    from sprayout_library.record import Names
    from sprayout_library.store import Store


@click.command("coats")
@click.argument("piece")
@click.option("--card", metavar="PANEL", help="The step card; by default one of the same recipe and ground.")
@click.option("--laid", type=click.IntRange(1, 40), help="How many coats you laid; tells how heavy your coats are.")
@click.option("--wanted", type=click.IntRange(1, 40), help="How many coats of the card are wanted.")
@click.option("--geometry", help="In which geometry; by default the first that both have.")
@click.option("--json", "form", flag_value="json", help="As JSON.")
@click.pass_obj
def command(
    desk: Desk,
    /,
    piece: str,
    card: str | None,
    laid: int | None,
    wanted: int | None,
    geometry: str | None,
    form: str | None,
) -> None:
    """Tell how many coats of a step card PIECE (a panel, or KF-2/5) comes to."""
    from sprayout_core.film import StepCard, coats_of, more_coats
    from sprayout_library.film.reading_of import spectra_named

    with desk.store() as store:
        names = desk.names(store)
        nm, seen = spectra_named(store, names, piece)
        panel, steps = _card(store, names, piece, card)
        shared = [one for one in sorted(seen) if all(one in readings for _, readings in steps)]
        chosen = geometry or (shared[0] if shared else "")
        if chosen not in shared:
            from sprayout_core.errors import SprayoutError

            raise SprayoutError(
                f"{panel} and {piece} were not read in the same geometry", "Measure both in one.", place="geometry"
            )
        import numpy as np

        counted = StepCard(
            np.array([count for count, _ in steps], dtype=float),
            np.maximum(np.array([readings[chosen] for _, readings in steps]), 1e-4),
        )
        found = coats_of(counted, np.maximum(seen[chosen], 1e-4))
        advice = more_coats(counted, found, laid, wanted, nm) if laid and wanted else None
        if form == "json":
            json_out(
                {
                    "card": panel,
                    "geometry": chosen,
                    "coats": round(found.coats, 3),
                    "low": round(found.low, 3),
                    "high": round(found.high, 3),
                    "notes": list(found.notes),
                    "advice": advice.words if advice else "",
                }
            )
            return
        say(f"{piece} is {found.coats:.1f} coats of {panel} ({found.low:.1f} to {found.high:.1f}), {chosen}", bold=True)
        rows([("film really there", f"{found.film_low:.1f} to {found.film_high:.1f} coats' worth")])
        for note in found.notes:
            say(f"  {note}", fg="yellow")
        if advice is not None:
            say(f"  {advice.words}")
        elif laid or wanted:
            soft("  Give both --laid and --wanted to hear what one more coat would do.")


def _card(store: Store, names: Names, piece: str, card: str | None) -> tuple[str, list[tuple[int, dict[str, Any]]]]:
    """Return the card's name and its steps with readings, fewest coats first."""
    from sprayout_core.documents import Panel
    from sprayout_core.errors import SprayoutError
    from sprayout_library.film.reading_of import spectra_named
    from sprayout_library.record.evidence import evidence_for
    from sprayout_library.record.pieces import piece_from_words

    if card is not None:
        chosen = names.find(card, "panel").id
    else:
        own = store.get(piece_from_words(piece, names, store).panel)
        assert isinstance(own, Panel)
        alike = [
            one
            for one in evidence_for(store, "panel").panels.values()
            if one.recipe == own.recipe
            and one.ground == own.ground
            and len(one.steps or {}) > 2
            and one.withdrawn is None
        ]
        if not alike:
            raise SprayoutError(
                "there is no step card of the same recipe over the same ground",
                "Name one with --card, or spray one: sprayout panel RECIPE --steps 0,1,2,4",
            )
        chosen = sorted(alike, key=lambda one: one.sprayed_at or "")[-1].id
    panel = store.get(chosen)
    assert isinstance(panel, Panel)
    steps = []
    for step, count in (panel.steps or {}).items():
        try:
            _, readings = spectra_named(store, names, f"{panel.name}/{step}")
        except SprayoutError:
            continue
        steps.append((count, dict(readings)))
    if len(steps) < 3:
        raise SprayoutError(f"{panel.name} has fewer than three steps with a spectrum", "Measure its steps first.")
    return panel.name, sorted(steps, key=lambda one: one[0])
