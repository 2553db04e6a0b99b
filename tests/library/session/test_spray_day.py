"""A whole spray day: two cups, nine pieces, four grounds, mixed orders, the machine killed twice in the middle."""

import copy
import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from sprayout_core.documents import Panel, proof, proofs
from sprayout_library.record.writer import now_text
from sprayout_library.session import Last, begin, finish, open_session, start_tap
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
    ("B", "all", None, "1"),
    ("A", "P1 P9", "wet", "2"),
    ("B", "P2", None, "1"),
    ("B", "P2 P3", None, "1"),
    ("undo",),
    ("A", "P7", None, "until covered"),
    ("B", "P8 P1", "medium", "1"),
    ("B", "P6", None, "4 to 5"),
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


def run_until(day, plan_file, taps):
    """Run the painter in a process of its own and kill it after so many taps were told as kept."""
    process = subprocess.Popen(
        [sys.executable, str(CHILD), day.library, str(plan_file)], stdout=subprocess.PIPE, env=dict(os.environ)
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
    for taps in (4, 5):
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


@pytest.mark.parametrize("stop", ["before the save", "after the save", "before the last tap is put away"])
def test_finishing_is_never_done_twice(day, monkeypatch, stop):
    session = day.begin()
    session.coat(["all"], day.shop.tick(), "A")
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
    check_panels(day, finish(open_session(day.library), day.shop.store, day.shop.writer, Last()).panels)
