"""Needs: honest counts, ranges from both ends, shared mixes summed, nothing invented."""

from fractions import Fraction

import pytest
from tests.library.today.shelf_of_documents import Shelf

from sprayout_core.errors import SprayoutError
from sprayout_core.mix import Amount, Coats, Measure
from sprayout_core.mix.bounds import Span
from sprayout_library.today.needs import JobFacts, coats_of, day, job_needs, volume_solids


def facts(**more):
    known = {
        "areas_m2": {"tank": Fraction(1)},
        "lands": Span.exactly(Fraction(1)),
        "film_um": Span.exactly(Fraction(15)),
    }
    return JobFacts(**{**known, **more})


@pytest.fixture
def shelf():
    shelf = Shelf()
    shelf.weak = shelf.material("weak teal", "0.9", volume_solids_percent="30")
    shelf.thinner = shelf.material("thinner", "0.8", "reducer")
    shelf.carrier = shelf.material("carrier", "1.1", "carrier", volume_solids_percent="60")
    shelf.neat = shelf.mix("Neat", [(shelf.weak, 1)])
    return shelf


# Theoretical spreading rate, 1000 x volume solids / dry film (published handbook arithmetic): 20 m2/l at 0.30 and
# 15 um, so 50 ml for one square metre
def test_one_coat_of_one_square_metre_is_the_spreading_rate_turned_round(shelf):
    (need,) = job_needs(shelf.neat, shelf.get, facts(coats=Coats(1, 1)))
    assert need.need.mix_ml == Span.exactly(Fraction(50))


def test_a_range_runs_from_the_best_of_everything_to_the_worst(shelf):
    job = facts(coats=Coats(4, 5), lands=Span(Fraction(1, 2), Fraction(4, 5)), film_um=Span(Fraction(10), Fraction(15)))
    (need,) = job_needs(shelf.neat, shelf.get, job)
    assert need.need.mix_ml == Span(4 * Fraction(1000, 30) / Fraction(4, 5), 5 * Fraction(50) / Fraction(1, 2))


@pytest.mark.parametrize(
    ("count", "coats"),
    [("5", Coats(5, 5)), ("4 to 5", Coats(4, 5)), ("about 5", Coats(4, 6)), ("about 1", Coats(1, 2))],
)
def test_a_count_is_taken_as_wide_as_it_was_said(count, coats):
    found, notes = coats_of(count, facts())
    assert found == coats
    assert bool(notes) == count.startswith("about")


def test_until_covered_has_no_number_until_one_is_said():
    with pytest.raises(SprayoutError, match="has no number of coats"):
        coats_of("until covered", facts())
    assert coats_of("until covered", facts(covered=Coats(3, 4))) == (Coats(3, 4), ("until covered, as told",))


def test_solids_come_from_the_materials_and_a_reducer_has_none(shelf):
    thinned = shelf.mix("Thinned", [(shelf.weak, 1), (shelf.thinner, 2)])
    assert volume_solids(thinned, shelf.get)[0] == Fraction(1, 10)
    unknown = shelf.mix("Fen", [(shelf.material("fen violet"), 1)])
    with pytest.raises(SprayoutError, match="solids of fen violet are not recorded"):
        volume_solids(unknown, shelf.get)


def test_solids_of_a_mix_by_mass_are_by_volume(shelf):
    heavy = shelf.mix("Heavy", [(shelf.weak, 9), (shelf.carrier, 11)], "mass")
    # 9 g at 0.9 and 11 g at 1.1 are 10 ml each
    assert volume_solids(heavy, shelf.get)[0] == Fraction(45, 100)


def test_one_dye_mix_shared_by_several_is_summed_and_stands_first(shelf):
    one = shelf.mix("One", [(shelf.carrier, 9), (shelf.neat, 2)])
    two = shelf.mix("Two", [(shelf.carrier, 3), (shelf.neat, 1)])
    asked = [(one, Amount(Fraction(110), Measure.ML), "frame"), (two, Amount(Fraction(80), Measure.ML), "fork"),
             (shelf.neat, Amount(Fraction(5), Measure.ML), "touch-up")]  # fmt: skip
    needs, unit = day(asked, shelf.get)
    assert (needs[0].mix, unit) == (shelf.neat.id, "ml")
    assert needs[0].amount == Span.exactly(Fraction(45))
    assert {key: span.high for key, span in needs[0].taken_by.items()} == {one.id: 20, two.id: 20, "touch-up": 5}


def test_grams_of_a_mix_by_volume_are_turned_by_density(shelf):
    needs, unit = day([(shelf.neat, Amount(Fraction(90), Measure.G), "frame")], shelf.get)
    assert (needs[0].amount.high, unit) == (100, "ml")


def test_volume_and_mass_are_not_added_up(shelf):
    heavy = shelf.mix("Heavy", [(shelf.weak, 9), (shelf.carrier, 11)], "mass")
    with pytest.raises(SprayoutError, match=r"some are by volume|some by mass"):
        day(
            [(shelf.neat, Amount(Fraction(1), Measure.ML), "a"), (heavy, Amount(Fraction(1), Measure.G), "b")],
            shelf.get,
        )
