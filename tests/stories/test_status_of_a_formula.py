"""The status of a formula, step by step: written before the code that derives it."""

from tests.core.documents.invented import COPY, OTHER, document, finder, formula, material, panel, parts, thing

from sprayout_core.compare import (
    Add,
    Put,
    Sprayed,
    TakeAway,
    edit,
    join,
    questions_of,
    recipe_status,
    settle,
    status,
    tell,
    withdraw,
)
from sprayout_core.documents import proofs, recipe_proof, tree

weak = material(1, "Weak teal")
strong = material(2, "Strong teal")
glass = material(3, "Clear carrier", role="carrier")
neat = formula(4, "Kelp neat", [(weak, 5), (strong, 2)])
bodied = formula(5, "Kelp glass", [(glass, 9), (neat, 2)])
NAMES = {one.id: one.title for one in (weak, strong, glass, neat, bodied)}


def day(number):
    return f"2026-03-{number:02d}T10:00:00Z"


def held(kelp=bodied, dye=neat):
    return finder(weak, strong, glass, dye, kelp)


SPRAYED = panel(20, bodied, held())


def state(kelp=bodied, dye=neat, panels=(SPRAYED,)):
    return status(kelp, panels, held(kelp, dye)).state


def test_written_but_never_sprayed():
    assert state(panels=()) is Sprayed.NEVER


def test_sprayed():
    found = status(bodied, [SPRAYED], held())
    assert found.state is Sprayed.SPRAYED
    assert found.panels == (SPRAYED.id,)


def test_a_note_added_after_spraying_changes_nothing():
    noted = edit(bodied, COPY, [Add("notes", {"text": "hangs well on a down tube"})], day(3))
    assert state(noted) is Sprayed.SPRAYED


def test_ten_to_four_for_five_to_two_is_the_same_mix():
    rewritten = edit(neat, COPY, [Put("mix", parts((weak, 5), (strong, 2), scale="2"))], day(4))
    assert rewritten.mix.scale == "2"
    assert "mix" not in (rewritten.edits or {})
    assert state(dye=rewritten) is Sprayed.SPRAYED
    told = [line.text for line in tell(neat, rewritten, NAMES.get)]
    written = "5 Weak teal : 2 Strong teal by volume is 10 Weak teal : 4 Strong teal by volume"
    assert told == [f"same mix, written differently: {written}"]


def stronger(dye=neat, copy=COPY, at="2026-03-05T10:00:00Z", ratio=(3, 2)):
    return edit(dye, copy, [Put("mix", parts((weak, ratio[0]), (strong, ratio[1])))], at)


def test_a_nested_dye_mix_changed_changes_what_contains_it():
    found = status(bodied, [SPRAYED], held(dye=stronger()))
    assert found.state is Sprayed.CHANGED
    assert found.earlier == (SPRAYED.id,)


def test_withdrawn_and_brought_back_says_nothing_of_spraying():
    gone = withdraw(bodied, COPY, day(6))
    assert gone.withdrawn == bodied.seen
    assert state(gone) is Sprayed.SPRAYED
    assert state(gone, stronger()) is Sprayed.CHANGED
    back = edit(gone, COPY, [TakeAway("withdrawn")], day(7))
    assert back.withdrawn is None
    assert state(back) is Sprayed.SPRAYED


def test_an_edit_elsewhere_asks_whether_it_stays_withdrawn():
    gone = withdraw(bodied, COPY, day(6))
    renamed = edit(bodied, OTHER, [Put("title", "Kelp glass, bodied")], day(6))
    joined = join(gone, renamed)
    assert questions_of(joined) == ("withdrawn",)
    assert joined.title == "Kelp glass, bodied"
    assert questions_of(settle(joined, COPY, "withdrawn", dict(joined.seen), day(7))) == ()
    assert state(joined) is Sprayed.SPRAYED


def two_answers():
    ours = edit(bodied, COPY, [Put("mix", parts((glass, 7), (neat, 2))), Add("tags", "teal")], day(8))
    theirs = edit(bodied, OTHER, [Put("mix", parts((glass, 9), (neat, 4)))], day(9))
    return ours, theirs, join(ours, theirs)


def test_two_answers_each_have_a_status_of_their_own():
    ours, _, asked = two_answers()
    tried = panel(21, ours, held(ours))
    assert asked.mix is None
    found = status(asked, [SPRAYED, tried], held(asked))
    assert found.state is Sprayed.OPEN
    assert {copy.partition(".")[0]: one.state for copy, one in found.answers.items()} == {
        COPY: Sprayed.SPRAYED,
        OTHER: Sprayed.CHANGED,
    }
    assert found.earlier == (SPRAYED.id, tried.id)


