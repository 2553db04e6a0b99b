import re

from sprayout_core.sheet import DEFER, USUAL, cautions_for, short_caution


def every_word_of_ours():
    ours = cautions_for({"hardener": ["two_pack"], "thinner": ["solvent"]})
    return " ".join([DEFER, short_caution(ours), *(text for texts in USUAL.values() for text in texts)])


def test_carried_cautions_come_with_their_carriers():
    found = cautions_for({"Glass coat hardener": ["two_pack", "solvent"], "Slow thinner": ["solvent"]})
    assert [(caution.about, caution.carried_by) for caution in found] == [
        ("Two-pack", ("Glass coat hardener",)),
        ("Solvent", ("Glass coat hardener", "Slow thinner")),
        ("Spraying", ()),
    ]


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
    praise = r"\bsafe(ly)?\b|harmless|no risk|without danger"
    assert not re.search(praise, every_word_of_ours(), re.IGNORECASE)


def test_ours_defers():
    for word in ("safety data sheet", "local codes", "licensed practice"):
        assert word in DEFER
    assert short_caution(cautions_for({})).endswith("Read the safety data sheet; follow local codes.")
