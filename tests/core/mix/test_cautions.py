import re
from typing import get_args

import pytest

from sprayout_core.documents.kinds import Caution as Recorded
from sprayout_core.mix.cautions import DEFER_TO, Caution, caution_text, cautions_for


@pytest.mark.parametrize("caution", list(Caution))
def test_every_caution_has_words_and_defers(caution):
    told = cautions_for([caution])
    assert told[:-1] == caution_text(caution)
    assert told[-1] == DEFER_TO


def test_order_is_fixed_and_nothing_is_said_twice():
    told = cautions_for([Caution.SPRAY_MIST, Caution.ISOCYANATE, Caution.SPRAY_MIST])
    assert told == (*caution_text(Caution.ISOCYANATE), *caution_text(Caution.SPRAY_MIST), DEFER_TO)


def test_deferring_names_sheet_codes_and_practice():
    assert all(word in DEFER_TO for word in ("safety data sheet", "local codes", "licensed practice"))


def test_nothing_carried_says_nothing():
    assert cautions_for([]) == ()


def test_nothing_is_ever_called_safe():
    told = " ".join(cautions_for(Caution)).replace("safety data sheet", "")
    assert not re.search(r"\bsafe(ly|ty)?\b", told, re.IGNORECASE)


def test_two_pack_names_what_filters_cannot_do():
    told = " ".join(caution_text(Caution.ISOCYANATE))
    assert "asthma" in told and "air-fed" in told and "Cartridge" in told


def test_every_caution_a_material_can_carry_has_its_words():
    assert {caution.value for caution in Caution} == set(get_args(Recorded))
