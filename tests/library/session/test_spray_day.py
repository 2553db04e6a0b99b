"""A whole spray day: two cups, nine pieces, four grounds, mixed orders, the machine killed twice in the middle."""

import copy
import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from tests.library.grey_png import png

from sprayout_core.documents import Panel, proof, proofs
from sprayout_library.record.writer import now_text
from sprayout_library.session import (
    Last,
    Look,
    Shot,
    begin,
    finish,
    judgement_tap,
    open_session,
    picture_tap,
    start_tap,
)
from sprayout_library.sources import Sources, digest_of
from sprayout_library.store import Store

CHILD = next(
    Path(up) / "tests/library/session/day_child.py" for up in Path(__file__).parents if (up / "pyproject.toml").exists()
)
GROUNDS = ("silver", "white", "black", "gold")
PIECES = [f"P{number} over {GROUNDS[number % 4]}{', curved' if number in (2, 7) else ''}" for number in range(1, 10)]

# What the painter does, in the painter's order; written out so that the expectation below is counted by hand.
STEPS = [
    ("A", "all", "wet", "1"),
    ("A", "P1 P2 P3", None, "1"),
    ("B", "P9 P5", "mist", "1"),
    ("A", "P4", "medium", "about 2"),
    ("undo",),
    ("A", "P4 P5 P6 P7 P8 P9", None, "1"),
    ("judge", {"way": "order", "quality": "deeper", "pieces": ["P4=P1", "P2"], "light": "D65"}),
    ("B", "all", None, "1"),
    ("picture", {"pieces": ["P5", "P9"], "light": "shop LED", "tilt_deg": 30}),
    ("A", "P1 P9", "wet", "2"),
    ("B", "P2", None, "1"),
    ("B", "P2 P3", None, "1"),
    ("undo",),
    ("A", "P7", None, "until covered"),
    ("B", "P8 P1", "medium", "1"),
    ("B", "P6", None, "4 to 5"),
    ("judge", {"way": "compare", "quality": "warmer", "pieces": ["P1"], "against": "P2", "light": "direct sun"}),
    ("judge", {"way": "pair", "quality": "closest", "pieces": ["P3", "P7"], "light": "D65"}),
    ("undo",),
]
# Piece: its coats in order as (cup, how many, laid); the recipe lays A wet, B has no rule.
EXPECTED = {
    "P1": [("A", "2", "wet"), ("B", "1", None), ("A", "2", "wet"), ("B", "1", "medium")],
    "P2": [("A", "2", "wet"), ("B", "2", None)],
    "P3": [("A", "2", "wet"), ("B", "1", None)],
    "P4": [("A", "2", "wet"), ("B", "1", None)],
    "P5": [("A", "1", "wet"), ("B", "1", "mist"), ("A", "1", "wet"), ("B", "1", None)],
    "P6": [("A", "2", "wet"), ("B", "5 to 6", None)],
    "P7": [("A", "2", "wet"), ("B", "1", None), ("A", "until covered", "wet")],
    "P8": [("A", "2", "wet"), ("B", "1", None), ("B", "1", "medium")],
    "P9": [("A", "1", "wet"), ("B", "1", "mist"), ("A", "1", "wet"), ("B", "1", None), ("A", "2", "wet")],
}


class Day:
    def __init__(self, shop):
        self.shop = shop
        shop.stock(weak_teal="dye", strong_teal="dye", carrier="carrier", **dict.fromkeys(GROUNDS, "metallic"))
        self.dye = shop.mix("Reed = 5 weak teal : 2 strong teal")
        self.body = shop.mix("Reed bodied = 9 carrier : 2 Reed")
        self.dye = shop.ready(self.dye, "small", tip_mm="1.2")
        self.recipe = shop.recipe(
            "Reed frame", GROUNDS, ["4 to 5 Reed, through small, laid wet, dry to touch", "about 3 Reed bodied"]
        )
        self.cups = {
            "A": shop.cup(self.dye, ("weak teal", "50 ml"), ("strong teal", "20 ml"), variant="small", label="A"),
            "B": shop.cup(
                self.body, ("carrier", "90 ml"), ("weak teal", "14.3 ml"), ("strong teal", "5.7 ml"), label="B"
            ),
        }

    def begin(self, pieces=PIECES):
        shop = self.shop
        first = start_tap(
            self.recipe, self.library, shop.writer.fresh_id(), shop.shelf, shop.names, list(self.cups.values()), pieces
        )
        return begin(first, shop.at, "ada")

    @property
    def library(self):
        return self.shop.library.id

    def plan(self):
        steps = []
        for step in STEPS:
            at = self.shop.tick(420)
            if step[0] == "undo":
                steps.append({"do": "undo", "at": at})
            elif step[0] == "judge":
                steps.append({"do": "judge", "look": step[1], "at": at})
            elif step[0] == "picture":
                steps.append({"do": "picture", "shot": {"content": png().hex(), **step[1]}, "at": at})
            else:
                cup, pieces, laid, count = step
                steps.append(
                    {"do": "coat", "cup": cup, "pieces": pieces.split(), "laid": laid, "count": count, "at": at}
                )
        return steps


