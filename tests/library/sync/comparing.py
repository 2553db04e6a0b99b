"""Writes the table of docs/git.md that compares merging by lines, by a general JSON tool, and by the trade's rules.

Run as `python tests/library/sync/comparing.py` it rewrites the part of docs/git.md between its two marks; the test
beside it runs the same cases and holds the document to what they give. Three ways on the same documents:

* git: `git merge-tree --write-tree`, its text merge, on the stored forms of the documents.
* jsonmerge (PyPI, a general merge tool for JSON): `Merger.merge(base, head)` in the order base, ours, theirs, with
  its own default strategies; it has no notion of a conflict.
* sprayout: `sprayout_core.compare.join`, which needs no base.
"""

import re
import subprocess
import tempfile
import warnings
from dataclasses import dataclass
from math import gcd
from pathlib import Path

from sprayout_core.compare import Add, Put, TakeOut, edit, join
from sprayout_core.documents import made, read, tree, uuid7, write
from sprayout_core.errors import SprayoutError

AT = "2026-03-02T09:10:00Z"
WEAK, STRONG, CARRIER = (uuid7(1_770_000_000_000 + n, b"comparison") for n in range(3))
BEGIN, END = "<!-- comparison: begin -->", "<!-- comparison: end -->"
ROOT = Path(__file__).resolve().parents[3]


def mix(weak, strong, carrier, order=(WEAK, STRONG, CARRIER), scale="1"):
    items = {WEAK: weak, STRONG: strong, CARRIER: carrier}
    return {
        "basis": "volume", "scale": scale, "order": list(order),
        "items": {name: {"kind": "material", "ratio": parts} for name, parts in items.items()},
    }  # fmt: skip


BASE = made(
    "formula",
    {"title": "Kelp glass", "mix": mix(4, 2, 11), "tags": ["candy", "slow"], "notes": [{"text": "first"}]},
    copy="aaaaaa", provenance={"at": AT, "tool": "comparison"}, id=uuid7(1_770_000_000_009, b"comparison"),
)  # fmt: skip


def edited(copy, *changes, base=BASE):
    document = base
    for number, change in enumerate(changes):
        document = edit(document, copy, [change], f"2026-03-02T1{number}:00:00Z")
    return document


SEEN = edited("bbbbbb", Put("title", "Kelp"))


@dataclass(frozen=True)
class Case:
    """What two or three shops did, and what a painter would want to come out."""

    name: str
    wanted: str
    sides: tuple
    good: object  # judges the tree of a merged document, or None where the tool gave a conflict


