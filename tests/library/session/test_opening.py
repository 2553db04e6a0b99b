"""What a session may begin with: the right cups, pieces with their grounds, each name once."""

import pytest

from sprayout_core.errors import SprayoutError
from sprayout_library.session import (
    CupMistaken,
    begin,
    companions,
    dry_words,
    piece_words,
    since_words,
    start_tap,
    tally,
)


@pytest.fixture(scope="module")
def bench(shop):
    shop.stock(weak_teal="dye", strong_teal="dye", carrier="carrier", silver="metallic", white="solid", black="solid")
    shop.dye = shop.mix("Reed = 5 weak teal : 2 strong teal")
    shop.body = shop.mix("Reed bodied = 9 carrier : 2 Reed")
    shop.frame = shop.recipe(
        "Reed frame", ["silver", "white"], ["about 3 Reed, laid wet, dry to touch", "until covered Reed bodied"]
    )
    shop.neat = shop.cup(shop.dye, ("weak teal", "50 ml"), ("strong teal", "20 ml"), label="N1")
    return shop


def start(bench, cups, pieces, recipe=None):
    return start_tap(
        recipe or bench.frame, bench.library.id, bench.writer.fresh_id(), bench.shelf, bench.names, cups, pieces
    )


@pytest.mark.parametrize(
    ("pieces", "said"),
    [
        (["K1"], "over what"),
        (["K1 over black"], "not sprayed over black"),
        (["K1 over mauve"], "no material or mix"),
        (["K1 over silver", "k1 over white"], "on the stand already"),
        (["all over silver"], "cannot be called all"),
        (["N1 over silver"], "another cup or panel"),
        ([f"{'K' * 61} over silver"], "too long"),
        (["K1F over silver, flat, for K1"], "no piece 'K1'"),
        ([], "no piece"),
    ],
)
def test_pieces_that_cannot_be(bench, pieces, said):
    with pytest.raises(SprayoutError, match=said):
        start(bench, [bench.neat], pieces)


def test_no_cup_no_session(bench):
    with pytest.raises(SprayoutError, match="no cup"):
        start(bench, [], ["K1 over silver"])


def test_one_cup_once(bench):
    with pytest.raises(SprayoutError, match="on the bench already"):
        start(bench, [bench.neat, bench.neat], ["K1 over silver"])


def test_an_empty_cup_is_refused(bench):
    poured_out = bench.cup(bench.dye, ("weak teal", "5 ml"), ("strong teal", "2 ml"), label="N2")
    bench.cup(bench.body, ("carrier", "90 ml"), (poured_out, "7 ml"), label="N3")
    with pytest.raises(SprayoutError, match="N2 is empty"):
        start(bench, [poured_out], ["K1 over silver"])


def test_the_bodied_mix_taken_for_the_neat_one_is_caught_with_its_factor(bench):
    glass = bench.recipe("Reed glass", ["silver"], ["3 Reed"])
    bodied = bench.cup(bench.body, ("carrier", "90 ml"), (bench.neat, "20 ml"), label="B7")
    with pytest.raises(CupMistaken, match="B7 is Reed bodied, and this recipe sprays Reed") as caught:
        start(bench, [bodied], ["K1 over silver"], glass)
    # neat is all dye, bodied 2 in 11: 5.5 times
    assert "weaker: the one wanted has 5.5 times its dye" in caught.value.fault.remedy


def test_an_open_question_is_not_sprayed(bench):
    from sprayout_core.documents import OpenQuestion, from_tree, tree

    asked = tree(bench.frame)
    dot = next(iter(asked["coats"]))
    other = "zzzzzz.1"
    asked["seen"]["zzzzzz"] = 1
    value = asked["coats"].pop(dot)
    asked["coats_order"] = [one for one in asked.get("coats_order", []) if one != dot] or None
    asked = {name: kept for name, kept in asked.items() if kept}
    asked["questions"] = {f"coats/{dot}": {dot: {"value": value}, other: {"value": {**value, "count": "9"}}}}
    asked["edits"] = {f"coats/{dot}": {dot: bench.at, other: bench.at}}
    with pytest.raises(OpenQuestion):
        start(bench, [bench.neat], ["K1 over silver"], from_tree(asked))


