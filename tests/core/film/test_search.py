from itertools import pairwise, product
from math import gcd

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sprayout_core.difference import ciede2000
from sprayout_core.errors import SprayoutError
from sprayout_core.film import (
    CARRIER,
    Change,
    Means,
    Trial,
    Written,
    correct_pot,
    pourable,
    predict,
    refine,
    search,
    shares_of,
    target_from_lab,
    target_from_readings,
    wished,
)
from sprayout_core.film.correction import _additions


def test_pourable_ratios_are_all_of_them_once():
    rows = {tuple(int(each) for each in row) for row in pourable(3, 7, 3)}
    naive = {row for row in product(range(8), repeat=4) if 0 < sum(row) <= 7 and any(row[:3]) and gcd(*row) == 1}
    assert rows == naive
    assert len(pourable(3, 7, 3)) == len(rows)
    # About 6,000 of four dyes and a carrier to twelve parts.
    assert len(pourable(4, 12, 4)) == 5595
    assert (np.count_nonzero(pourable(4, 6, 2)[:, :4], axis=1) <= 2).all()


def test_search_is_brute_force(day, eye):
    booth, _, learned = day
    grounds = (booth.grounds["white"], booth.grounds["silver"])
    means = Means(("dye 0", "brown"), grounds, coats=(1, 2, 3), parts=5)
    target = target_from_readings(booth.nominal("silver", {"dye 0": 0.41, "brown": 0.13}, 2), learned.wavelengths)
    best = np.inf
    for one, two, carrier, ground, coats in product(range(6), range(6), range(6), grounds, (1, 2, 3)):
        total = one + two + carrier
        if 0 < total <= 5 and one + two:
            mix = {"dye 0": one / total, "brown": two / total}
            made = predict(learned, Trial(ground, mix, coats), ["45:0"])[0]
            best = min(best, float(ciede2000(target.colours["45:0"], made.lab)))
    found = search(learned, target, means)
    assert min(each.difference for each in found) == pytest.approx(best, abs=1e-9)


def test_proposals_differ_really_and_are_explained(day):
    booth, _, learned = day
    means = Means(tuple(booth.dyes), tuple(booth.grounds.values()))
    target = target_from_readings(booth.nominal("silver", {"dye 0": 0.25, "brown": 0.25}, 3), learned.wavelengths)
    found = search(learned, target, means)
    assert 2 <= len(found) <= 5
    assert min(each.difference for each in found) < 0.6
    expected = [each.expected for each in found]
    assert all(one <= two + 0.1 for one, two in pairwise(expected))
    assert all(each.expected >= each.difference for each in found)
    kinds = [(each.ground.name, frozenset(each.mix)) for each in found]
    assert all(one != two or abs(a.coats - b.coats) >= 2 for a, one in zip(found, kinds, strict=True)
               for b, two in zip(found, kinds, strict=True) if a is not b)  # fmt: skip
    assert any("taken equal" in reason for reason in found[0].reasons)
    assert all(sum(each.parts.values()) <= 12 for each in found)


def test_solids_change_the_dry_share():
    means = Means(("a",), (), solids={"a": 0.1, CARRIER: 0.3})
    assert shares_of(np.array([[3, 1], [1, 0]]), means) == pytest.approx(np.array([[0.5], [1.0]]))
    with pytest.raises(SprayoutError):
        shares_of(np.array([[1, 0]]), Means(("a",), (), solids={"a": 0.0}))


def test_targets():
    target = target_from_lab({"45:0": [40, 30, 20]})
    moved = wished(target, lighter=3).colours["45:0"]
    assert moved == pytest.approx([43, 30, 20])
    cleaner = wished(target, cleaner=5).colours["45:0"]
    assert np.hypot(*cleaner[1:]) == pytest.approx(np.hypot(30, 20) + 5)
    assert np.arctan2(*cleaner[1:]) == pytest.approx(np.arctan2(30, 20))
    with pytest.raises(SprayoutError):
        target_from_lab({})
    with pytest.raises(SprayoutError):
        target_from_lab({"45:0": [np.nan, 0, 0]})


def test_typed_and_scanned_targets_state_their_grade(day):
    booth, _, learned = day
    means = Means(("brown",), (booth.grounds["white"],), coats=(1, 2))
    found = search(learned, target_from_lab({"45:0": [60, 10, 30]}), means)
    assert any("itself uncertain" in reason for reason in found[0].reasons)


