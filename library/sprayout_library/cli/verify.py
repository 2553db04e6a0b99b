"""sprayout verify: who stored what, by signatures; what is wrong is named."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from sprayout_library.cli.desk import Desk
from sprayout_library.cli.told import date_of, heading, json_out, rows, say, soft

if TYPE_CHECKING:
    from sprayout_library.store import Store
    from sprayout_library.trust import Checked, Verification

_TOGETHER = "brought together"
_MOST = 30
#: What the states of joined versions are called on a screen; the others say themselves.
_WORDS = {
    "FOLD": "done again, and the same",
    "OTHER_RULES": "by other rules, which cannot be done again here",
    "DIFFERENT": "comes out differently when done again",
}


@click.command("verify")
@click.option("--json", "form", flag_value="json", help="As JSON.")
@click.pass_obj
def command(desk: Desk, /, form: str | None) -> None:
    """Tell for each shop how many of its edits are signed by a known shop, by an unknown key, or not signed."""
    from sprayout_core.errors import SprayoutError
    from sprayout_library.record.shops import copies_called
    from sprayout_library.trust import verify

    with desk.store() as store:
        found = verify(store)
        called = copies_called(store)
        if form == "json":
            json_out(_data(found, called))
        elif not found.checked:
            say("Nothing was saved here yet.")
        else:
            _tell(store, found, called)
    if found.wrong:
        raise SprayoutError(
            f"something is wrong with {len(found.wrong)} of {len(found.checked)} edits",
            "Ask the shops named above. Nothing was changed.",
        )


def _who(one: Checked, called: dict[str, str]) -> str:
    return called.get(one.copy, f"copy {one.copy}") if one.copy else _TOGETHER


def _words(one: Checked) -> str:
    return _WORDS.get(one.state.name, one.state.value)


def _counts(found: Verification, called: dict[str, str]) -> dict[tuple[str, str], int]:
    counts: dict[tuple[str, str], int] = {}
    for one in found.checked:
        place = (_who(one, called), _words(one))
        counts[place] = counts.get(place, 0) + 1
    return dict(sorted(counts.items()))


def _tell(store: Store, found: Verification, called: dict[str, str]) -> None:
    from sprayout_library.trust import State

    rows([(who, str(count), words) for (who, words), count in _counts(found, called).items()])
    if found.wrong:
        heading("What is wrong")
        for one in found.wrong[:_MOST]:
            say(f"  {_who(one, called)}, {_what(store, one.commit)}: {_words(one)}", fg="red")
        if len(found.wrong) > _MOST:
            say(f"  and {len(found.wrong) - _MOST} more")
    if found.rotations:
        soft("  A trusted copy went on to a new key: sprayout keys accept")
    if State.UNKNOWN in found.counts:
        soft("  Whose key it is: sprayout keys list")


def _what(store: Store, commit: str) -> str:
    """Return when an edit was made and what it says it did."""
    from datetime import UTC, datetime

    from sprayout_library.store import read_commit

    content = store.reader.content(commit)
    if content is None:
        return "an edit that is missing"
    edit = read_commit(commit, content)
    at = datetime.fromtimestamp(edit.author.at, UTC).isoformat()
    return f"{date_of(at)}, “{edit.subject}”" if edit.copy else date_of(at)


def _data(found: Verification, called: dict[str, str]) -> dict[str, object]:
    return {
        "edits": len(found.checked),
        "counts": [{"shop": who, "state": words, "edits": n} for (who, words), n in _counts(found, called).items()],
        "wrong": [
            {"edit": one.commit, "shop": _who(one, called), "copy": one.copy, "state": _words(one)}
            for one in found.wrong
        ],
    }
