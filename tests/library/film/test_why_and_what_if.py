"""Reports on the demo's library: why another shop's panel differs, what a blend will show."""

import json

import pytest


def test_another_shops_heavier_hand_looks_like_film(fen):
    """MY-1 was laid 9 % heavier; nothing else differs."""
    status, out, err = fen("reproduce", "MY-1", "--against", "KF-1")
    assert (status, err) == (0, "")
    assert "Looks like" in out and "less film first" in out and "nothing is proved" in out
    told = json.loads(fen("reproduce", "MY-1", "--against", "KF-1", "--json")[1])
    assert told["causes"][0]["name"] == "film"
    assert told["causes"][0]["difference"] > 0.5 * told["difference"]
    assert told["unexplained"] < 0.2
    assert any("own ground" in note for note in told["notes"])


def test_a_stronger_mix_looks_like_strength_and_its_version_is_told(fen):
    told = json.loads(fen("reproduce", "KF-4", "--against", "KF-1", "--json")[1])
    assert told["causes"][0]["name"] == "strength of strong teal"
    assert "stronger" in told["causes"][0]["words"]
    assert any("another version" in note for note in told["notes"])


def test_a_blend_is_looked_at_over_each_ground_and_never_promised(fen):
    status, out, err = fen("repair", "Kelp fade")
    assert (status, err) == (0, "")
    assert out.count("at half build") == 3
    assert "never a promise" in out
    assert "isocyanate" in out.lower() and "data sheet" in out
    told = json.loads(fen("repair", "Kelp fade", "--over", "bronze", "--json")[1])
    (blend,) = told["blends"]
    assert blend["overlap"] < blend["fresh"] and blend["overlap"] < blend["double"]
    assert "(lighter)" in blend["words"] and "(darker)" in blend["words"]


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("reproduce", "AF-1"), "no standard over bright aluminium"),
        (("reproduce", "KF-1", "--against", "KF-1"), "is the standard itself"),
        (("reproduce", "KF-2", "--against", "KF-1"), "different grounds"),
        (("reproduce", "MY-1", "--against", "KF-1", "--geometry", "d:8"), "no spectra of one stage"),
        (("repair", "nobody's mix"), "is called"),
        (("repair", "Kelp glass bodied", "--over", "bronze"), "--coats"),
        (("repair", "Kelp fade", "--over", "two-pack gloss"), "no reading"),
        (("repair", "Kelp fade", "--geometry", "15"), "geometry"),
    ],
    ids=lambda value: " ".join(value) if isinstance(value, tuple) else "",
)
def test_refused_in_words(fen, words, told):
    status, _, err = fen(*words)
    assert status == 1, err
    assert told in err.lower()
