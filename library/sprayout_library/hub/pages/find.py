"""Find: by words, by what is in it, by its evidence, and by colour."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from sprayout_core.errors import Fault, SprayoutError
from sprayout_library.hub.pages.visit import Reply, Visit

if TYPE_CHECKING:
    from sprayout_library.hub.pages.pieces import Piece
    from sprayout_library.index import Found, Index, Near, Question, Shown

__all__ = ["find"]

_MOST, _NEAREST = 200, 24
_HEX = frozenset("0123456789abcdef-")
KINDS = {"formula": "mix", "recipe": "recipe", "panel": "piece", "batch": "cup", "material": "material"}
STATES = {
    "never-sprayed": "never sprayed",
    "changed": "changed since it was sprayed",
    "no-reading": "pieces without a reading",
    "two-answers": "two answers",
}
_FIELDS = ("words", "kind", "state", "uses", "near", "light", "at")


@dataclass(frozen=True, slots=True)
class NearPiece:
    """A piece near the colour looked for: how far (CIEDE2000), where on it, why it was looked at besides."""

    piece: Piece
    difference: float
    spot: str
    because: str


def find(visit: Visit) -> Reply:
    """Show what meets everything that was said; where that is just one by its name, that."""
    said = {name: visit.asked.said(name)[:200] for name in _FIELDS}
    shown: dict[str, Any] = {
        "said": said, "words": said["words"], "kinds": list(KINDS.items()), "states": list(STATES.items()),
        "lights": [], "geometries": [], "found": [], "nearest": [], "near": [], "target": "",
        "more": False, "asked": any(said[name] for name in _FIELDS[:5]),
    }  # fmt: skip
    looked = visit.asking(lambda index: _looked(index, said, visit))
    shown |= {"lights": looked.lights, "geometries": looked.geometries}
    if looked.refused:
        return Reply("find.html", shown | {"faults": looked.refused}, 422)
    if looked.question is None:
        return Reply("find.html", shown, settled=True)
    question, answer = looked.question, looked.answer
    if question.near is not None:
        pieces = visit.pieces([one.what.id for one in answer.found])
        shown["nearest"] = [_near_piece(one, pieces[one.what.id]) for one in answer.found if one.what.id in pieces]
        shown["target"] = question.near.target.said
        return Reply("find.html", shown, settled=True)
    found = _by_name_first(answer, said, visit)
    if len(found) == 1 and not answer.more and not any(said[name] for name in _FIELDS[1:]):
        identity, kind, _, _ = found[0]
        if kind != "library":
            return visit.go(f"/thing/{identity}")
    near = [] if found or not said["words"] else visit.names.near(said["words"].casefold())
    return Reply("find.html", shown | {"found": found, "more": bool(answer.more), "near": near}, settled=True)


@dataclass(frozen=True, slots=True)
class _Looked:
    """What one look into the index gave."""

    lights: list[str]
    geometries: list[str]
    question: Question | None
    answer: Shown
    refused: tuple[Fault, ...] = ()


def _looked(index: Index, said: dict[str, str], visit: Visit) -> _Looked:
    from sprayout_library.index import Shown

    lights, geometries = _lights(index), _geometries(index) if said["near"] else []
    if not any(said[name] for name in _FIELDS[:5]):
        return _Looked(lights, geometries, None, Shown(()))
    try:
        return _Looked(lights, geometries, *_answered(index, said, visit))
    except SprayoutError as error:
        return _Looked(lights, geometries, None, Shown(()), tuple(error.faults))


def _lights(index: Index) -> list[str]:
    """Return the lights that colours are kept under here, by the names people use."""
    from sprayout_core.light import VIEWS

    return [name for name, view in VIEWS.items() if (str(view.illuminant), view.observer) in index.views]


def _geometries(index: Index) -> list[str]:
    return sorted({geometry for level in index.levels for geometry in level.colours.geometries()})


def _answered(index: Index, said: dict[str, str], visit: Visit) -> tuple[Question, Shown]:
    from sprayout_library.index import Question, Shown, Uses, find

    near = _near(index, said, visit) if said["near"] else None
    uses = (Uses(index.named(said["uses"], "material", "formula")),) if said["uses"] else ()
    question = Question(
        words=said["words"] if any(sign.isalnum() for sign in said["words"]) else "",
        kinds=(said["kind"],) if said["kind"] in KINDS else (),
        uses=uses,
        evidence=frozenset({said["state"]} & set(STATES)),
        near=near,
        limit=_NEAREST if near else _MOST,
    )
    if not any((question.words, question.kinds, uses, question.evidence, near)):
        return question, Shown(())
    return question, find(index, question)


def _near(index: Index, said: dict[str, str], visit: Visit) -> Near:
    from sprayout_library.index import Near, read_target
    from sprayout_library.index.targets import typed

    geometries = _geometries(index)
    if said["at"] and said["at"] not in geometries:
        raise SprayoutError(
            f"nothing was measured at {said['at'][:40]}", f"At: {', '.join(geometries) or 'nothing yet'}."
        )
    if not said["at"] and len(geometries) > 1 and set(typed(said["near"]) or ()) == {""}:
        raise SprayoutError("pieces here were measured at several angles", "Say at which the colour was read.")
    lights, at = ([said[name]] if said[name] else [] for name in ("light", "at"))
    return Near(read_target(index, said["near"], lights, at, visit.store.content))


def _near_piece(one: Found, piece: Piece) -> NearPiece:
    assert one.difference is not None
    return NearPiece(piece, one.difference, one.spot, "; ".join(one.because))


def _by_name_first(answer: Shown, said: dict[str, str], visit: Visit) -> list[tuple[str, str, str, str]]:
    """Return (id, kind, what it is called, why); what is named by the end of its id stands first."""
    found = []
    if said["words"] and not any(said[name] for name in _FIELDS[1:]):
        end = said["words"].casefold().removeprefix("…").removeprefix("...").strip()
        if len(end) > 3 and not set(end) - _HEX:
            found = [(one.id, one.kind, "") for one in visit.names.of_kind() if one.id.endswith(end)][:_MOST]
    known = {identity for identity, _, _ in found}
    found += [(one.what.id, one.what.kind, _why(one)) for one in answer.found if one.what.id not in known]
    return [(identity, kind, visit.names.label(identity), why) for identity, kind, why in found]


def _why(one: Found) -> str:
    plain = [reason for reason in one.because if reason not in ("its name", "its label")]
    return "; ".join([*plain, *(["out of use"] if one.what.withdrawn else [])])
