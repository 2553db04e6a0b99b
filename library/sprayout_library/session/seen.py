"""Seen on the way: judgements and pictures of pieces on the stand, kept as taps and saved with their panels."""

from __future__ import annotations

import base64
import copy
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from sprayout_core.documents import Document, Piece
from sprayout_core.errors import SprayoutError
from sprayout_library.record import Entry, Names, Writer
from sprayout_library.record.names import NotKnown
from sprayout_library.record.pieces import piece_from_words, tied_from_words
from sprayout_library.session.counts import added
from sprayout_library.session.journal import settled
from sprayout_library.session.tally import Seen, Tally

__all__ = ["Look", "Shot", "judgement_tap", "picture_tap", "seen_document"]


@dataclass(frozen=True, slots=True)
class Look:
    """What an eye saw: pieces by their codes, in order ("A=B" look the same), a pair, or one against another."""

    way: str
    quality: str
    pieces: Sequence[str]
    light: str
    by: str
    against: str | None = None
    where: str | None = None


@dataclass(frozen=True, slots=True)
class Shot:
    """A picture as it came (JPEG, PNG or TIFF bytes), and what it shows, left to right."""

    content: bytes
    pieces: Sequence[str]
    light: str | None = None
    tilt_deg: float | None = None
    taken_at: str | None = None
    title: str | None = None


@dataclass(frozen=True, slots=True)
class _Stand:
    """The library's names with the pieces on the stand among its panels, each under an id of the moment."""

    names: Names
    ids: Mapping[str, str]


def judgement_tap(look: Look, tally: Tally, names: Names, writer: Writer, at: str) -> dict[str, Any]:
    """Return a judgement of pieces on the stand, or of one against a panel that is saved, as a tap.

    Raises SprayoutError for pieces that are not there or have no coat yet, and for what no judgement may say.
    """
    stand = _stand(tally, names, writer)
    tied = _tied(look.pieces, stand, tally, writer)
    facts: dict[str, Any] = {
        "way": look.way, "quality": look.quality, "pieces": [[_plain(one) for one in group] for group in tied],
        "light": look.light, "where": look.where, "by": look.by,
    }  # fmt: skip
    shown = [one for group in tied for one in group]
    if look.against:
        held = _piece(look.against, stand, tally, writer)
        if held in shown:
            raise SprayoutError("a piece was held against itself", "Name another one with --against.")
        facts["against"] = _plain(held)
        shown.append(held)
    from sprayout_library.record.seen import told_judgement

    draft = writer.new("judgement", {**facts, "at": at})
    return _tap("judgement", facts, told_judgement(draft, stand.names), _coated(shown, stand, tally), stand)


def picture_tap(shot: Shot, tally: Tally, names: Names, writer: Writer) -> dict[str, Any]:
    """Return a picture of pieces on the stand as a tap; the image itself is kept beside the library at once.

    Raises SprayoutError as `judgement_tap` does, and SourceError for bytes that are no picture.
    """
    from sprayout_library.record.seen import told_picture
    from sprayout_library.sources import Sources, digest_of, prepared

    stand = _stand(tally, names, writer)
    shows = [_piece(word, stand, tally, writer) for word in shot.pieces]
    if any(one in shows[:place] for place, one in enumerate(shows)):
        raise SprayoutError("a piece stands twice", "Name each piece once.")
    named = _coated(shows, stand, tally)
    original = digest_of(shot.content)
    _refuse_known(original, tally, writer)
    made = prepared(shot.content)
    facts: dict[str, Any] = {
        "image": digest_of(made.image), "media": made.media, "bytes": len(made.image),
        "shows": [_plain(one) for one in shows], "light": shot.light, "tilt_deg": shot.tilt_deg,
        "taken_at": shot.taken_at, "thumbnail": base64.b64encode(made.thumbnail).decode("ascii"), "title": shot.title,
    }  # fmt: skip
    draft = writer.new("picture", facts, source=original)
    sources = Sources(writer.store.folder)
    place = sources.path(sources.keep(made.image)).parent
    for folder in (place, place.parent, place.parent.parent):
        settled(folder)
    return {**_tap("picture", facts, told_picture(draft, stand.names), named, stand), "source": original}


