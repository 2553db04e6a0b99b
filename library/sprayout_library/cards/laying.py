"""Laying out a card: which frame fits what is to be measured, and which piece goes where."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from sprayout_core.errors import SprayoutError
from sprayout_library.cards.printed import PrintedCard

if TYPE_CHECKING:
    from sprayout_core.documents import Panel, Piece

__all__ = ["laid_out"]

_STEPS = (2, 12)


def laid_out(
    identity: str, pieces: Sequence[Piece], paper: str = "A4", *, steps: Panel | None = None,
    hiding: Panel | None = None,
) -> PrintedCard:  # fmt: skip
    """Return a card for pieces: many small ones, or one piece beside a step card and a coat over black and white.

    identity  of the card
    pieces    in the order they are laid in
    paper     `A4` or `Letter`
    steps     the step panel whose steps are laid in as a whole
    hiding    the panel whose zones over black and over white are laid in

    Raises SprayoutError for more than the card has room for.
    """
    from sprayout_core.card import samples_frame, step_frame
    from sprayout_core.documents import Piece

    spots = [(one.panel, one.zone, one.step) for one in pieces]
    if len(set(spots)) != len(spots):
        raise SprayoutError("a piece stands twice", "Name each piece once.")
    if steps is None and hiding is None:
        frame = samples_frame(identity, paper=paper)
        cells = frame.window("pieces").labels
        if not 1 <= len(pieces) <= len(cells):
            raise SprayoutError(f"{len(pieces)} pieces", f"One card has room for 1 to {len(cells)}.")
        return PrintedCard(frame, {f"pieces/{cell}": piece for cell, piece in zip(cells, pieces, strict=False)})
    if len(pieces) > 1:
        raise SprayoutError(
            f"{len(pieces)} pieces beside a step card", "There is room for one; print another card for the others."
        )
    laid = {"piece/piece": pieces[0]} if pieces else {}
    if steps is None:
        frame = step_frame(identity, paper=paper)
    else:
        labels = _labels(steps)
        frame = step_frame(identity, labels, paper)
        laid |= {f"step card/{label}": Piece(panel=steps.id, step=label) for label in labels}
    if hiding is not None:
        if missing := {"over_black", "over_white"} - set(hiding.zones or []):
            told = " and ".join(sorted(one.replace("_", " ") for one in missing))
            raise SprayoutError(
                f"{hiding.name} has no zone {told}", "Record it with --zone over_black --zone over_white."
            )
        laid |= {f"black and white/{zone}": Piece(panel=hiding.id, zone=zone.replace(" ", "_"))
                 for zone in ("over black", "over white")}  # fmt: skip
    return PrintedCard(frame, laid)


def _labels(panel: Panel) -> tuple[str, ...]:
    """Return the steps of a panel from the fewest coats on, as they lie from left to right."""
    steps = panel.steps or {}
    least, most = _STEPS
    if not least <= len(steps) <= most:
        raise SprayoutError(
            f"{panel.name} has {len(steps)} steps", f"A step card on a card frame has {least} to {most}."
        )
    return tuple(sorted(steps, key=lambda step: (steps[step], step)))
