from datetime import UTC, datetime, timedelta
from fractions import Fraction

import pytest

from sprayout_core.errors import SprayoutError
from sprayout_core.mix.pot_life import Action, Deed, PotLife, standing

NINE = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)


def after(minutes, deed):
    return Action(NINE + timedelta(minutes=minutes), deed)


def test_time_runs_from_the_first_contact():
    actions = [after(20, Deed.HARDENER_IN), after(0, Deed.HARDENER_IN), after(5, Deed.STRAINED)]
    found = standing(actions, NINE + timedelta(minutes=45), PotLife(60, Fraction(20), "the hardener's data sheet"))
    assert found.since_hardener == timedelta(minutes=45)
    assert found.of_sheet == Fraction(3, 4)
    assert found.sentence == "Hardener went in 45 min ago, 75 % of the data sheet's pot life."
    assert found.last.deed is Deed.HARDENER_IN


def test_nothing_stands_in_for_the_sheet():
    found = standing([after(0, Deed.HARDENER_IN)], NINE + timedelta(hours=9))
    assert found.of_sheet is None and "no pot life" in found.sentence
    assert standing([after(0, Deed.STIRRED)], NINE).since_hardener is None


def test_emptied():
    assert "Emptied at 09:10" in standing([after(10, Deed.EMPTIED)], NINE + timedelta(hours=1)).sentence


def test_doubtful_times_are_refused():
    with pytest.raises(SprayoutError, match="no offset"):
        standing([], NINE.replace(tzinfo=None))
    with pytest.raises(SprayoutError, match="after now"):
        standing([after(10, Deed.SPRAYED)], NINE)
    with pytest.raises(SprayoutError, match="pot life"):
        standing([], NINE, PotLife(0, None, "sheet"))