def test_nothing_on_hand_is_refused(day):
    booth, _, learned = day
    target = target_from_lab({"45:0": [60, 10, 30]})
    for means in (
        Means((), (booth.grounds["white"],)),
        Means(("brown",), ()),
        Means(("brown",), (booth.grounds["white"],), coats=(0, 1)),
        Means(("never",), (booth.grounds["white"],)),
    ):
        with pytest.raises(SprayoutError):
            search(learned, target, means)


def test_a_pot_is_corrected_by_adding_only(day, difference):
    booth, _, learned = day
    means = Means(("dye 0", "brown"), (booth.grounds["silver"],), coats=(3,))
    wanted = booth.nominal("silver", {"dye 0": 0.4, "brown": 0.2}, 3)
    target = target_from_readings(wanted, learned.wavelengths)
    pot = {"dye 0": 20.0, "brown": 20.0, CARRIER: 40.0}
    best = correct_pot(learned, pot, target, means, step=5.0)[0]
    assert best.difference < 0.7 < best.before
    assert all(best.pot[name] >= amount for name, amount in pot.items())
    assert set(best.additions) <= {"dye 0", CARRIER}
    right = {"dye 0": 40.0, "brown": 20.0, CARRIER: 40.0}
    assert correct_pot(learned, right, target, means, step=5.0)[0].additions == {}
    for bad in ({"other": 1.0}, {CARRIER: 5.0}, {"dye 0": -1.0}):
        with pytest.raises(SprayoutError):
            correct_pot(learned, bad, target, means, step=5.0)


def test_a_recipe_is_corrected_where_it_stands(day):
    """Sprayed too strong: the right body is found among the kinds of change, and as written stands among them."""
    booth, _, learned = day
    silver = booth.grounds["silver"]
    wanted = booth.nominal("silver", {"dye 0": 0.2, "brown": 0.1}, 3)
    target = target_from_readings(wanted, learned.wavelengths)
    written = Written({"dye 0": 2, "brown": 1}, carrier=5, neat=3, coats=3)
    means = Means(("dye 0", "brown"), (silver,), coats=(2, 3, 4))
    found = refine(learned, target, written, silver, means)
    by_change = {one.change: one for one in found}
    assert set(by_change) == set(Change)
    body = by_change[Change.BODY]
    assert body.written.dyes == {"dye 0": 2, "brown": 1} and body.written.coats == 3
    assert body.written.neat / (body.written.carrier + body.written.neat) == pytest.approx(0.3, abs=0.02)
    assert body.difference < 0.5 < by_change[Change.NOTHING].difference
    assert by_change[Change.NOTHING].written == written
    assert by_change[Change.DYES].written.carrier == 5 and by_change[Change.DYES].written.neat == 3
    assert found[0].expected <= min(one.expected for one in found) + 0.3
    for bad in (Written({}, 1, 1, 1), Written({"dye 0": 1}, 1, 1, 0), Written({"never": 1}, 0, 1, 1)):
        with pytest.raises(SprayoutError):
            refine(learned, target, bad, silver, means)


@given(st.integers(1, 400), st.floats(0.05, 3.0))
def test_additions_are_whole_steps_within_the_room(room, step):
    steps = np.array([step, 2 * step, step])
    table = _additions(steps, float(room))
    assert (table >= 0).all() and ((table > 0).sum(axis=1) <= 2).all()
    assert ((table * steps).sum(axis=1) <= room + 1e-6).all()
    assert not table[0].any()


def test_each_component_has_its_own_step_and_the_room_is_kept(day):
    booth, _, learned = day
    means = Means(("dye 0", "brown"), (booth.grounds["silver"],), coats=(3,))
    target = target_from_readings(booth.nominal("silver", {"dye 0": 0.4, "brown": 0.2}, 3), learned.wavelengths)
    steps = {"dye 0": 0.25, "brown": 0.5, CARRIER: 1.0}
    found = correct_pot(learned, {"dye 0": 30.0, "brown": 20.0, CARRIER: 40.0}, target, means, steps, room=6.0)
    for one in found:
        assert sum(one.additions.values()) <= 6.0
        for name, amount in one.additions.items():
            assert amount / steps[name] == pytest.approx(round(amount / steps[name]))
    assert found[0].difference < found[0].before
