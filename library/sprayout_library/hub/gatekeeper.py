"""The keeper of the gate: what git asks about a push while everything that arrived still lies in quarantine.

Git starts it (`pre-receive`) with the objects in a folder of their own; refused here, they are thrown away and
the library is as it was. It is the same gate that judges what a shop fetches.
"""

from __future__ import annotations

import os
import re
import signal
import sys
from collections.abc import Mapping
from datetime import UTC, datetime
from pathlib import Path
from types import FrameType
from typing import TextIO

from sprayout_core.errors import Fault, SprayoutError
from sprayout_library.hub.accounts import Accounts
from sprayout_library.hub.receive_log import note
from sprayout_library.store import FOLD_RULES, Git
from sprayout_library.store.journal import note_received
from sprayout_library.store.refs import MAIN, all_refs
from sprayout_library.sync.copied import is_ancestor
from sprayout_library.sync.gate import Verdict, judged

__all__ = ["main", "told"]

_LINE = re.compile(r"([0-9a-f]{40}) ([0-9a-f]{40}) refs/heads/shops/([0-9a-z]{6,12})", re.ASCII)
_NOTHING = "0" * 40
_MOST_BRANCHES = 200


def main() -> int:
    """Judge one push; 0 lets it in."""
    signal.signal(signal.SIGTERM, _ended)  # so that everything started here is ended with it
    lines = [line for line in sys.stdin.read(200 * _MOST_BRANCHES).splitlines() if not line.endswith(f" {MAIN}")]
    if not lines:  # git itself refuses `main`, which is hidden from pushes: it is the hub's own word
        return 0
    library, hub = Path.cwd(), Path(os.environ["SPRAYOUT_HUB"])
    who = {name: os.environ.get(f"SPRAYOUT_HUB_{name}", "") for name in ("NAME", "OWNER", "ROLE", "COPY")}
    try:
        _may_send(who["ROLE"])
        heads = _heads(lines, who["COPY"])
        verdict = _judged(library, heads)
        if not verdict.refused:
            _own(Accounts(hub / "accounts"), library.name, heads, who)
    except SprayoutError as error:
        faults = list(error.faults)
        heads = {hit[3]: (hit[1], hit[2]) for line in lines if (hit := _LINE.fullmatch(line))}
    else:
        faults = list(verdict.refused.values())
    now = datetime.now(UTC)
    entry = {
        "library": library.name,
        "by": who["NAME"],
        "heads": {copy: {"from": old.strip("0"), "to": new} for copy, (old, new) in heads.items()},
        "let_in": not faults,
        "faults": [told(fault) for fault in faults[:20]],
    }
    note(hub, entry, now)
    if faults:
        _refuse(faults, sys.stderr)
        return 1
    note_received(library, {copy: new for copy, (_, new) in heads.items()}, now)
    return 0


def _ended(number: int, frame: FrameType | None) -> None:
    raise SystemExit(128 + number)


def _may_send(role: str) -> None:
    if role not in {"contributor", "keeper"}:
        raise SprayoutError("you may look here, not send", "Ask a keeper of this hub.")


def _heads(lines: list[str], own: str) -> dict[str, tuple[str, str]]:
    """Return (old, new) by copy. Raises SprayoutError for anything but moving branches of copies forward."""
    heads: dict[str, tuple[str, str]] = {}
    for line in lines:
        hit = _LINE.fullmatch(line)
        if hit is None:
            name = line.rpartition(" ")[2][:80]
            shown = "".join(sign if sign.isprintable() else "?" for sign in name)
            raise SprayoutError("is no branch of a copy", "Only refs/heads/shops/COPY is taken.", place=shown)
        if hit[2] == _NOTHING:
            raise SprayoutError("a branch is never taken away", "What was sent stays.", place=hit[3])
        if hit[3] == own:
            raise SprayoutError("is the hub's own copy", "Only the hub itself moves it.", place=hit[3])
        heads[hit[3]] = (hit[1], hit[2])
    if len(heads) > _MOST_BRANCHES:
        raise SprayoutError(f"{len(heads)} branches", f"At most {_MOST_BRANCHES} at once.")
    return heads


def _judged(library: Path, heads: Mapping[str, tuple[str, str]]) -> Verdict:
    """Return what the gate says of everything together. Raises SprayoutError for a rewind, or other rules."""
    quarantine = os.environ.get("GIT_OBJECT_DIRECTORY")
    objects = Path(quarantine) if quarantine else None
    alternate = library / "objects" if quarantine else None
    git = Git(library, objects=objects, alternate=alternate)
    refs = all_refs(git, "refs/heads/")
    for copy, (old, new) in heads.items():
        if old != _NOTHING and not is_ancestor(git, old, new):
            raise SprayoutError(
                "was rewound: it does not contain what it held before", "Sync first, then send again.", place=copy
            )
    fresh = {copy: new for copy, (_, new) in heads.items()}
    verdict = judged(git, fresh, set(refs.values()), ours=refs.get(MAIN))
    if verdict.other_rules:
        rules = ", ".join(map(str, sorted(verdict.other_rules)))
        raise SprayoutError(
            f"joins by rules {rules}, this hub by rules {FOLD_RULES}", "Both need the same edition: ask a keeper."
        )
    return verdict


def _own(accounts: Accounts, library: str, heads: Mapping[str, tuple[str, str]], who: Mapping[str, str]) -> None:
    if other := accounts.claim(library, sorted(heads), who["OWNER"], keeper=who["ROLE"] == "keeper"):
        raise SprayoutError(
            f"this copy belongs to {other}", "Send from a copy of your own; a keeper can release it.",
            place=", ".join(sorted(heads)),
        )  # fmt: skip


def told(fault: Fault) -> str:
    """Return a fault as one plain line of ASCII."""
    text = f"{fault.place}: {fault.problem}. {fault.remedy}" if fault.place else f"{fault.problem}. {fault.remedy}"
    return "".join(sign if " " <= sign <= "~" else "?" for sign in text)[:500].strip()


def _refuse(faults: list[Fault], out: TextIO) -> None:
    print("The library was not changed:", file=out)
    for fault in faults[:20]:
        print(f"  {told(fault)}", file=out)


if __name__ == "__main__":
    sys.exit(main())
