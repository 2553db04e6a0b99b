import json

import pytest

from sprayout_core.card import step_frame
from sprayout_core.documents import Piece
from sprayout_core.errors import SprayoutError
from sprayout_library.cards import Cards, PrintedCard, laid_out

ID = "01926f3a-7c1e-7b52-9a41-5d0c8e2f7a10"


def test_a_card_comes_back_as_it_was_kept(tmp_path):
    card = PrintedCard(step_frame("K7F3Q2"), {"piece/piece": Piece(panel=ID, step="3")})
    Cards(tmp_path).keep(card)
    assert Cards(tmp_path).find("K7F3Q2") == card


@pytest.mark.parametrize("change", [lambda t: t.pop("frame"), lambda t: t.update(pieces={"piece/piece": {"panel": 4}})])
def test_a_spoiled_card_is_refused(tmp_path, change):
    cards = Cards(tmp_path)
    cards.keep(PrintedCard(step_frame("K7F3Q2"), {}))
    path = tmp_path / "cards" / "K7F3Q2.json"
    tree = json.loads(path.read_text())
    change(tree)
    path.write_text(json.dumps(tree))
    with pytest.raises(SprayoutError, match="no card as it was kept"):
        cards.find("K7F3Q2")


def test_a_card_of_another_library_is_told(tmp_path):
    with pytest.raises(SprayoutError, match="was not printed at this library"):
        Cards(tmp_path).find("ABCDEF")


def test_more_pieces_than_cells_are_refused():
    pieces = [Piece(panel=ID, step=f"s{n}") for n in range(46)]
    with pytest.raises(SprayoutError, match="room for 1 to 45"):
        laid_out("K7F3Q2", pieces)
