import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sprayout_core.errors import SprayoutError
from sprayout_core.film import (
    Estimate,
    StepCard,
    Trial,
    clear_layer,
    coats_of,
    evened,
    film_factor,
    more_coats,
    needed,
    predicted_card,
)

DYE = np.linspace(0.03, 0.6, 31)
COATS = np.arange(6.0)


def card(**more):
    return StepCard(COATS, clear_layer(np.full(31, 0.7), COATS[:, None] * DYE, "45:0"), **more)


@given(st.floats(0, 5))
def test_the_film_really_there_comes_back(coats):
    reading = clear_layer(np.full(31, 0.7), coats * DYE, "45:0")
    answer = coats_of(card(), reading)
    assert answer.coats == pytest.approx(coats, abs=0.05)
    # The answer is solved for to a few thousandths of a coat; the interval says nothing finer.
    assert answer.low - 0.005 <= coats <= answer.high + 0.005


def test_a_card_passes_through_its_own_steps_and_stays_monotone():
    assert card().at(COATS) == pytest.approx(card().channels, abs=1e-9)
    fine = card().at(np.linspace(0, 8, 200))
    assert (np.diff(fine, axis=0) <= 1e-12).all()
    assert (fine > -1e-3).all()


def test_three_channels_of_a_picture_are_enough():
    channels = card().channels @ np.kron(np.eye(3), np.ones((11, 1)) / 11)[:31]
    answer = coats_of(StepCard(COATS, channels), StepCard(COATS, channels).at(2.6))
    assert answer.coats == pytest.approx(2.6, abs=0.02)


def test_another_colour_is_said_not_to_fit():
    other = clear_layer(np.full(31, 0.7), 2 * DYE[::-1], "45:0")
    assert any("another mix" in note for note in coats_of(card(), other).notes)
    deep = clear_layer(np.full(31, 0.7), 6.5 * DYE, "45:0")
    assert any("extrapolation" in note for note in coats_of(card(), deep).notes)


def test_where_coats_no_longer_show_nothing_fine_is_claimed():
    flat = StepCard(COATS, np.full((6, 31), 0.02))
    answer = coats_of(flat, np.full(31, 0.02))
    assert answer.high - answer.low > 5
    assert any("nothing finer" in note for note in answer.notes)


def test_refusals():
    with pytest.raises(SprayoutError):
        coats_of(card(), np.ones(3))
    with pytest.raises(SprayoutError):
        StepCard([0, 1, 1], np.ones((3, 3)))
    with pytest.raises(SprayoutError):
        StepCard([0], np.ones((1, 3)))
    with pytest.raises(SprayoutError):
        film_factor([])


def test_what_one_more_coat_would_do():
    reading = clear_layer(np.full(31, 0.7), 2 * 1.15 * DYE, "45:0")
    count = coats_of(card(), reading)
    answer = more_coats(card(), count, counted=2, wanted=3.5, wavelengths=np.arange(400, 701, 10))
    assert answer.heavy == pytest.approx(0.15, abs=0.02)
    assert answer.best == 1
    assert "15 % heavy" in answer.words
    assert "one more medium coat" in answer.words
    done = more_coats(card(), count, counted=2, wanted=2.3, wavelengths=np.arange(400, 701, 10))
    assert done.best == 0
    assert "leave it" in done.words


def test_answers_teach_a_film_factor_and_what_others_needed():
    answers = []
    for coats in (2.3, 3.45, 4.6):
        answers.append((coats_of(card(), clear_layer(np.full(31, 0.7), coats * DYE, "45:0")), coats / 1.15))
    factor = film_factor(answers)
    assert factor.value == pytest.approx(1.15, abs=0.02)
    told = needed(4, [Estimate(1.15, 0.03), Estimate(1.0, 0.03), Estimate(1.3, 0.05)])
    assert told.value == pytest.approx(3.52, abs=0.02)
    assert 0.3 < told.uncertainty < 0.8


def test_grey_strips_take_uneven_light_out():
    even = np.array([[0.5, 0.4, 0.3], [0.4, 0.3, 0.1]])
    light = np.array([[1.0], [0.9]])
    fixed = evened(even * light, 0.6 * light * np.ones((2, 3)))
    assert fixed / fixed[0, 0] == pytest.approx(even / even[0, 0])


def test_a_predicted_card_knows_how_unsure_it_is(day):
    booth, _, learned = day
    made = predicted_card(learned, Trial(booth.grounds["white"], {"dye 0": 0.5}, 3), "45:0")
    assert made.coats[-1] == 5
    assert 0.005 < made.strength < 0.05