def test_a_curved_piece_asks_for_a_flat_card_over_its_ground(bench):
    session = begin(start(bench, [bench.neat], ["K1 over silver", "K2 over white, curved"]), bench.at, "ada")
    assert companions(session.tally) == [("K2", "K2F over white, flat, for K2")]
    session.tap(
        {
            "tap": "piece",
            "piece": {
                "name": "K2F",
                "ground": session.tally.pieces["K2"].ground,
                "ground_name": "white",
                "shape": "flat",
                "companion_of": "K2",
            },
        },
        bench.tick(),
    )
    assert companions(session.tally) == []


def test_what_is_on_a_piece_is_told_beside_what_is_wanted(bench):
    bodied = bench.cup(bench.body, ("carrier", "90 ml"), ("weak teal", "20 ml"), label="b1")
    session = begin(start(bench, [bench.neat, bodied], ["K1 over silver"]), bench.at, "ada")
    session.coat(["K1"], bench.tick(), "N1")
    session.coat(["k1"], bench.tick(), "b1", count="about 2")
    piece = session.tally.pieces["K1"]
    assert piece_words(piece, session.tally) == (
        "Reed 1 of about 3; Reed bodied about 2, until covered (not said to be covered yet)"
    )
    session.mark("covered", ["K1"], bench.tick())
    assert piece_words(session.tally.pieces["K1"], session.tally).endswith("until covered (covered)")
    assert [run.laid for run in session.tally.pieces["K1"].runs] == ["wet", None]


# common practice, no source: dry to the touch between coats is a dry rule
def test_dry_to_the_touch_is_a_dry_rule(bench):
    tapped = start(bench, [bench.neat], ["K1 over silver"])
    assert tapped["lines"][0]["dry"] == {"until": "touch"}
    assert dry_words(tapped["lines"][0]["dry"]) == "dry to the touch"
    assert dry_words({"until": "time", "at_least_s": "900", "at_most_s": "5400"}) == "at least 15 min, at most 90 min"
    assert dry_words(None) == ""


@pytest.mark.parametrize(
    ("seconds", "words"),
    [
        (20, "just now"),
        (60, "1 min ago"),
        (7140, "119 min ago"),
        (7260, "2 h 1 min ago"),
        (-5, "its time lies ahead of this clock"),
    ],
)
def test_time_since_the_last_coat_comes_from_the_taps(bench, seconds, words):
    then = bench.at
    bench.tick(seconds)
    assert since_words(then, bench.now) == words
    assert since_words(None, bench.now) == "no coat yet"


def test_undo_takes_back_one_tap_at_a_time_and_never_the_start(bench):
    session = begin(start(bench, [bench.neat], ["K1 over silver", "K2 over white"]), bench.at, "ada")
    session.coat(["all"], bench.tick())
    session.coat(["K1"], bench.tick())
    session.undo(bench.tick())
    assert [len(piece.runs) for piece in session.tally.pieces.values()] == [1, 1]
    assert session.tally.pieces["K1"].runs[0].count == "1"
    session.undo(bench.tick())
    with pytest.raises(SprayoutError, match="nothing is left"):
        session.undo(bench.tick())
    assert len(session.journal.taps()) == 5, "what was taken back stays in the journal"


@pytest.mark.parametrize(
    ("pieces", "more", "said"),
    [
        (["K7"], {}, "no piece 'K7'"),
        ([], {}, "on which pieces"),
        (["all", "K1"], {}, "no piece 'all'"),
        (["K1"], {"cup": "C9"}, "no cup of this session"),
        (["K1"], {"count": "many"}, "no count"),
        (["K2"], {}, "off the stand"),
    ],
)
def test_a_tap_that_cannot_be_is_refused_and_not_kept(bench, pieces, more, said):
    session = begin(start(bench, [bench.neat], ["K1 over silver", "K2 over white"]), bench.at, "ada")
    session.mark("off", ["K2"], bench.tick())
    before = session.journal.path.read_bytes()
    with pytest.raises(SprayoutError, match=said):
        session.coat(pieces, bench.tick(), **more)
    assert session.journal.path.read_bytes() == before


def test_a_journal_of_a_newer_sprayout_is_not_guessed_at(bench):
    first = {**start(bench, [bench.neat], ["K1 over silver"]), "at": bench.at, "by": "ada"}
    with pytest.raises(SprayoutError, match="cannot be understood"):
        tally([first, {"tap": "polish", "pieces": ["K1"], "at": bench.at}])