def test_two_answers_to_the_dye_mix_leave_what_contains_it_open():
    asked = join(stronger(), stronger(copy=OTHER, ratio=(4, 1)))
    found = status(bodied, [SPRAYED], held(dye=asked))
    assert found.state is Sprayed.OPEN
    assert found.because == "Kelp neat: two answers to the mix"


def test_settled_for_the_sprayed_one_or_for_the_other():
    ours, theirs, asked = two_answers()
    tried = panel(21, ours, held(ours))
    for_ours = settle(asked, OTHER, "mix", tree(ours)["mix"], day(10))
    assert state(for_ours, panels=(SPRAYED, tried)) is Sprayed.SPRAYED
    for_theirs = settle(asked, COPY, "mix", tree(theirs)["mix"], day(10))
    assert state(for_theirs, panels=(SPRAYED, tried)) is Sprayed.CHANGED
    assert not for_theirs.questions


def test_back_to_what_was_sprayed_is_sprayed_again():
    back = edit(stronger(), COPY, [Put("mix", parts((weak, 5), (strong, 2)))], day(11))
    assert state(dye=back) is Sprayed.SPRAYED


def test_another_guns_variant_changes_nothing_but_this_ones_does():
    small = edit(bodied, COPY, [Put("spray_ready/small", {"tip_mm": "1.2"})], day(3))
    through = panel(22, small, held(small), "small")
    large = edit(small, COPY, [Put("spray_ready/large", {"tip_mm": "1.6"})], day(4))
    assert state(large, panels=(through,)) is Sprayed.SPRAYED
    finer = edit(large, COPY, [Put("spray_ready/small", {"tip_mm": "1"})], day(5))
    assert state(finer, panels=(through,)) is Sprayed.CHANGED


def test_a_question_about_another_guns_variant_hinders_nothing():
    small = edit(bodied, COPY, [Put("spray_ready/small", {"tip_mm": "1.2"})], day(3))
    through = panel(22, small, held(small), "small")
    ours = edit(small, COPY, [Put("spray_ready/large", {"tip_mm": "1.6"})], day(4))
    theirs = edit(small, OTHER, [Put("spray_ready/large", {"tip_mm": "1.8"})], day(4))
    assert state(join(ours, theirs), panels=(through,)) is Sprayed.SPRAYED


def test_a_dye_sprayed_neat_and_inside_another_on_one_panel():
    neat_ready = edit(neat, COPY, [Put("spray_ready/small", {"tip_mm": "1.2"})], day(3))
    find = held(dye=neat_ready)
    pinned = proofs(bodied, find) | proofs(neat_ready, find, "small")
    coats = [{"formula": bodied.id, "count": "2"}, {"formula": neat.id, "count": "1", "spray_ready": "small"}]
    both = document("panel", 23, coats=coats, proofs=pinned)
    assert status(bodied, [both], find).state is Sprayed.SPRAYED
    assert status(neat_ready, [both], find).state is Sprayed.SPRAYED


def test_withdrawn_and_superseded_panels_prove_nothing():
    assert state(panels=(withdraw(SPRAYED, COPY, day(3)),)) is Sprayed.NEVER
    correction = panel(24, stronger_kelp(), held(stronger_kelp()), supersedes=SPRAYED.id)
    assert state(panels=(SPRAYED, correction)) is Sprayed.CHANGED


def stronger_kelp():
    return edit(bodied, COPY, [Put("mix", parts((glass, 9), (neat, 4)))], day(5))


def test_a_missing_dye_mix_leaves_the_status_unknown():
    found = status(bodied, [SPRAYED], finder(weak, strong, glass, bodied))
    assert found.state is Sprayed.UNKNOWN


def test_a_recipe_over_three_grounds_is_judged_over_each():
    grounds = [{"kind": "material", "id": thing(number)} for number in (30, 31, 32)]
    facts = {"coats": [{"formula": bodied.id, "count": "4 to 5"}], "grounds": grounds}
    recipe = document("recipe", 40, title="Kelp over metal", **facts)
    over_bright = panel(41, bodied, held(), recipe=recipe.id, recipe_proof=recipe_proof(recipe), ground=grounds[0])
    found = recipe_status(recipe, [over_bright], held())
    assert [found.grounds[thing(number)].state for number in (30, 31, 32)] == [
        Sprayed.SPRAYED,
        Sprayed.NEVER,
        Sprayed.NEVER,
    ]
    recounted = edit(
        recipe, COPY, [Put(f"coats/{next(iter(recipe.coats))}", {**facts["coats"][0], "count": "6"})], day(3)
    )
    assert recipe_status(recounted, [over_bright], held()).state is Sprayed.CHANGED
    assert recipe_status(recipe, [over_bright], held(dye=stronger())).state is Sprayed.CHANGED
