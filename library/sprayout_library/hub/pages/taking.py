"""Taking readings in: a file is dropped, shown as it was understood, asked about, and only then taken in."""

from __future__ import annotations

import hashlib
import io
from pathlib import PurePosixPath, PureWindowsPath
from typing import Any

from sprayout_core.errors import SprayoutError
from sprayout_core.tables import Source
from sprayout_library.hub.pages.card import is_picture
from sprayout_library.hub.pages.drops import Upload
from sprayout_library.hub.pages.visit import Reply, Visit
from sprayout_library.inbox import Asked, Batch, Copied, Inbox, Mappings, Outcome, Readers, headings_mark
from sprayout_library.record.placing import Spots

__all__ = ["readings", "take"]

_OPTION = "set-"


def readings(visit: Visit) -> Reply:
    """Show where to drop a file; once one was dropped, what was understood of it and what is asked."""
    shown: dict[str, Any] = {
        "preview": None, "drop": "", "name": "", "given": {}, "panel": visit.asked.said("panel"), "outcome": None,
        "panels": [], "last": {}, "readers": [],
    }  # fmt: skip
    token = visit.asked.said("drop")
    if token and not visit.asked.files:
        upload = visit.drops.get(visit.csrf, token)
        return Reply("readings.html", shown | _looked(visit, upload, token))
    return Reply("readings.html", shown)


def take(visit: Visit) -> Reply:
    """Look into a dropped file; take it in where that was asked for and nothing is open."""
    visit.writer()
    upload = visit.asked.files.get("file")
    if upload is not None:
        if not upload.content:
            raise SprayoutError(f"{upload.name} is empty", "Export it again.")
        token = visit.drops.keep(visit.csrf, Upload(_plain(upload.name), upload.content))
        return visit.go(f"/look/{'card' if is_picture(upload.content) else 'readings'}?drop={token}")
    token = visit.asked.said("drop")
    if not token:
        raise SprayoutError("no file was dropped", "Choose one, or drop it on the frame.")
    kept = visit.drops.get(visit.csrf, token)
    if visit.asked.said("do") != "take":
        return readings(visit)
    return _taken(visit, kept, token)


def _plain(name: str) -> str:
    """Return a file's own name, whatever system its folders were of."""
    own = PureWindowsPath(PurePosixPath(name).name).name
    return "".join(sign for sign in own if sign.isprintable())[:120] or "table"


def _given(visit: Visit) -> dict[str, str]:
    names = {name for name in (*visit.asked.form, *visit.asked.query) if name.startswith(_OPTION)}
    return {name.removeprefix(_OPTION): text for name in sorted(names) if (text := visit.asked.said(name))}


def _copy(upload: Upload) -> Copied:
    size = len(upload.content)
    source = Source(upload.name, size, hashlib.sha256(upload.content).hexdigest(), lambda: io.BytesIO(upload.content))
    return Copied(source, (size, 0, 0, 0))


def _looked(visit: Visit, upload: Upload, token: str) -> dict[str, Any]:
    source, given = _copy(upload).source, _given(visit)
    previews = Readers().preview(source, given)
    plugin, preview = previews.chosen(visit.asked.said("reader") or None)
    last = Mappings().of_headings(headings_mark(source))
    asked = {question.option for question in preview.questions}
    return {
        "preview": preview, "drop": token, "name": upload.name, "given": given, "plugin": plugin,
        "readers": list(previews.by_plugin) if len(previews.by_plugin) > 1 else [],
        "last": {name: value for name, value in (last.options if last else {}).items() if name in asked},
        "panels": list(visit.names.of_kind("panel")),
    }  # fmt: skip


def _taken(visit: Visit, upload: Upload, token: str) -> Reply:
    from pathlib import Path

    copy, given, reader = _copy(upload), _given(visit), visit.asked.said("reader")
    readers = Readers()
    plugin, preview = readers.preview(copy.source, given).ready(reader or None)
    panel = visit.asked.said("panel")
    identity = visit.names.find(panel, "panel").id if panel else None
    writer, spots = visit.writer(), Spots(visit.store)
    inbox = Inbox(visit.store, lambda: visit.now)
    with inbox.turn():
        batch = Batch(writer, inbox, spots)
        asked = Asked(given, reader)
        rows = readers.rows(copy.source, plugin, given)
        outcome = batch.take(copy, Path(upload.name), asked.mark(readers), rows, panel=identity, meaning=asked.meaning)
        batch.save()
    Mappings().keep_for_headings(headings_mark(copy.source), Asked(preview.mapping, plugin))
    visit.drops.drop(visit.csrf, token)
    return Reply("taken.html", {"name": upload.name, "outcome": outcome, "pieces": _pieces(visit, outcome)})


def _pieces(visit: Visit, outcome: Outcome) -> list[Any]:
    """Return the pieces that were measured, as they look now."""
    now = visit.known.of(visit.store)
    return list(now.pieces(visit.store, sorted(outcome.panels)).values())
