"""What was seen of panels: judgements in words, people's orders put side by side, and the eye beside readings."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import TYPE_CHECKING

from sprayout_core.documents.which import is_judgement, is_picture
from sprayout_library.record.evidence import Evidence, judged_panels
from sprayout_library.record.measured import colours_of
from sprayout_library.record.names import Names
from sprayout_library.record.pieces import piece_name

if TYPE_CHECKING:
    from sprayout_core.documents import Document, Judgement
    from sprayout_core.light import View
    from sprayout_core.reading.eye import Apart, Concordance, Correlation

__all__ = ["Agreed", "People", "agreed", "standing", "told_judgement", "told_picture"]

#: A piece as statistics see it: panel, zone, step.
Spot = tuple[str, str, str]

#: Which measured value each quality follows; more of it comes first. Depth: distance from white in CIELAB.
_VALUES: Mapping[str, Callable[[float, float, float], float]] = {
    "lighter": lambda L, a, b: L,
    "warmer": lambda L, a, b: b,
    "cleaner": lambda L, a, b: math.hypot(a, b),
    "deeper": lambda L, a, b: math.hypot(100 - L, math.hypot(a, b)),
    "redder": lambda L, a, b: a,
    "greener": lambda L, a, b: -a,
    "yellower": lambda L, a, b: b,
    "bluer": lambda L, a, b: -b,
}
#: What those values are called beside the numbers.
VALUE_NAMES = {
    "lighter": "L*", "warmer": "b*", "cleaner": "C*", "deeper": "distance from white", "redder": "a*",
    "greener": "-a*", "yellower": "b*", "bluer": "-b*",
}  # fmt: skip


def told_judgement(document: Document, names: Names) -> str:
    """Return what was seen, in words: the pieces, the quality, the light, who."""
    assert is_judgement(document)
    groups = [" = ".join(piece_name(piece, names) for piece in tied) for tied in document.pieces]
    if document.way == "order":
        said = f"{document.quality} first: {', '.join(groups)}"
    elif document.way == "pair":
        said = f"closest: {' and '.join(groups)}"
    else:
        assert document.against is not None
        said = f"{groups[0]} is {document.quality} than {piece_name(document.against, names)}"
    where = f", at the {document.where}" if document.where == "face" else ""
    where = (
        f", {'in the middle' if document.where == 'middle' else 'at the flop'}"
        if document.where and not where
        else where
    )
    return f"{said} (in {document.light}{where}; {document.by})"


def told_picture(document: Document, names: Names) -> str:
    """Return what a picture shows, in words."""
    assert is_picture(document)
    cup = [f"the flow of {names.label(document.cup)}"] if document.cup else []
    shows = ", ".join([*(piece_name(piece, names) for piece in document.shows), *cup])
    light = f", in {document.light}" if document.light else ""
    tilt = f", tilted {document.tilt_deg:g}°" if document.tilt_deg is not None else ""
    return f"{document.title or shows}{light}{tilt}"


def standing(judgements: Iterable[Judgement]) -> list[Judgement]:
    """Return the judgements that count: not withdrawn, and not corrected by one that is not withdrawn."""
    kept = {one.id: one for one in judgements if one.withdrawn is None}
    replaced = {one.supersedes for one in kept.values() if one.supersedes}
    return sorted((one for one in kept.values() if one.id not in replaced), key=lambda one: (one.at or "", one.id))


@dataclass(slots=True)
class People:
    """Orders by one quality in one light and at one place: rank by piece, for each person's latest order."""

    quality: str
    light: str
    where: str
    orders: dict[str, dict[Spot, float]] = field(default_factory=dict)

    @property
    def shared(self) -> list[Spot]:
        """The pieces that everybody ordered."""
        sets = [set(order) for order in self.orders.values()]
        return sorted(set.intersection(*sets)) if sets else []


@dataclass(slots=True)
class Agreed:
    """How people agree, and the eye with the readings; `because` says why a number is missing."""

    people: People
    concordance: Concordance | None = None
    parting: list[tuple[str, str, Apart[Spot]]] = field(default_factory=list)
    correlation: Correlation | None = None
    eye: dict[Spot, float] = field(default_factory=dict)
    values: dict[Spot, float] = field(default_factory=dict)
    geometry: str = ""
    stages: tuple[str, ...] = ()
    against_readings: list[Apart[Spot]] = field(default_factory=list)
    because: list[str] = field(default_factory=list)


