"""The tally: what a spray day's taps add up to, piece by piece and coat by coat."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from sprayout_core.errors import SprayoutError
from sprayout_library.session.counts import added

__all__ = ["Cup", "Line", "Piece", "Run", "Seen", "Tally", "tally"]


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the recipe's coat schedule as it stood when the session began."""

    formula: str
    name: str
    count: str
    spray_ready: str | None = None
    laid: str | None = None
    film_um: str | None = None
    dry: Mapping[str, str] | None = None


@dataclass(frozen=True, slots=True)
class Cup:
    """A cup of the session: which batch, of which mix, through which gun; what it pins."""

    label: str
    batch: str
    formula: str
    name: str
    spray_ready: str | None
    proofs: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Run:
    """Coats of one cup, laid one way, one after another: a line of the panel as it was really sprayed."""

    cup: str
    laid: str | None
    counts: tuple[str, ...]
    times: tuple[str, ...]

    @property
    def count(self) -> str:
        """How many coats, as honestly as they were counted."""
        return added(self.counts)


@dataclass(slots=True)
class Piece:
    """A piece on the stand: its ground, its shape, what was sprayed on it so far."""

    name: str
    ground: Mapping[str, str]
    ground_name: str
    shape: str
    companion_of: str = ""
    runs: list[Run] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    covered: bool = False
    off: bool = False

    @property
    def counts(self) -> tuple[str, ...]:
        """Every count that was tapped on it, in order, whatever cup it came from."""
        return tuple(count for run in self.runs for count in run.counts)

    @property
    def last(self) -> str | None:
        """When the last coat went on, as it was recorded."""
        return self.runs[-1].times[-1] if self.runs else None

    def count_of(self, formula: str, cups: Mapping[str, Cup]) -> str:
        """Return how many coats of one mix are on it; empty for none."""
        counts = [one for run in self.runs if cups[run.cup].formula == formula for one in run.counts]
        return added(counts) if counts else ""


@dataclass(frozen=True, slots=True)
class Seen:
    """A judgement or a picture made on the way: what it says, in words too, and the coats that were on by then.

    facts   the document's members; a piece of this session stands as {"piece": name}
    coats   the counts tapped on each of its pieces before it was seen
    source  digest of a picture's file as it came
    """

    kind: str
    at: str
    told: str
    facts: Mapping[str, Any]
    coats: Mapping[str, tuple[str, ...]]
    source: str | None = None


@dataclass(slots=True)
class Tally:
    """Everything a session's taps add up to; `state` is open, finishing, finished or given up."""

    session: str
    library: str
    recipe: str
    recipe_name: str
    recipe_proof: str
    begun: str
    by: str
    clear: Mapping[str, str] | None
    lines: tuple[Line, ...]
    cups: dict[str, Cup] = field(default_factory=dict)
    pieces: dict[str, Piece] = field(default_factory=dict)
    seen: list[Seen] = field(default_factory=list)
    state: str = "open"
    finishing: Mapping[str, Any] | None = None
    undone: int = 0
    taps: int = 0

    def on_stand(self) -> list[Piece]:
        """Return the pieces that are still being sprayed."""
        return [piece for piece in self.pieces.values() if not piece.off]

    def last_coat(self) -> str | None:
        """Return when the last coat went on any piece."""
        times = [piece.last for piece in self.pieces.values() if piece.last]
        return max(times, key=_moment) if times else None


def _moment(text: str) -> datetime:
    return datetime.fromisoformat(text.replace("Z", "+00:00"))


def tally(taps: Sequence[Mapping[str, Any]]) -> Tally:
    """Return what taps add up to. Raises SprayoutError for a journal that says what no session can.

    A tap "undo" takes back the last one that was not taken back yet (start and finish never are).
    """
    if not taps or taps[0].get("tap") != "start":
        raise SprayoutError("a session begins with its start", "Begin one: sprayout spray start RECIPE.")
    try:
        return _added_up(taps)
    except (KeyError, TypeError, AttributeError, ValueError) as error:
        raise SprayoutError(
            f"a tap of this session cannot be understood ({error})", "A newer sprayout wrote it: update this one."
        ) from error


def _added_up(taps: Sequence[Mapping[str, Any]]) -> Tally:
    first = taps[0]
    found = Tally(
        first["session"], first["library"], first["recipe"], first["recipe_name"], first["recipe_proof"], first["at"],
        first["by"], first.get("clear"), tuple(Line(**line) for line in first["lines"]), taps=len(taps),
    )  # fmt: skip
    for cup in first["cups"]:
        found.cups[cup["label"]] = Cup(**cup)
    for piece in first["pieces"]:
        found.pieces[piece["name"]] = Piece(**piece)
    for tap in _standing(taps[1:], found):
        _apply(found, tap)
    return found


def _standing(taps: Sequence[Mapping[str, Any]], found: Tally) -> list[Mapping[str, Any]]:
    kept: list[Mapping[str, Any]] = []
    for tap in taps:
        if tap["tap"] != "undo":
            kept.append(tap)
        elif kept and kept[-1]["tap"] not in ("finishing", "finished"):
            kept.pop()
            found.undone += 1
    return kept


def _apply(found: Tally, tap: Mapping[str, Any]) -> None:
    kind = tap["tap"]
    if kind == "coat":
        for name in tap["pieces"]:
            _coat(found.pieces[name], tap)
    elif kind == "piece":
        found.pieces[tap["piece"]["name"]] = Piece(**tap["piece"])
    elif kind == "cup":
        found.cups[tap["cup"]["label"]] = Cup(**tap["cup"])
    elif kind in ("covered", "off", "note"):
        for name in tap["pieces"]:
            piece = found.pieces[name]
            if kind == "note":
                piece.notes.append(tap["words"])
            else:
                setattr(piece, kind, True)
    elif kind in ("judgement", "picture"):
        found.seen.append(_seen(found, tap))
    elif kind == "finishing":
        found.state, found.finishing = "finishing", tap
    elif kind in ("finished", "given up"):
        found.state = kind
    else:
        raise ValueError(kind)


def _seen(found: Tally, tap: Mapping[str, Any]) -> Seen:
    """Return what was seen. A piece without a coat becomes no panel, so nothing can be seen of it."""
    coats = {name: found.pieces[name].counts for name in tap["pieces"]}
    if not coats or not all(coats.values()):
        raise ValueError(f"a {tap['tap']} of no coat")
    return Seen(tap["tap"], tap["at"], tap["told"], tap["facts"], coats, tap.get("source"))


def _coat(piece: Piece, tap: Mapping[str, Any]) -> None:
    """Add a coat: to the last run where cup and laying are the same, else as a new line."""
    laid = tap.get("laid")
    last = piece.runs[-1] if piece.runs else None
    if last is not None and (last.cup, last.laid) == (tap["cup"], laid):
        piece.runs[-1] = Run(last.cup, laid, (*last.counts, tap["count"]), (*last.times, tap["at"]))
    else:
        piece.runs.append(Run(tap["cup"], laid, (tap["count"],), (tap["at"],)))
