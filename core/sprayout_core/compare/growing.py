"""Whether a state of a document grew out of an earlier one, told from the members in which they differ alone."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from sprayout_core.documents import Atom, Json, Policy, atom_for, implied_dot, rows_by_member, value_at

__all__ = ["has_grown"]


def has_grown(kind: str, made: str, older: Mapping[str, Json], newer: Mapping[str, Json]) -> bool:
    """Say whether a state certainly contains an earlier one: joining the two would make no difference.

    older, newer   of two valid states: `seen` and `edits` whole, and the members that differ; facts that are
                   written once, `made` and `format` are the same in both, and nothing is in question in either

    Every edit that is live in the newer state is live with the same value and time in the older one, or it is
    one that the older has not seen. Only says yes where that is plain: `join_trees` knows the other cases.
    """
    seen = older["seen"]
    if any(newer["seen"].get(copy, 0) < number for copy, number in seen.items()):
        return False
    if not older.get("edits", {}).keys() <= newer.get("edits", {}).keys():  # an edit follows on an edit
        return False
    for name, row in _apart(kind, older, newer):
        before, after = value_at(older, name), value_at(newer, name)
        if row.policy is Policy.SET:
            grown = all(_is_fresh(dot, seen) if dot not in (before or {}) else before[dot] == value
                        for dot, value in (after or {}).items())  # fmt: skip
        else:
            was, live = _live(older, name, row, made, before), _live(newer, name, row, made, after)
            grown = bool(live) and all(
                _is_fresh(dot, seen) if dot not in was else was[dot] == time and before == after
                for dot, time in live.items()
            )
        if not grown:
            return False
    return True


def _is_fresh(dot: str, seen: Mapping[str, int]) -> bool:
    copy, _, number = dot.partition(".")
    return int(number) > seen.get(copy, 0)


def _live(tree: Mapping[str, Json], name: str, row: Atom, made: str, value: Json) -> Mapping[str, str]:
    """Return the live edits of an atom with their times ("" where the record does not name the edit)."""
    times: Mapping[str, str] = tree.get("edits", {}).get(name, {})
    return times or ({} if value is None else {implied_dot(made, name, row): ""})


def _apart(kind: str, older: Mapping[str, Json], newer: Mapping[str, Json]) -> Iterator[tuple[str, Atom]]:
    """Yield every atom whose value or edits differ."""
    ours, theirs = older.get("edits", {}), newer.get("edits", {})
    named = {name for name in {**ours, **theirs} if ours.get(name) != theirs.get(name)}
    rows = rows_by_member(kind)
    for member in {**older, **newer}:
        for row in rows.get(member, ()):
            if row.pattern.endswith("/*"):
                was, now = older.get(member, {}), newer.get(member, {})
                named.update(f"{member}/{key}" for key in {**was, **now} if was.get(key) != now.get(key))
            elif value_at(older, row.pattern) != value_at(newer, row.pattern):
                named.add(row.pattern)
    for name in named:
        if row_of_name := atom_for(kind, name):
            yield name, row_of_name
