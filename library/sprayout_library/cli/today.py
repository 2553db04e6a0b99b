"""Bare sprayout: what is on the bench, and what to type next."""

from __future__ import annotations

from sprayout_library.cli.desk import Desk, NoLibrary
from sprayout_library.cli.told import heading, rows, say, soft
from sprayout_library.cli.waiting import freshly_seen, open_questions

__all__ = ["tell_today"]

_BEGIN = (
    ("look at an example", "sprayout demo"),
    ("make a library", "sprayout create FOLDER"),
    ("join one that others share", "sprayout join ADDRESS FOLDER"),
    ("all commands", "sprayout --help"),
)


def tell_today(desk: Desk) -> None:
    """Tell what is on the bench of the library in use; where there is none, how to begin."""
    try:
        folder = desk.folder()
    except NoLibrary:
        say("sprayout keeps recipes for custom colour, and lets shops share them.", bold=True)
        say()
        rows(_BEGIN)
        return
    from sprayout_library.today import bench

    with desk.store() as held:
        names, store = desk.names(held), held.to_look_at()
        on_bench = bench(store, names)
        say(f"{on_bench.title}", bold=True)
        soft(f"  {folder}")
        if questions := open_questions(store, names):
            heading("Two answers waiting")
            rows([(question.title, question.words) for question in questions])
        if fresh := freshly_seen(store, names):
            heading("Settled, with new evidence since")
            rows([(one.title, one.words, "; ".join(one.lines)) for one in fresh])
            soft("  To look: sprayout answers")
        if on_bench.drying:
            heading("On the stand")
            rows(on_bench.drying)
        if on_bench.cups:
            heading("Cups on the bench")
            rows(on_bench.cups)
        if on_bench.pieces:
            heading("Sprayed lately")
            rows(on_bench.pieces)
        if on_bench.not_sprayed:
            heading("Not sprayed as it stands")
            rows(on_bench.not_sprayed)
        if on_bench.without_reading:
            heading("No reading yet")
            rows(on_bench.without_reading)
        heading("Next")
        rows(on_bench.next_steps)
