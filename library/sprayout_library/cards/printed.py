"""Printed cards, kept beside the library by their identity: the frame, and which piece belongs into which cell."""

from __future__ import annotations

import json
import secrets
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sprayout_core.errors import SprayoutError

if TYPE_CHECKING:
    from sprayout_core.card import CardResult, Frame
    from sprayout_core.documents import Piece

__all__ = ["Cards", "PrintedCard"]

_LETTERS = "23456789ABCDEFGHJKLMNPQRSTUVWXYZ"
"""What an identity is made of: nothing that is mistaken for something else when read aloud."""


@dataclass(frozen=True, slots=True)
class PrintedCard:
    """A card frame that was printed, and the pieces it is for by 'window/label'."""

    frame: Frame
    pieces: Mapping[str, Piece]


class Cards:
    """The cards printed at one library, in `cards/` of its folder; never overwritten."""

    def __init__(self, library: Path) -> None:
        self.folder = library / "cards"

    def fresh(self) -> str:
        """Return an identity that no card here has."""
        while True:
            identity = "".join(secrets.choice(_LETTERS) for _ in range(6))
            if not self._path(identity).exists():
                return identity

    def keep(self, card: PrintedCard) -> None:
        """Keep a card that is about to be printed. Raises SprayoutError where that fails."""
        from sprayout_core.card import frame_tree

        pieces = {cell: piece.model_dump(exclude_none=True) for cell, piece in card.pieces.items()}
        self._write(self._path(card.frame.identity), {"frame": frame_tree(card.frame), "pieces": pieces})

    def find(self, identity: str) -> PrintedCard:
        """Return a card by its identity. Raises SprayoutError where it was not printed here, or is spoiled."""
        from sprayout_core.card import frame_from_tree
        from sprayout_core.documents import Piece

        path = self._path(identity)
        try:
            told = json.loads(path.read_bytes())
            pieces = {str(cell): Piece.model_validate(piece) for cell, piece in told["pieces"].items()}
            return PrintedCard(frame_from_tree(told["frame"]), pieces)
        except FileNotFoundError:
            raise SprayoutError(
                f"card {identity} was not printed at this library",
                "Read it where it was printed, or print a card here and lay the pieces into that.",
            ) from None
        except OSError as error:
            raise SprayoutError(
                f"cannot be read: {error.strerror}", "Check its permissions.", place=str(path)
            ) from None
        except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
            raise SprayoutError("is no card as it was kept", "Print the card anew.", place=str(path)) from None

    def note(self, result: CardResult) -> Path:
        """Keep everything one picture gave beside the library, and return where."""
        from sprayout_core.card import result_tree

        path = self.folder / f"{result.frame.identity}-{result.picture[:16]}.json"
        self._write(path, result_tree(result))
        return path

    def _path(self, identity: str) -> Path:
        return self.folder / f"{identity}.json"

    def _write(self, path: Path, tree: dict[str, Any]) -> None:
        from sprayout_library.machine import write_whole

        try:
            write_whole(path, (json.dumps(tree, indent=2, sort_keys=True, ensure_ascii=False) + "\n").encode())
        except OSError as error:
            raise SprayoutError(
                f"cannot be kept: {error.strerror}", "Check the room on the disk and permissions.", place=str(path)
            ) from None