@pytest.fixture(scope="module")
def first_day(shop):
    return Day(shop)


@pytest.fixture
def day(first_day, tmp_path, monkeypatch):
    day = copy.copy(first_day)
    day.shop = first_day.shop.copied(tmp_path, monkeypatch)
    day.cups = dict(first_day.cups)
    yield day
    day.shop.close()


def told(panel, cups):
    names = {cup.id: label for label, cup in cups.items()}
    return [(names[coat.batch], coat.count, coat.laid) for coat in panel.coats]


def check_panels(day, panels):
    assert sorted(panel.label for panel in panels) == sorted(EXPECTED)
    grounds = {words.split(" over ")[0]: words.split(" over ")[1].split(",")[0] for words in PIECES}
    for panel in panels:
        assert told(panel, day.cups) == EXPECTED[panel.label], panel.label
        assert day.shop.get(panel.ground.id).name == grounds[panel.label]
        assert panel.shape == ("curved" if panel.label in ("P2", "P7") else "flat")
        assert panel.recipe == day.recipe.id
        assert panel.proofs[day.dye.id] == proof(day.dye, "small")
        assert panel.proofs[day.body.id] == proof(day.body)
        assert panel.poured[day.dye.id] == {
            day.shop.names.find("weak teal").id: 5,
            day.shop.names.find("strong teal").id: 2,
        }
        assert sum(len(coat.times) for coat in panel.coats) >= len(panel.coats)
        assert panel.sprayed_at == panel.coats[-1].times[-1]
    assert len({panel.session for panel in panels}) == 1


def check_seen(day, panels):
    """What was seen on the way stands in the library once, on the right panels, saved with them."""
    labels = {panel.id: panel.label for panel in panels}
    judgements = sorted(day.shop.store.documents("judgement"), key=lambda one: one.at)
    pictures = list(day.shop.store.documents("picture"))
    order, compare = judgements
    assert [[labels[one.panel] for one in tied] for tied in order.pieces] == [["P4", "P1"], ["P2"]]
    assert (order.way, order.quality, order.light, order.by) == ("order", "deeper", "D65", "ada")
    assert [note.text for note in order.notes.values()] == [
        "Seen before the last coat, counted in coats: P4 after 2, P1 after 2, P2 after 2."
    ]
    assert (labels[compare.pieces[0][0].panel], labels[compare.against.panel]) == ("P1", "P2")
    assert not compare.notes
    (picture,) = pictures
    assert [labels[one.panel] for one in picture.shows] == ["P5", "P9"]
    assert (picture.light, picture.tilt_deg) == ("shop LED", 30)
    assert picture.provenance.source == digest_of(png())
    assert [note.text for note in picture.notes.values()] == [
        "Seen before the last coat, counted in coats: P9 after 4."
    ]
    kept = Sources(day.shop.store.folder).content(picture.image)
    assert len(kept) == picture.bytes
    assert kept.startswith(b"\x89PNG")
    first = day.shop.store.history(panels[0].id)[0].commit
    assert {day.shop.store.history(one.id)[0].commit for one in (*judgements, picture)} == {first}


def run_until(day, plan_file, taps):
    """Run the painter in a process of its own and kill it after so many taps were told as kept."""
    process = subprocess.Popen(
        [sys.executable, str(CHILD), day.library, str(plan_file), str(day.shop.folder / "lib")],
        stdout=subprocess.PIPE,
        env=dict(os.environ),
    )
    kept = -1
    for _ in range(taps):
        line = process.stdout.readline()
        if not line:
            break
        kept = int(line)
    process.kill()
    process.wait()
    process.stdout.close()
    return kept


