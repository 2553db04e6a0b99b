"""Changes as values: applied to one side they give the other; told in layers, the cup first."""

import itertools
import random

import pytest
from tests.core.compare.histories import play
from tests.core.compare.test_laws import CASES
from tests.core.documents.bad import GOLDEN
from tests.core.documents.invented import AT, COPY, OTHER, document, formula, material, parts, thing

from sprayout_core.compare import (
    ABSENT,
    Add,
    CannotEdit,
    Put,
    TakeAway,
    TakeOut,
    apply,
    changes,
    edit,
    join,
    late_edits,
    questions_of,
    settle,
    tell,
    withdraw,
)
from sprayout_core.documents import Layer, read, tree, write
from sprayout_core.errors import SprayoutError

weak = material(1, "Weak violet")
strong = material(2, "Strong violet")
iris = formula(4, "Iris", [(weak, 5), (strong, 2)], tags=["violet"], notes=[{"text": "first"}])
NAMES = {one.id: one.title for one in (weak, strong, iris)}


def name(key):
    return NAMES.get(key, key)


def told(before, after):
    return [(line.layer, line.text) for line in tell(before, after, name)]


@pytest.mark.parametrize("case", CASES)
def test_changes_applied_give_the_other_side_on_random_histories(case):
    for seed in range(12):
        states, _ = play(random.Random(seed), **CASES[case])
        for before, after in itertools.permutations(states.values(), 2):
            assert write(apply(before, changes(before, after))) == write(after)
            assert tell(before, after, name) is not None


def test_changes_are_applied_to_what_they_were_made_from_only():
    renamed = edit(iris, COPY, [Put("title", "Iris two")], AT)
    other = edit(iris, COPY, [Put("title", "Iris three")], AT)
    with pytest.raises(SprayoutError, match="does not hold what the change was made from"):
        apply(other, changes(iris, renamed))


def test_documents_of_two_kinds_are_not_compared():
    with pytest.raises(SprayoutError, match="a formula is not compared with a material"):
        changes(iris, weak)


def test_a_change_of_mix_is_told_in_parts_and_percent_even_when_its_scale_changed_too():
    after = edit(iris, COPY, [Put("mix", parts((weak, 4), (strong, 3), scale="2"))], AT)
    assert told(iris, after) == [
        (Layer.CUP, "Strong violet: 2 of 7 parts (28.6 %) before, 3 of 7 parts (42.9 %) now"),
        (Layer.CUP, "Weak violet: 5 of 7 parts (71.4 %) before, 4 of 7 parts (57.1 %) now"),
    ]


def test_members_of_sets_are_told():
    after = edit(iris, COPY, [Add("tags", "deep"), TakeOut("tags", "violet")], AT)
    assert told(iris, after) == [
        (Layer.WORDS, "tags: violet is no longer there"),
        (Layer.WORDS, "tags: deep is new"),
    ]
    recipe = document("recipe", 5, title="Over", grounds=[{"kind": "material", "id": thing(1)}])
    over_two = edit(recipe, COPY, [Add("grounds", {"kind": "material", "id": thing(2)})], AT)
    assert told(recipe, over_two) == [(Layer.WORK, "grounds: Strong violet is new")]


def test_a_standard_is_told_as_people_name_it():
    """Which piece over which ground, with its step: no member of the format stands in the sentence."""
    recipe = document("recipe", 7, title="Iris fade", grounds=[{"kind": "material", "id": weak.id}])
    first = edit(recipe, COPY, [Put(f"standards/{weak.id}", {"panel": strong.id})], AT)
    second = edit(first, COPY, [Put(f"standards/{weak.id}", {"panel": iris.id, "step": "4"})], AT)
    over = "the standard over Weak violet"
    assert told(recipe, first) == [(Layer.EVIDENCE, f"Strong violet is {over} now")]
    assert told(first, second) == [(Layer.EVIDENCE, f"{over}: Strong violet before, Iris/4 now")]
    assert told(second, recipe) == [(Layer.EVIDENCE, f"Iris/4 is no longer {over}")]