def agreed(evidence: Evidence, judgements: Iterable[Judgement], view: View, quality: str) -> list[Agreed]:
    """Return how people agree on a quality, light by light, and where they part from each other and from readings."""
    grouped: dict[tuple[str, str], People] = {}
    for one in standing(judgements):
        if one.way != "order" or one.quality != quality or _on_the_way(one, evidence):
            continue
        key = (" ".join(one.light.casefold().split()), one.where or "")
        people = grouped.setdefault(key, People(quality, one.light, one.where or ""))
        people.orders[one.by] = _ranks(one)
    return [_agreed(people, evidence, view) for _, people in sorted(grouped.items())]


def _on_the_way(judgement: Judgement, evidence: Evidence) -> bool:
    """Return whether a piece got another coat after it was judged: then its readings are of something else."""
    for panel_id in judged_panels(judgement):
        panel = evidence.panels.get(panel_id)
        if panel and panel.sprayed_at and judgement.at and _moment(judgement.at) < _moment(panel.sprayed_at):
            return True
    return False


def _moment(time: str) -> datetime:
    """Return a document's time; a leap second counts as the one before it."""
    return datetime.fromisoformat(re.sub(r":60(?=[.Zz+-])", ":59", time).upper().replace("Z", "+00:00"))


def _ranks(judgement: Judgement) -> dict[Spot, float]:
    from sprayout_core.reading.eye import ranks

    return ranks([[(piece.panel, piece.zone or "", piece.step or "") for piece in tied] for tied in judgement.pieces])


def _again(order: Mapping[Spot, float], kept: Iterable[Spot]) -> dict[Spot, float]:
    """Return the ranks within some of the pieces only."""
    from sprayout_core.reading.eye import ranks_of_values

    return ranks_of_values({piece: -order[piece] for piece in kept})


def _agreed(people: People, evidence: Evidence, view: View) -> Agreed:
    from sprayout_core.errors import SprayoutError
    from sprayout_core.reading.eye import kendall_w, orders_part, ranks_of_values, spearman

    found = Agreed(people)
    shared = people.shared
    orders = {who: _again(order, shared) for who, order in people.orders.items()}
    try:
        found.concordance = kendall_w([[order[piece] for piece in shared] for order in orders.values()])
    except SprayoutError as error:
        found.because.append(f"people: {error.fault.problem}")
    listed = sorted(orders)
    for place, one in enumerate(listed):
        for other in listed[place + 1 :]:
            found.parting += [(one, other, apart) for apart in orders_part(orders[one], orders[other])]
    found.parting.sort(key=lambda part: -part[2].gap)
    sums = {piece: sum(order[piece] for order in orders.values()) for piece in shared}
    _beside_readings(found, sums, evidence, view)
    kept = sorted(found.values)
    if not kept:
        return found
    found.eye = ranks_of_values({piece: -sums[piece] for piece in kept})
    measured = ranks_of_values(found.values)
    found.against_readings = orders_part(found.eye, measured)
    try:
        found.correlation = spearman([found.eye[piece] for piece in kept], [measured[piece] for piece in kept])
    except SprayoutError as error:
        found.because.append(f"readings: {error.fault.problem}")
    return found


def _beside_readings(found: Agreed, pieces: Iterable[Spot], evidence: Evidence, view: View) -> None:
    """Put the measured value beside each piece, all at one geometry, stage and grade, which most of them have."""
    value = _VALUES[found.people.quality]
    by_way: dict[tuple[str, str, str], dict[Spot, float]] = {}
    for panel, zone, step in pieces:
        for colour in colours_of(evidence.readings.get(panel, []), view):
            if (colour.spot.zone, colour.spot.step) != (zone, step):
                continue
            for geometry, seen in colour.seen.items():
                way = (geometry, colour.spot.stage, colour.spot.grade)
                L, a, b = (float(part) for part in seen.lab)
                by_way.setdefault(way, {})[panel, zone, step] = value(L, a, b)
    if not by_way:
        found.because.append("readings: none of the pieces has one")
        return
    way = max(sorted(by_way), key=lambda one: len(by_way[one]))
    found.values, found.geometry, found.stages = by_way[way], way[0], way[1:]