def test_nine_right_panels_after_two_kills(day, tmp_path):
    plan_file = tmp_path / "plan.json"
    plan_file.write_text(json.dumps(day.plan()), encoding="utf-8")
    day.begin()
    for taps in (4, 6):
        kept = run_until(day, plan_file, taps)
        standing = open_session(day.library).journal.taps()
        assert len(standing) - 1 >= kept + 1, "a tap that was told as kept is gone"
        assert [tap["at"] for tap in standing[1:]] == [step["at"] for step in json.loads(plan_file.read_text())][
            : len(standing) - 1
        ]
    assert run_until(day, plan_file, len(STEPS) + 1) == len(STEPS) - 1

    before = len(list(day.shop.store.documents("panel")))
    heads = day.shop.store.head
    found = finish(open_session(day.library), day.shop.store, day.shop.writer, Last(used={"A": "30 ml", "b": "rest"}))
    assert before == 0
    assert len(found.panels) == 9
    check_panels(day, found.panels)
    check_seen(day, found.panels)
    assert len(found.seen) == 3

    reread = Store.open(day.shop.folder / "lib")
    with reread:
        check_panels(day, [one for one in reread.documents("panel") if isinstance(one, Panel)])
        history = [reread.history(panel.id) for panel in found.panels]
        assert {versions[0].commit for versions in history} == {reread.head}, "all panels came in one save"
        assert heads != reread.head
    shelf = day.shop.shelf
    assert (shelf.left(day.cups["A"].id), shelf.left(day.cups["B"].id)) == (40, 0)


def test_the_recipe_and_the_mixes_may_change_while_it_is_sprayed(day):
    from sprayout_core.compare import Add, Put
    from sprayout_core.documents import recipe_proof

    session = day.begin()
    was, dye = recipe_proof(day.recipe), proof(day.dye, "small")
    session.coat(["P1"], day.shop.tick(), "A")
    mix = {
        "basis": "volume",
        "items": {
            day.shop.names.find("weak teal").id: {"kind": "material", "ratio": 3},
            day.shop.names.find("strong teal").id: {"kind": "material", "ratio": 2},
        },
    }
    day.shop.edit(day.dye, Put("mix", mix))
    day.shop.edit(day.recipe, Add("coats", {"formula": day.body.id, "count": "2", "role": "colour"}))
    panel = finish(session, day.shop.store, day.shop.writer, Last()).panels[0]
    assert panel.recipe_proof == was
    assert panel.proofs == {day.dye.id: dye}
    assert sorted(panel.poured[day.dye.id].values()) == [2, 5]
    assert proofs(day.shop.get(day.dye.id), day.shop.store.find, "small") != panel.proofs


def see(day, session):
    """A judgement and a picture of what is on the stand."""
    shop = day.shop
    look = Look("pair", "closest", ["P3", "P4"], "D65", "bo")
    session.see(judgement_tap(look, session.tally, shop.names, shop.writer, shop.at), shop.at)
    session.see(picture_tap(Shot(png(), ["P3"], "D65"), session.tally, shop.names, shop.writer), shop.at)


def test_cut_at_any_byte_what_was_seen_stands_once_or_was_never_told_as_kept(day):
    session = day.begin()
    session.coat(["P3", "P4"], day.shop.tick(), "A")
    see(day, session)
    session.undo(day.shop.tick())
    path, content = session.journal.path, session.journal.path.read_bytes()
    ends = [place + 1 for place, byte in enumerate(content) if byte == 0x0A]
    kinds = [[], [], ["judgement"], ["judgement", "picture"], ["judgement"]]
    for cut in range(ends[0], len(content) + 1):
        path.write_bytes(content[:cut])
        whole = sum(end <= cut for end in ends)
        assert [one.kind for one in open_session(day.library).tally.seen] == kinds[whole - 1]


@pytest.mark.long
def test_finished_after_a_cut_at_any_tap_nothing_seen_is_doubled(day, tmp_path, monkeypatch):
    session = day.begin()
    session.coat(["P3", "P4"], day.shop.tick(), "A")
    see(day, session)
    content = session.journal.path.read_bytes()
    ends = [place + 1 for place, byte in enumerate(content) if byte == 0x0A]
    for number, cut in enumerate([ends[1], ends[2] - 1, ends[2], ends[2] + 1, ends[3] - 1, ends[3]]):
        other = copy.copy(day)
        other.shop = day.shop.copied(tmp_path / str(number), monkeypatch)
        taps = other.shop.folder / "home" / "sessions" / session.journal.path.name
        taps.parent.mkdir(parents=True)
        taps.write_bytes(content[:cut])
        again = open_session(day.library)
        if len(again.tally.seen) < 2:
            if again.tally.seen:
                again.undo(other.shop.tick())
            see(other, again)
        found = finish(again, other.shop.store, other.shop.writer, Last())
        assert [one.kind for one in found.seen] == ["judgement", "picture"]
        assert len(list(other.shop.store.documents("judgement"))) == 1
        assert len(list(other.shop.store.documents("picture"))) == 1
        other.shop.close()


