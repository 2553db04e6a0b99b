import re

from sprayout_core.mix.cautions import Caution
from sprayout_core.sheet import DEFER, cautions_for, short_caution


def every_word_of_ours():
    ours = cautions_for({"everything": [kind.value for kind in Caution]})
    return " ".join([DEFER, short_caution(ours), *(text for block in ours for text in block.sentences)])


def test_carried_cautions_come_with_their_carriers():
    found = cautions_for({"Glass coat hardener": ["isocyanate", "solvent"], "Slow thinner": ["solvent"]})
    assert [(caution.about, caution.carried_by) for caution in found] == [
        ("Two-pack, isocyanate", ("Glass coat hardener",)),
        ("Solvent", ("Glass coat hardener", "Slow thinner")),
        ("Spraying", ()),
    ]


def test_every_word_a_record_may_carry_has_its_block():
    for kind in Caution:
        (block, *_) = [b for b in cautions_for({"x": [kind.value]}) if b.carried_by]
        assert block.about
        assert block.short
        assert block.sentences


def test_spraying_is_always_among_them():
    assert [caution.about for caution in cautions_for({})] == ["Spraying"]


def test_own_words_are_kept_unchanged_under_the_material():
    own = "Attacks <rubber> seals."
    found = cautions_for({"Etch primer": [own, "  "]})
    assert (found[-1].about, found[-1].sentences) == ("Etch primer", (own,))
    assert own in short_caution(found)


def test_own_words_derive_nothing():
    assert [caution.about for caution in cautions_for({"Clear": ["GHS08 H334"]})] == ["Spraying", "Clear"]


def test_nothing_of_ours_says_that_something_is_safe():
    praise = r"\bsafe(ly)?\b|(?<!not )harmless|no risk|without danger"
    assert not re.search(praise, every_word_of_ours(), re.IGNORECASE)


def test_ours_defers():
    for word in ("safety data sheet", "local codes", "licensed practice"):
        assert word in DEFER
    assert short_caution(cautions_for({})).endswith(
        "Read the safety data sheet; local codes and licensed practice apply."
    )
