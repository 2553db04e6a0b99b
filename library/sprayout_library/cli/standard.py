"""sprayout standard: the panel that others are compared with, and how far they may be from it."""

from __future__ import annotations

import shlex
from typing import Any

import click

from sprayout_library.cli.desk import Desk
from sprayout_library.cli.told import say, soft


@click.command("standard")
@click.argument("recipe")
@click.argument("piece", required=False)
@click.option("--within", metavar="LIMIT", help="The largest difference at any geometry, such as 1.5.")
@click.option("--limit", multiple=True, metavar="GEOMETRY=LIMIT", help="At one geometry: 45:0=1.2, 45as15=2.")
@click.pass_obj
def command(desk: Desk, /, recipe: str, piece: str | None, within: str | None, limit: tuple[str, ...]) -> None:
    """Make PIECE (a panel, or KF-2/5: one step of it) the standard of RECIPE over its ground.

    The limits are in the difference formula of the library.
    """
    from sprayout_core.compare import Change, Put
    from sprayout_core.documents import Recipe
    from sprayout_core.errors import SprayoutError

    with desk.store() as store:
        writer = desk.writer(store)
        names = desk.names(store)
        held = desk.document(store, recipe, "recipe")
        assert isinstance(held, Recipe)
        changes: list[Change] = []
        if piece:
            changes.append(_standard(desk, store, held, piece))
        if within or limit:
            manifest = desk.manifest(store)
            changes.append(Put("tolerance", tolerance_facts(manifest, within, limit)))
        if not changes:
            raise SprayoutError("neither a panel nor a limit was named", "Give a panel, or --within 1.5.")
        document = writer.edited(held, changes)
        if document is held:
            say(f"{held.name}: it stands so already.")
            return
        writer.save([document], f"{held.name}: standard")
        if isinstance(document, Recipe):
            _told(held, document, piece, names)


def _told(before: Any, after: Any, piece: str | None, names: Any) -> None:
    """Say which standard is new, and what limits are."""
    earlier = before.standards or {}
    for ground, standard in (after.standards or {}).items():
        if earlier.get(ground) != standard:
            step = f", step {standard.step}" if standard.step is not None else ""
            say(f"{names.label(standard.panel)}{step} is now the standard of {after.name} over {names.label(ground)}.")
    if after.tolerance is not None and after.tolerance != before.tolerance:
        was = f"; before: {_limits(before.tolerance)}" if before.tolerance is not None else ""
        say(f"Limits of {after.name}: {_limits(after.tolerance)} in {after.tolerance.formula}{was}.")
    soft(f"Compare with it: sprayout compare {shlex.quote(piece or 'STANDARD')} TRIAL")


def _limits(tolerance: Any) -> str:
    each = tolerance.model_dump()["limits"]
    return ", ".join(
        f"within {facts['difference']:g} at {'any geometry' if geometry == 'any' else geometry}"
        for geometry, facts in each.items()
    )


def _standard(desk: Desk, store: Any, held: Any, words: str) -> Any:
    from sprayout_core.compare import Put
    from sprayout_core.documents import Panel
    from sprayout_core.errors import SprayoutError
    from sprayout_library.record.pieces import piece_from_words

    piece = piece_from_words(words, desk.names(store), store)
    panel = store.get(piece.panel)
    assert isinstance(panel, Panel)
    if panel.recipe != held.id:
        raise SprayoutError(f"{panel.name} is no panel of {held.name}", "Choose one that was sprayed by it.")
    if panel.withdrawn is not None:
        raise SprayoutError(f"{panel.name} is withdrawn", "Choose another, or bring it back.")
    if panel.ground is None or panel.ground.id not in {one.id for one in (held.grounds or {}).values()}:
        raise SprayoutError(f"{panel.name} is over no ground of {held.name}", "Add the ground to the recipe first.")
    return Put(f"standards/{panel.ground.id}", piece.model_dump(exclude_none=True))


def tolerance_facts(manifest: Any, within: str | None, limit: tuple[str, ...]) -> dict[str, Any]:
    """Return the facts of a tolerance from words. Raises SprayoutError for what is no limit."""
    from sprayout_core.errors import SprayoutError

    limits: dict[str, dict[str, float | int]] = {}
    for pair in [*([f"any={within}"] if within else []), *limit]:
        geometry, sign, value = pair.rpartition("=")
        if not sign or not geometry.strip():
            raise SprayoutError(f"--limit {pair!r} says no geometry and limit", "Write 45:0=1.2.")
        if geometry.strip() in limits:
            raise SprayoutError(f"{geometry.strip()} is limited twice", "Give one limit for each.")
        limits[geometry.strip()] = {"difference": _limit(value)}
    facts: dict[str, Any] = {"formula": (manifest.difference if manifest else None) or "ciede2000", "limits": limits}
    if manifest is not None and manifest.illuminant and manifest.observer:
        facts |= {"illuminant": manifest.illuminant, "observer": manifest.observer}
    return facts


def _limit(text: str) -> float | int:
    from sprayout_core.errors import SprayoutError
    from sprayout_core.ratio import exact

    value = exact(text.strip().replace(",", "."))
    if not 0 < value <= 100:
        raise SprayoutError(f"{text.strip()!r} is no limit", "Give a number above 0, such as 1.5.")
    return int(value) if value.denominator == 1 else float(value)
