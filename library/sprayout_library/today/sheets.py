"""Sheets of this library: a mix or recipe with what documents do not hold, and a pour list for each mix asked for."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime

from sprayout_core.documents import Document, Formula, Recipe, Shop
from sprayout_core.errors import SprayoutError
from sprayout_core.sheet import BenchSheet, Job, Said, bench_sheet
from sprayout_library.record import Evidence, Names, evidence_for
from sprayout_library.record.behind import last_sprayed
from sprayout_library.store import Store, manifests

__all__ = ["library_id", "library_ids", "sheet_of"]


def library_id(store: Store) -> str:
    """Return the id of the library, by which codes tell one from another. Raises SprayoutError without a manifest."""
    return library_ids(store)[0]


def library_ids(store: Store) -> list[str]:
    """Return the ids by which sheets, labels and sessions may name this library, the one in use first.

    There are several where two libraries were brought together. Raises SprayoutError without a manifest.
    """
    found = [one.id for one in manifests(store)]
    if not found:
        raise SprayoutError(
            "this library was not begun yet", "Sync it with the shop that has it, or begin it on the page Today."
        )
    return found


def sheet_of(
    document: Formula | Recipe,
    store: Store,
    names: Names,
    now: datetime,
    jobs: Mapping[str, Job] | None = None,
    pieces: tuple[str, ...] = (),
) -> BenchSheet:
    """Return the sheet of a formula or recipe as it stands now, with versions, statuses and names of this library."""
    shops = [one for one in store.documents("shop") if isinstance(one, Shop)]
    said = Said(
        shop=_own_shop(shops, store),
        printed=f"printed {_day(now)}, {now:%H:%M}",
        versions=_versions(document, store),
        statuses=_statuses(document, store),
        pieces=pieces,
        who=lambda copy: _who(copy, shops),
        last=_last_sprayed(document, store),
    )
    return bench_sheet(document, library_id(store), store.find, said, jobs)


def _own_shop(shops: list[Shop], store: Store) -> str:
    return next((shop.name for shop in shops if store.copy_id in (shop.copies or {})), "")


def _who(copy: str, shops: list[Shop]) -> str:
    return next((shop.name for shop in shops if copy in (shop.copies or {})), f"copy {copy}")


def _day(at: datetime) -> str:
    return f"{at.day} {at:%B %Y}"


def _reached(document: Document, store: Store) -> dict[str, Formula]:
    """Return every formula a document reaches, itself among them."""
    found: dict[str, Formula] = {}
    waiting = [document]
    while waiting:
        one = waiting.pop()
        keys: list[str] = []
        if isinstance(one, Formula) and one.id not in found:
            found[one.id] = one
            keys = list((one.mix.items if one.mix else None) or {})
        elif isinstance(one, Recipe):
            keys = [coat.formula for coat in (one.coats or {}).values()]
        waiting.extend(other for key in keys if isinstance(other := store.find(key), Formula))
    return found


def _versions(document: Document, store: Store) -> dict[str, str]:
    """Return how people number the versions: "version 3, 12 March 2026"."""
    told = {}
    for key in {document.id, *_reached(document, store)}:
        history = store.history(key)
        if history:
            told[key] = f"version {len(history)}, {_day(history[0].at)}"
    return told


def _last_sprayed(document: Document, store: Store) -> dict[str, Formula]:
    """Return, for each mix with two answers, the answer that was sprayed last."""
    asked = [one for one in _reached(document, store).values() if one.is_open("mix")]
    evidence = evidence_for(store, "panel") if asked else Evidence()
    found = {one.id: last_sprayed(one, evidence, store) for one in asked}
    return {key: version for key, version in found.items() if version is not None}


def _statuses(document: Formula | Recipe, store: Store) -> dict[str, str]:
    evidence = evidence_for(store)
    kept: dict[str, Formula | Recipe] = {**_reached(document, store), document.id: document}
    told = {}
    for key, one in kept.items():
        if isinstance(one, Formula) and one.slots:
            continue
        told[key] = evidence.status(one, store).state.value
    return told