def ratio(plain):
    items = plain.get("mix", {}).get("items", {})
    if len(items) != 3:
        return None
    parts = [items[name]["ratio"] for name in (WEAK, STRONG, CARRIER)]
    return tuple(part // gcd(*parts) for part in parts)


def asks(plain, atom="mix"):
    return atom in plain.get("questions", {})


def tags(plain):
    return sorted(set(plain.get("tags", {}).values()))


CASES = (
    Case(
        "two components of one mix, one by each shop", "asked: nobody sprayed the blend",
        (edited("bbbbbb", Put("mix", mix(5, 2, 11))), edited("cccccc", Put("mix", mix(4, 2, 13)))),
        lambda plain: asks(plain) and ratio(plain) is None,
    ),
    Case(
        "8:4:22 written for 4:2:11, against a change of it", "the change; the rewriting is none",
        (edited("bbbbbb", Put("mix/scale", "2")), edited("cccccc", Put("mix", mix(4, 2, 13)))),
        lambda plain: not asks(plain) and ratio(plain) == (4, 2, 13),
    ),
    Case(
        "tags: one taken out, another added", "both done, nothing asked",
        (edited("bbbbbb", TakeOut("tags", "slow")), edited("cccccc", Add("tags", "deep"))),
        lambda plain: tags(plain) == ["candy", "deep"],
    ),
    Case(
        "the same tag added by both", "once, nothing asked",
        (edited("bbbbbb", Add("tags", "deep")), edited("cccccc", Add("tags", "deep"))),
        lambda plain: tags(plain) == ["candy", "deep", "slow"],
    ),
    Case(
        "two remarks added at one place", "both, nothing asked",
        (edited("bbbbbb", Add("notes", {"text": "wet"})), edited("cccccc", Add("notes", {"text": "dry"}))),
        lambda plain: {note["text"] for note in plain.get("notes", {}).values()} == {"first", "wet", "dry"},
    ),
    Case(
        "the order of pouring changed, and a remark added", "both, nothing asked",
        (edited("bbbbbb", Put("mix/order", [CARRIER, STRONG, WEAK])), edited("cccccc", Add("notes", {"text": "wet"}))),
        lambda plain: plain["mix"]["order"][0] == CARRIER and len(plain["notes"]) == 2 and "questions" not in plain,
    ),
    Case(
        "two titles", "asked, both kept",
        (edited("bbbbbb", Put("title", "Kelp")), edited("cccccc", Put("title", "Sea glass"))),
        lambda plain: asks(plain, "title") and len(plain["questions"]["title"]) == 2,
    ),
    Case(
        "a name changed back by a shop that had seen the change, against the older state (an old stick)",
        "the last one",
        (SEEN, edited("cccccc", Put("title", "Kelp glass"), base=SEEN)),
        lambda plain: plain.get("title") == "Kelp glass" and "questions" not in plain,
    ),
)  # fmt: skip


def plain_part(document):
    """What a tool that knows nothing of edit records would be given: parts as they were written, no records."""
    plain = tree(document)
    scale = int(plain["mix"].get("scale", "1"))
    items = {name: item | {"ratio": item["ratio"] * scale} for name, item in plain["mix"]["items"].items()}
    plain["mix"] = {name: value for name, value in plain["mix"].items() if name != "scale"} | {"items": items}
    return {name: value for name, value in plain.items() if name not in ("made", "seen", "edits", "questions")}


class Lines:
    """Plain git on plain files: a repository with one file and a branch for each side."""

    def __init__(self, folder):
        self.folder = folder
        self.git("init", "-q")

    def git(self, *words, given=b"", check=True):
        done = subprocess.run(
            ["git", "-c", "user.name=x", "-c", "user.email=x@example.org", "-C", str(self.folder), *words],
            input=given, capture_output=True, check=False, timeout=60,
        )  # fmt: skip
        if check and done.returncode:
            raise AssertionError(done.stderr)
        return done.returncode, done.stdout.decode().strip()

    def commit(self, content, *parents):
        _, blob = self.git("hash-object", "-w", "--stdin", given=content)
        _, top = self.git("mktree", given=f"100644 blob {blob}\tx.json\n".encode())
        words = [word for parent in parents for word in ("-p", parent)]
        return self.git("commit-tree", top, *words, "-m", "x")[1]

    def merged(self, base, ours, theirs):
        """Return the merged bytes, or None where git calls it a conflict."""
        start = self.commit(base)
        sides = [self.commit(content, start) for content in (ours, theirs)]
        status, said = self.git("merge-tree", "--write-tree", *sides, check=False)
        return (
            self.git("cat-file", "blob", f"{said.splitlines()[0]}:x.json")[1].encode() + b"\n" if not status else None
        )


def by_lines(case, folder):
    content = Lines(folder).merged(write(BASE), *(write(side) for side in case.sides))
    if content is None:
        return "conflict"
    try:
        plain = tree(read(content))
    except SprayoutError as error:
        return f"clean, and no document any more ({type(error).__name__})"
    return "right" if case.good(plain) else f"clean, wrong: {outcome(plain)}"


def by_lines_plain(case, folder):
    """The same without edit records, as a shop would keep plain files in git."""
    contents = [stored_plain(side) for side in (BASE, *case.sides)]
    content = Lines(folder).merged(*contents)
    if content is None:
        return "conflict"
    plain = __import__("json").loads(content)
    return "right" if case.good(plain) else f"clean, wrong: {outcome(plain)}"


def stored_plain(document):
    from sprayout_core.documents import stored

    return stored(plain_part(document))


def merged_by_jsonmerge(sides):
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", DeprecationWarning)  # its own, about a library it uses
        from jsonmerge import merge

        merged = plain_part(BASE)
        for side in sides:
            merged = merge(merged, plain_part(side))
    return merged


def by_jsonmerge(case, folder=None):
    results = [merged_by_jsonmerge(sides) for sides in (case.sides, case.sides[::-1])]
    if results[0] != results[1]:
        told = [f"{outcome(one)} ({'right' if case.good(one) else 'wrong'})" for one in results]
        return f"depends on the order: {' or '.join(told)}"
    return "right" if case.good(results[0]) else f"silent, wrong: {outcome(results[0])}"


def by_us(case, folder=None):
    results = [tree(join(*sides)) for sides in (case.sides, case.sides[::-1])]
    assert results[0] == results[1]
    return "right" if case.good(results[0]) else f"wrong: {outcome(results[0])}"


def outcome(plain):
    """What came out, told shortly: what differs from the state all began with."""
    if asks(plain):
        return "asked"
    told = []
    if ratio(plain) != ratio(tree(BASE)):
        told.append(":".join(map(str, ratio(plain))) if ratio(plain) else "no mix")
    if plain.get("title") != "Kelp glass":
        told.append(f"{plain.get('title', 'no title')!r}")
    if tags(plain) != ["candy", "slow"]:
        told.append("+".join(tags(plain)) or "no tags")
    if len(plain.get("notes", {})) != 1:
        told.append(f"{len(plain.get('notes', {}))} remarks")
    if plain.get("mix", {}).get("order", [WEAK])[0] != WEAK:
        told.append("poured in the new order")
    return ", ".join(told) or "as at first"


WAYS = (
    ("git, plain files", by_lines_plain),
    ("jsonmerge", by_jsonmerge),
    ("git, our files", by_lines),
    ("sprayout", by_us),
)


def results():
    """Return what each way gives for each case, in order."""
    told = []
    for case in CASES:
        row = []
        for _, way in WAYS:
            with tempfile.TemporaryDirectory() as folder:
                row.append(way(case, Path(folder)))
        told.append((case, row))
    return told


def table():
    lines = ["| what the shops did | what should come of it | " + " | ".join(name for name, _ in WAYS) + " |"]
    lines.append("|" + "---|" * (len(WAYS) + 2))
    for case, row in results():
        lines.append(f"| {case.name} | {case.wanted} | " + " | ".join(row) + " |")
    return "\n".join(lines)


def with_table(text):
    return re.sub(f"{BEGIN}.*{END}", lambda _: f"{BEGIN}\n{table()}\n{END}", text, flags=re.DOTALL)


if __name__ == "__main__":
    page = ROOT / "docs" / "git.md"
    page.write_text(with_table(page.read_text(encoding="utf-8")), encoding="utf-8")
