"""Where a reading was made, by the name of its row: a panel, a step, a zone, or a zone of a step."""

import pytest
from tests.library.film.pearl_shop import make

from sprayout_library.record.names import Names, NotKnown
from sprayout_library.record.pieces import piece_from_words, piece_name
from sprayout_library.record.placing import SpotNotFound, Spots
from sprayout_library.store import Store


@pytest.fixture(scope="module")
def store(tmp_path_factory):
    place = tmp_path_factory.mktemp("spots")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("SPRAYOUT_HOME", str(place / "machine"))
        with Store.open(make(place)) as found:
            yield found


@pytest.mark.parametrize(
    ("label", "step", "zone"),
    [
        ("V-C", None, None),
        ("V-C/2", "2", None),
        ("V-C/over white", None, "over_white"),
        ("V-C/2/over white", "2", "over_white"),
        ("v-c / 0 / Over Black", "0", "over_black"),
    ],
)
def test_a_row_names_its_spot(store, label, step, zone):
    found = Spots(store).find(label)
    assert (found.step, found.zone) == (step, zone)
    piece = piece_from_words(label, Names(store), store)
    assert (piece.panel, piece.step, piece.zone) == (found.panel, step, zone)


def test_a_zone_of_a_step_is_told_as_it_is_written(store):
    names = Names(store)
    assert piece_name(piece_from_words("V-C/2/over white", names, store), names) == "V-C/2/over white"


@pytest.mark.parametrize(
    "label", ["V-C/9/over white", "V-C/2/over grey", "V-S/2/over white", "V-C/over white/2", "X/2/3"]
)
def test_a_place_that_is_not_there_is_refused(store, label):
    with pytest.raises(SpotNotFound):
        Spots(store).find(label)
    with pytest.raises(NotKnown):
        piece_from_words(label, Names(store), store)