def test_two_answers_and_their_settling_are_told_as_such():
    ours = edit(iris, COPY, [Put("title", "Iris, ours"), Put("mix", parts((weak, 1), (strong, 1)))], AT)
    theirs = edit(iris, OTHER, [Put("title", "Iris, theirs"), Put("mix", parts((weak, 3), (strong, 1)))], AT)
    asked = join(ours, theirs)
    assert told(ours, asked) == [(Layer.CUP, "the mix: two answers"), (Layer.WORDS, "title: two answers")]
    settled = settle(asked, COPY, "title", "Iris", AT)
    assert (Layer.WORDS, "title: settled, Iris") in told(asked, settled)


def test_a_late_edit_of_a_withdrawn_document_is_settled_either_way():
    gone = withdraw(iris, COPY, AT)
    joined = join(gone, edit(iris, OTHER, [Add("notes", {"text": "still in use here"})], AT))
    assert late_edits(joined)
    assert questions_of(joined) == ("withdrawn",)
    back = settle(joined, OTHER, "withdrawn", ABSENT, AT)
    assert back.withdrawn is None
    assert questions_of(back) == ()
    still = settle(joined, COPY, "withdrawn", dict(joined.seen), AT)
    assert still.withdrawn == joined.seen
    assert questions_of(still) == ()
    with pytest.raises(CannotEdit, match="there is no question about withdrawn"):
        settle(still, COPY, "withdrawn", ABSENT, AT)


def test_one_edit_may_change_a_mix_and_how_it_is_written():
    after = edit(iris, COPY, [Put("mix", {**parts((weak, 5), (strong, 2)), "scale": "2", "as_typed": "10 : 4"})], AT)
    assert set(after.edits) == {"mix/scale", "mix/as_typed"}
    assert (after.mix.scale, after.mix.as_typed) == ("2", "10 : 4")


def test_an_answer_is_kept_in_its_one_spelling():
    base = edit(iris, COPY, [Put("spray_ready/small", {"tip_mm": "1.4"})], AT)
    ours = edit(base, COPY, [Put("spray_ready/small", {"tip_mm": "1.30"})], AT)
    asked = join(ours, edit(base, OTHER, [Put("spray_ready/small", {"tip_mm": "1.6"})], AT))
    revised = edit(asked, COPY, [Put("spray_ready/small", {"tip_mm": "1.20"})], AT)
    values = [answer.value for answer in revised.questions["spray_ready/small"].values()]
    assert {"tip_mm": "1.2"} in values
    assert read(write(revised)) == revised


def test_an_emptied_item_is_one_taken_away():
    base = edit(iris, COPY, [Put("spray_ready/small", {"tip_mm": "1.4"})], AT)
    hollow = edit(base, COPY, [Put("spray_ready/small", {})], AT)
    assert tree(hollow) == tree(edit(base, COPY, [TakeAway("spray_ready/small")], AT))


def test_reordering_and_straining_are_in_the_work():
    base = read((GOLDEN / "kelp-glass--base.json").read_bytes())
    turned = edit(base, COPY, [Put("mix/order", list(reversed(base.mix.order)))], AT)
    assert [layer for layer, _ in told(base, turned)] == [Layer.WORK]


def test_a_withdrawal_is_told_without_its_record():
    gone = withdraw(iris, COPY, AT)
    assert told(iris, gone) == [(Layer.WORDS, "withdrawn")]
    assert told(gone, edit(gone, COPY, [TakeAway("withdrawn")], AT)) == [(Layer.WORDS, "brought back")]


def test_units_stand_behind_their_numbers_and_no_edit_is_named():
    before = edit(iris, COPY, [Put("spray_ready/small", {"tip_mm": "1.4", "laid": "wet"})], AT)
    after = edit(
        before, COPY, [Put("spray_ready/small", {"tip_mm": "1.2", "strain": {"gun": {"opening_um": "240"}}})], AT
    )
    ((layer, text),) = told(before, after)
    assert layer is Layer.WORK
    assert text == "spray-ready for small: tip 1.4 mm, laid wet before, strain gun opening 240 um, tip 1.2 mm now"
    recipe = read((GOLDEN / "kelp-over-metal--base.json").read_bytes())
    turned = edit(recipe, COPY, [Put("coats_order", list(reversed(recipe.coats_order)))], AT)
    ((_, text),) = told(recipe, turned)
    assert "k7f3q2." not in text
    assert ", 4 to 5 now" not in text
    assert text.endswith(", 1 now")