def seen_document(seen: Seen, tally: Tally, panels: Mapping[str, str], writer: Writer) -> Document:
    """Return what was seen as a document of the panels that the pieces became, by their ids.

    Where coats went on afterwards a note says how many were on by then, so that nobody takes it for the whole panel.
    """
    facts: dict[str, Any] = _replaced(seen.facts, "piece", "panel", panels)
    if seen.kind == "judgement":
        facts["at"] = seen.at
    earlier = [
        f"{name} after {added(counts)}"
        for name, counts in seen.coats.items()
        if len(counts) < len(tally.pieces[name].counts)
    ]
    if earlier:
        words = f"Seen before the last coat, counted in coats: {', '.join(earlier)}."
        facts["notes"] = [{"text": words, "by": tally.by}]
    return writer.new(seen.kind, facts, source=seen.source)


def _stand(tally: Tally, names: Names, writer: Writer) -> _Stand:
    """Put the pieces among the names; a piece on the stand goes before a panel of the same name."""
    ids = {writer.fresh_id(): name for name in tally.pieces}
    hidden = {entry.id for name in tally.pieces for entry in names.matching(name, "panel")}
    both = copy.copy(names)
    both.entries = {key: entry for key, entry in names.entries.items() if key not in hidden} | {
        key: Entry(key, "panel", name, name, "", (), withdrawn=False, asked=()) for key, name in ids.items()
    }
    return _Stand(both, ids)


def _tied(words: Sequence[str], stand: _Stand, tally: Tally, writer: Writer) -> list[list[Piece]]:
    _refuse_places([part for word in words for part in word.split("=")], tally)
    try:
        return tied_from_words(words, stand.names, writer.store)
    except NotKnown as error:
        raise _strange(error, tally) from None


def _piece(word: str, stand: _Stand, tally: Tally, writer: Writer) -> Piece:
    _refuse_places([word], tally)
    try:
        return piece_from_words(word, stand.names, writer.store)
    except NotKnown as error:
        raise _strange(error, tally) from None


def _strange(error: NotKnown, tally: Tally) -> SprayoutError:
    return SprayoutError(error.fault.problem, f"On the stand: {', '.join(tally.pieces) or 'none'}.")


def _refuse_places(words: Sequence[str], tally: Tally) -> None:
    """Refuse a step or zone of a piece on the stand: it has none before it is a panel."""
    known = {name.casefold() for name in tally.pieces}
    for word in words:
        whole, stroke, place = (part.strip() for part in word.rpartition("/"))
        if stroke and whole.casefold() in known and word.strip().casefold() not in known:
            raise SprayoutError(f"{whole} has no step or zone {place!r} on the stand", "Name it whole.")


def _coated(shown: Sequence[Piece], stand: _Stand, tally: Tally) -> list[str]:
    """Return the pieces of this session among those shown. Raises SprayoutError for none, or one without a coat."""
    named = [stand.ids[one.panel] for one in shown if one.panel in stand.ids]
    if not named:
        raise SprayoutError(
            "none of them is on the stand", "For panels that are saved: sprayout judge, sprayout picture."
        )
    for name in named:
        if not tally.pieces[name].runs:
            raise SprayoutError(f"{name} has no coat yet", "Tap its coat first: sprayout spray coat.")
    return named


def _refuse_known(original: str, tally: Tally, writer: Writer) -> None:
    for one in tally.seen:
        if one.source == original:
            raise SprayoutError(f"this picture is here already ({one.told})", "Nothing was changed.")
    for known in writer.store.documents("picture"):
        if known.provenance.source == original:
            raise SprayoutError(f"this picture is here already ({known.name})", "Nothing was changed.")


def _tap(kind: str, facts: Mapping[str, Any], told: str, named: Sequence[str], stand: _Stand) -> dict[str, Any]:
    said = {name: value for name, value in facts.items() if value is not None}
    return {"tap": kind, "pieces": list(named), "facts": _replaced(said, "panel", "piece", stand.ids), "told": told}


def _plain(piece: Piece) -> dict[str, str]:
    return piece.model_dump(exclude_none=True)


def _replaced(value: Any, member: str, by: str, names: Mapping[str, str]) -> Any:
    """Return facts with each {member: x} that `names` knows as {by: names[x]}; others are left as they are."""
    if isinstance(value, Mapping):
        found = value.get(member)
        if isinstance(found, str) and found in names:
            return {by: names[found]}
        return {name: _replaced(one, member, by, names) for name, one in value.items()}
    if isinstance(value, list):
        return [_replaced(one, member, by, names) for one in value]
    return value