@pytest.mark.parametrize("stop", ["before the save", "after the save", "before the last tap is put away"])
def test_finishing_is_never_done_twice(day, monkeypatch, stop):
    session = day.begin()
    session.coat(["all"], day.shop.tick(), "A")
    see(day, session)
    day.shop.tick(60)

    class PowerCut(Exception):
        pass

    def cut(*args, **kept):
        raise PowerCut

    with monkeypatch.context() as patch:
        if stop == "before the save":
            patch.setattr(type(day.shop.writer), "save", cut)
        elif stop == "after the save":
            real = type(session).tap
            patch.setattr(
                type(session), "tap", lambda self, tap, at: cut() if tap["tap"] == "finished" else real(self, tap, at)
            )
        else:
            patch.setattr(type(session), "closed", cut)
        with pytest.raises(PowerCut):
            finish(session, day.shop.store, day.shop.writer, Last("bare", {"air_degc": 21.5}, {"A": "30 ml"}))
    day.shop.store.refresh()
    day.shop.tick(7200)
    if stop != "before the last tap is put away":
        again = finish(open_session(day.library), day.shop.store, day.shop.writer, Last())
        assert [panel.conditions.air_degc for panel in again.panels] == [21.5] * 9
    with pytest.raises(Exception, match="no session runs"):
        open_session(day.library)
    day.shop.store.refresh()
    panels = list(day.shop.store.documents("panel"))
    assert len(panels) == 9
    assert {panel.coats[0].count for panel in panels} == {"1"}
    seen = [one for kind in ("judgement", "picture") for one in day.shop.store.documents(kind)]
    p3 = next(panel.id for panel in panels if panel.label == "P3")
    assert [one.kind for one in seen] == ["judgement", "picture"]
    assert p3 == seen[0].pieces[0][0].panel == seen[1].shows[0].panel
    assert day.shop.shelf.left(day.cups["A"].id) == 40


def test_a_finish_that_cannot_be_saved_can_be_said_again(day):
    session = day.begin()
    session.coat(["P1"], day.shop.tick(), "A")
    with pytest.raises(Exception, match="more than the 70 ml left"):
        finish(session, day.shop.store, day.shop.writer, Last(used={"A": "71 ml"}))
    assert session.tally.state == "open"
    assert len(finish(session, day.shop.store, day.shop.writer, Last(used={"A": "7 ml"})).panels) == 1


def test_two_gun_settings_of_one_mix_do_not_meet_on_one_piece(day):
    shop = day.shop
    other = shop.cup(day.dye, ("weak teal", "5 ml"), ("strong teal", "2 ml"), label="C")
    day.cups["C"] = other
    session = day.begin()
    session.coat(["P1"], shop.tick(), "A")
    with pytest.raises(Exception, match="made ready for another gun"):
        session.coat(["P1"], shop.tick(), "C")
    session.coat(["P2"], shop.tick(), "C")
    assert [run.cup for run in session.tally.pieces["P1"].runs] == ["A"]


def test_times_are_those_of_the_taps(day):
    session = day.begin()
    times = [session.coat(["P3"], day.shop.tick(600), "A")[0].last for _ in range(3)]
    panel = finish(session, day.shop.store, day.shop.writer, Last()).panels[0]
    assert panel.coats[0].times == times
    assert times[-1] == now_text(day.shop.now)


@pytest.mark.long
def test_killed_at_any_moment_nothing_told_as_kept_is_lost(day, tmp_path):
    plan_file = tmp_path / "plan.json"
    plan_file.write_text(json.dumps(day.plan()), encoding="utf-8")
    session = day.begin()
    start = session.journal.path.read_bytes()
    for taps in range(1, len(STEPS)):
        session.journal.path.write_bytes(start)
        kept = run_until(day, plan_file, taps)
        assert len(open_session(day.library).journal.taps()) - 1 >= kept + 1
        assert run_until(day, plan_file, 99) == len(STEPS) - 1 or len(
            open_session(day.library).journal.taps()
        ) - 1 == len(STEPS)
    panels = finish(open_session(day.library), day.shop.store, day.shop.writer, Last()).panels
    check_panels(day, panels)
    check_seen(day, panels)
