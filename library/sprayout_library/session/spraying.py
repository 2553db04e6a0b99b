"""Spraying: taps kept one at a time, looked up by any command, resumed after whatever happened in between."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from sprayout_core.errors import SprayoutError
from sprayout_library.machine.spray_days import FINISHED, RUNNING, running_spray_days, spray_days
from sprayout_library.session.counts import added, checked
from sprayout_library.session.journal import Journal, JournalError
from sprayout_library.session.tally import Cup, Piece, Seen, Tally, tally

__all__ = ["Session", "begin", "folder", "open_session", "open_sessions"]


def folder() -> Path:
    """Return where this machine keeps its sessions."""
    return spray_days()


@dataclass(slots=True)
class Session:
    """A session that runs: its journal, and what its taps add up to so far."""

    journal: Journal
    tally: Tally

    def tap(self, tap: Mapping[str, Any], at: str) -> Tally:
        """Keep one more tap with its time, and return what it all adds up to.

        The tap is tried on the tally first: one that cannot be is refused and not kept.
        """
        said = {**tap, "at": at}
        before = self.journal.taps()
        self.tally = tally([*before, said])
        self.journal.add(said, len(before))
        return self.tally

    def coat(
        self, pieces: Sequence[str], at: str, cup: str | None = None, laid: str | None = None, count: str = "1"
    ) -> list[Piece]:
        """Keep "coat on": all or these pieces, from one cup. Returns the pieces.

        laid   mist, medium or wet, where it was said
        count  1, or as honest as it was: about 3, until covered
        """
        self._open()
        chosen = self.pieces(pieces)
        which = self.cup(cup)
        said = checked(count)
        for piece in chosen:
            self._fits(piece, which, said)
        tap: dict[str, Any] = {
            "tap": "coat", "pieces": [one.name for one in chosen], "cup": which.label, "count": said,
        }  # fmt: skip
        if how := laid or self._laid(which):
            tap["laid"] = how
        self.tap(tap, at)
        return [self.tally.pieces[one.name] for one in chosen]

    def _laid(self, cup: Cup) -> str | None:
        """Return how the recipe lays this mix, where it says it once."""
        ways = {line.laid for line in self.tally.lines if line.formula == cup.formula}
        return ways.pop() if len(ways) == 1 else None

    def _fits(self, piece: Piece, cup: Cup, count: str) -> None:
        if piece.off:
            raise SprayoutError(f"{piece.name} is off the stand", "Take that back first, or name other pieces.")
        counts = [one for run in piece.runs if run.cup == cup.label for one in run.counts]
        added([*counts, count])
        for run in piece.runs:
            other = self.tally.cups[run.cup]
            if other.formula == cup.formula and other.proofs.get(cup.formula) != cup.proofs.get(cup.formula):
                raise SprayoutError(
                    f"{piece.name} has {cup.name} from {other.label} on it, and {cup.label} is another version of it "
                    "or made ready for another gun",
                    "A panel proves one: spray this cup on another piece.",
                )

    def pieces(self, wanted: Sequence[str]) -> list[Piece]:
        """Return pieces by name, each once; "all" for those on the stand. Raises SprayoutError."""
        if [one.casefold() for one in wanted] == ["all"]:
            found = self.tally.on_stand()
            if not found:
                raise SprayoutError("no piece is on the stand", 'Add one: sprayout spray piece "K9 over silver".')
            return found
        if not wanted:
            raise SprayoutError("on which pieces?", "Say all, or name them: sprayout spray coat K1 K2.")
        known = {name.casefold(): piece for name, piece in self.tally.pieces.items()}
        if strange := [one for one in wanted if one.casefold() not in known]:
            raise SprayoutError(
                f"there is no piece {strange[0]!r}", f"On the stand: {', '.join(self.tally.pieces) or 'none'}."
            )
        return list({one.casefold(): known[one.casefold()] for one in wanted}.values())

    def cup(self, label: str | None) -> Cup:
        """Return the cup of a label; the only one where none is named. Raises SprayoutError."""
        cups = self.tally.cups
        told = ", ".join(f"{one.label} ({one.name})" for one in cups.values())
        if label is None:
            if len(cups) != 1:
                raise SprayoutError("from which cup?", f"Say --cup with one of: {told}.")
            return next(iter(cups.values()))
        found = next((one for one in cups.values() if one.label.casefold() == label.casefold()), None)
        if found is None:
            raise SprayoutError(f"{label!r} is no cup of this session", f"There are: {told}.")
        return found

    def mark(self, kind: str, pieces: Sequence[str], at: str, words: str = "") -> list[Piece]:
        """Keep that pieces are covered, off the stand, or noted with words. Returns the pieces."""
        self._open()
        chosen = self.pieces(pieces)
        tap: dict[str, Any] = {"tap": kind, "pieces": [one.name for one in chosen]}
        if words:
            tap["words"] = words
        self.tap(tap, at)
        return [self.tally.pieces[one.name] for one in chosen]

    def see(self, tap: Mapping[str, Any], at: str) -> Seen:
        """Keep a judgement or a picture; see `judgement_tap` and `picture_tap`."""
        self._open()
        return self.tap(tap, at).seen[-1]

    def undo(self, at: str) -> Mapping[str, Any]:
        """Take the last tap back and return it. Raises SprayoutError where none is left to take back."""
        self._open()
        kept: list[Mapping[str, Any]] = []
        for tap in self.journal.taps()[1:]:
            if tap["tap"] != "undo":
                kept.append(tap)
            elif kept:
                kept.pop()
        if not kept:
            raise SprayoutError("nothing is left to take back", "Only taps after the start are taken back.")
        self.tap({"tap": "undo"}, at)
        return kept[-1]

    def give_up(self, at: str) -> None:
        """End the session without panels; its journal is kept beside the others."""
        self._open()
        self.tap({"tap": "given up"}, at)
        self.closed()

    def closed(self) -> None:
        """Put the journal beside the finished ones."""
        if self.journal.path.suffix == RUNNING and self.journal.path.exists():
            target = self.journal.path.with_suffix(FINISHED)
            self.journal.path.replace(target)
            self.journal = Journal(target)

    def _open(self) -> None:
        if self.tally.state == "finishing":
            raise SprayoutError("this session is being finished", "Finish it: sprayout spray finish.")
        if self.tally.state != "open":
            raise SprayoutError(f"this session is {self.tally.state}", "Begin another: sprayout spray start.")


def begin(first: Mapping[str, Any], at: str, by: str) -> Session:
    """Begin a session with its first tap."""
    said = {**first, "at": at, "by": by}
    journal = Journal(folder() / f"{said['session']}{RUNNING}")
    found = tally([said])
    journal.begin(said)
    return Session(journal, found)


def open_sessions(*libraries: str) -> Iterator[Session]:
    """Yield the sessions of a library, by the ids it goes by, that run on this machine, oldest first.

    Raises JournalError for damage.
    """
    for path in running_spray_days():
        journal = Journal(path)
        taps = journal.taps()
        if not taps or taps[0].get("library") not in libraries:
            continue
        found = Session(journal, tally(taps))
        if found.tally.state in ("finished", "given up"):
            found.closed()
            continue
        yield found


def open_session(*libraries: str, wanted: str | None = None) -> Session:
    """Return the session that runs, or the one that is wanted by its recipe or the end of its id.

    Raises SprayoutError where there is none, or several.
    """
    found = list(open_sessions(*libraries))
    if wanted:
        folded = wanted.casefold()
        found = [
            one for one in found if one.tally.recipe_name.casefold() == folded or one.tally.session.endswith(wanted)
        ]
    if not found:
        raise SprayoutError(
            f"no session {wanted!r} runs" if wanted else "no session runs",
            'Begin one: sprayout spray start "RECIPE" --cup C1 --piece "K1 over silver".',
        )
    if len(found) > 1:
        told = "; ".join(f"{one.tally.recipe_name} (…{one.tally.session[-6:]})" for one in found)
        raise SprayoutError(f"several sessions run: {told}", "Say --session with the end of its id, or its recipe.")
    return found[0]


def moment(text: str) -> datetime:
    """Return a time that a tap wrote."""
    try:
        return datetime.fromisoformat(text.replace("Z", "+00:00"))
    except ValueError:
        raise JournalError(f"{text!r} is no time of a tap", "Restore the journal from a backup.") from None
