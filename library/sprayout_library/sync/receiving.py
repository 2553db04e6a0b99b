"""Receiving: what was fetched is judged at the gate, folded with what is here, and our branch moves there."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import UTC, datetime

from sprayout_core.errors import Fault
from sprayout_library.store import FOLD_RULES, Store
from sprayout_library.store.journal import note_received
from sprayout_library.store.layout import shop_ref
from sprayout_library.store.objects import Pile
from sprayout_library.store.refs import MAIN, all_refs, move
from sprayout_library.store.trees import trees_of
from sprayout_library.sync.copied import is_ancestor, rebuilt, standing
from sprayout_library.sync.folding import FoldError, fold, independent
from sprayout_library.sync.gate import Verdict, judged
from sprayout_library.sync.quarantine import Quarantine, quarantine
from sprayout_library.sync.report import SyncReport
from sprayout_library.sync.strangers import Admit, everybody, strangers_in

__all__ = ["Step", "fold_here", "known_commits", "quietly", "receive", "seen_ref", "take_in"]

Step = Callable[[str, int, int], None]
"""Called with (what is being done, how much of it is done, how much there is)."""


def quietly(what: str, done: int, whole: int) -> None:
    """Report no progress."""


def seen_ref(source: str, copy: str) -> str:
    """Return the reference that remembers the last head of a copy that a remote or a stick had."""
    return f"refs/sprayout/seen/{source}/{copy}"


def known_commits(store: Store) -> dict[str, str]:
    """Return commits whose whole history was let in before, by reference."""
    refs = all_refs(store.git)
    return {name: commit for name, commit in refs.items() if name.startswith(("refs/heads/", "refs/sprayout/seen/"))}


def receive(
    store: Store,
    source: str,
    fetch: Callable[[Quarantine], dict[str, str]],
    now: datetime,
    report: SyncReport,
    step: Step = quietly,
    admit: Admit = everybody,
) -> None:
    """Let in what `fetch` brings into a quarantine, head by head, and fold it with what is here.

    source   the name of the remote or stick, which has the memory of what it held before
    report   takes what was refused and what else there is to say; its `shops` are the heads the source holds
    admit    is asked before the first things of a library that began apart from this one come in
    """
    known = known_commits(store)
    with quarantine(store, known) as arrived:
        fetched = fetch(arrived)
        verdict = judged(
            arrived.git,
            _without_rewinds(store, source, arrived, fetched, report),
            known.values(),
            ours=store.newest(),
            step=lambda done, whole: step("checking", done, whole),
        )
        report.refused += verdict.refused.values()
        if strangers := strangers_in(store, arrived, verdict.accepted.values()):
            admit(strangers)
        if verdict.accepted:
            arrived.release(verdict.accepted.values())
    if verdict.other_rules:
        rules = ", ".join(str(number) for number in sorted(verdict.other_rules))
        report.notes.append(
            f"another copy joins by rules {rules}, this one by rules {FOLD_RULES}: "
            "nothing is brought together here until all have the same"
        )
    others = {copy: head for copy, head in report.shops.items() if copy not in fetched}
    report.shops |= fetched
    if verdict.accepted:
        note_received(store.folder, verdict.accepted, datetime.now(UTC))
    take_in(store, others | verdict.accepted, now, report, verdict)


def _without_rewinds(
    store: Store, source: str, arrived: Quarantine, fetched: Mapping[str, str], report: SyncReport
) -> dict[str, str]:
    """Return the heads that go forward from what this source had before; the others are refused by name."""
    seen = all_refs(store.git, f"refs/sprayout/seen/{source}/")
    kept: dict[str, str] = {}
    for copy, head in fetched.items():
        before = seen.get(seen_ref(source, copy))
        if before is None or is_ancestor(arrived.git, before, head):
            kept[copy] = head
        else:
            told = "was rewound: it does not contain what it held before"
            report.refused.append(Fault(f"from {copy}", told, "Nothing was taken of it; ask that shop what happened."))
    return kept


def take_in(
    store: Store, heads: Mapping[str, str], now: datetime, report: SyncReport, verdict: Verdict | None = None
) -> None:
    """Fold heads that passed the gate and whose objects are in the library, and move our branch there.

    heads   commit by copy id
    """
    with store.writing():
        _guard_own(store, heads, now, report, verdict)
        here = store.newest()
        waiting = [head for head in heads.values() if store.reader.info(head) is not None]
        if here is None and not waiting:
            return
        if verdict is not None and verdict.other_rules:
            target = _forward_only(store, here, waiting)
        else:
            target = _folded(store, here, heads, waiting, report)
        if target is not None and target != here:
            _advance(store, target)


def fold_here(store: Store, now: datetime) -> SyncReport:
    """Fold the branches that others pushed into this very repository: what a hub does, being a copy itself.

    They passed the gate when they were pushed.
    """
    report = SyncReport()
    refs = all_refs(store.git, "refs/heads/shops/")
    report.shops = {name.rpartition("/")[2]: commit for name, commit in refs.items()}
    take_in(store, report.shops, now, report)
    store.refresh()
    report.head = store.head
    return report


def _guard_own(
    store: Store, heads: Mapping[str, str], now: datetime, report: SyncReport, verdict: Verdict | None
) -> None:
    """Look for edits made under our copy id elsewhere: behind them, go forward; beside them, draw a new id."""
    own, here = store.copy_id, store.newest()
    foreign = [heads[own]] if own in heads else []
    foreign += [commit.id for commit in (verdict.commits if verdict else ()) if commit.copy == own]
    for there in independent(store.git, [name for name in foreign if store.reader.info(name)]):
        found = standing(store.git, here, there)
        if found.word == "beside":
            here = rebuilt(store, there, now)
            report.notes.append(
                f"this library is a copy: another one uses its copy id {own}. "
                f"It goes on as {store.copy_id}; nothing was lost"
            )
            return
        if found.word == "behind" and here is not None:
            report.notes.append(
                "this library was restored from an older state; it went forward to what it had sent before"
            )


def _forward_only(store: Store, here: str | None, waiting: list[str]) -> str | None:
    """Return the one head that contains ours, where there is one: a copy with other rules makes no folds."""
    heads = independent(store.git, [*waiting, *([here] if here else [])])
    return heads[0] if len(heads) == 1 else here


def _folded(store: Store, here: str | None, heads: Mapping[str, str], waiting: list[str], report: SyncReport) -> str:
    names = {head: copy for copy, head in heads.items()}
    left = [*waiting, *([here] if here else [])]
    while True:
        with Pile() as pile:
            try:
                target = fold(store.git, trees_of(store.git, store.reader), left, pile)
            except FoldError as error:
                left, culprit = _without(left, error.head, here)
                fault = error.fault
                place = f"from {names.get(culprit, culprit[:12])}: {fault.place}"
                report.refused.append(Fault(place, fault.problem, fault.remedy))
                continue
            pile.write(store.git)
            if len(pile):
                report.folded = target
            return target


def _without(heads: list[str], culprit: str, here: str | None) -> tuple[list[str], str]:
    """Leave out the head that did not fit; never our own, then all the others are left out one by one."""
    if culprit == here:
        culprit = next(head for head in heads if head != here)
    return [head for head in heads if head != culprit], culprit


def _advance(store: Store, target: str) -> None:
    refs = all_refs(store.git, "refs/heads/")
    own = shop_ref(store.copy_id)
    move(store.git, {own: (refs.get(own), target), MAIN: (refs.get(MAIN), target)}, "sync")
