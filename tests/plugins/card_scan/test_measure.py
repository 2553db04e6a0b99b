import hashlib
import json
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
import pyvips

from sprayout_core.card import GRADE, Rect, Refusal, compare_with_steps, result_tree
from sprayout_core.difference import ciede2000
from sprayout_core.errors import FaultsError
from sprayout_plugins.card_scan import identify, measure
from sprayout_plugins.card_scan.decoding import Decoding


@pytest.fixture(scope="module")
def result(good, pieces_frame):
    return measure(good[0], pieces_frame, good[1])


def test_colours_are_near_the_truth_and_inside_their_intervals(result, good, rendering):
    patches = [patch for patch in result.patches if patch.window == "pieces"][:44]
    measured = np.array([patch.lab for patch in patches])
    error = ciede2000(rendering.truth(good[2]), measured)
    inside = error <= [patch.interval for patch in patches]
    assert error.mean() < 4.0
    assert inside.mean() > 0.88  # one card of 44; the rate over 1,000 patches is in test_accuracy


def test_an_empty_cell_gives_no_colour(result):
    empty = result.patch("pieces", "E9")
    assert empty.lab is None
    assert "nothing lies here" in str(empty.refusal)
    assert all(result.patch("own chips", f"chip {n}").lab is None for n in range(1, 9))


def test_what_is_told_beside_the_colours(result, good):
    assert result.grade == GRADE == "image-derived"
    assert result.picture == hashlib.sha256(good[0]).hexdigest()
    assert result.profile == "sRGB"
    assert len(result.profile_digest) == 64
    assert result.bits == 8
    assert 0.0 < result.uneven < 0.02
    assert any("image-derived" in note for note in result.notes)
    assert any("E9" in note for note in result.notes)


def test_the_stated_uncertainty_is_that_of_left_out_patches(result):
    known = [patch for patch in result.patches if patch.known is not None]
    errors = np.array([patch.left_out for patch in known])
    assert len(known) == 24
    assert errors == pytest.approx(result.model.left_out)
    # a patch that was left out is further off than one that was fitted
    fitted = ciede2000([patch.known for patch in known], [patch.lab for patch in known])
    assert errors.mean() > fitted.mean()


def test_a_richer_model_that_does_worse_on_left_out_patches_is_refused(result):
    taken = [trial for trial in result.model.trials if trial.verdict == "taken"]
    assert [trial.model for trial in taken] == [result.model.model]
    worse = [trial for trial in result.model.trials if trial.terms > taken[0].terms]
    assert worse
    assert all(trial.left_out_mean > 0.9 * taken[0].left_out_mean for trial in worse)
    # and at least one of them looked better on the patches it was fitted to
    assert any(trial.fit_mean < taken[0].fit_mean for trial in worse)


def test_the_overlay_shows_the_straightened_sheet(result, pieces_frame):
    shown = pyvips.Image.new_from_buffer(result.overlay, "").numpy()
    assert shown.shape == (round(pieces_frame.height * 3), round(pieces_frame.width * 3), 3)
    blue = (shown == (0, 90, 220)).all(axis=-1)
    area = result.patch("target", "A1").area
    assert blue[round(area.y * 3), round((area.x + area.width / 2) * 3)]
    red = (shown == (220, 0, 40)).all(axis=-1)
    area = result.patch("pieces", "E9").area
    assert red[round((area.y + 0.1) * 3), round((area.x + area.width / 2) * 3)]


def test_the_overlay_is_drawn_when_it_is_asked_for_and_once(good, pieces_frame, monkeypatch):
    from sprayout_plugins.card_scan import overlay

    asked = []
    monkeypatch.setattr(overlay, "Decoding", lambda *how: asked.append(how) or Decoding(*how))
    result = measure(good[0], pieces_frame, good[1])
    assert not asked
    assert result.overlay is result.overlay
    assert len(asked) == 1


def test_the_result_can_be_told_as_json(result):
    told = json.loads(json.dumps(result_tree(result), allow_nan=False))
    assert told["grade"] == "image-derived"
    assert told["view"].startswith("D65")
    assert len(told["patches"]) == len(result.patches) == 77
    first, last = told["patches"][0], told["patches"][-1]
    assert first["lab"] == list(result.patches[0].lab)
    assert "lab" not in last
    assert "nothing lies here" in last["refused"]["problem"]


def test_the_card_in_a_picture_is_told_before_its_frame_is_known(good):
    assert identify(good[0]) == "M2X9AB"


@pytest.mark.long
def test_every_file_form_gives_the_same_colours(rendering, lay, target, pieces_frame):
    pieces, reference = lay(pieces_frame, {"target": target, "pieces": rendering.SAMPLES[5:50:5]})
    forms = {
        ("tiff", 16, ""): "none: sRGB curve, assumed",
        ("png", 8, "p3"): "sP3C",  # what the library calls its compact Display P3
        ("jpeg", 8, ""): "none: sRGB curve, assumed",
    }
    # 200 degrees: the card lies upside down on the glass
    scene = rendering.Scene(dpi=105, rotate=200.0, margin=45, blur=0.5)
    picture = rendering.seen(pieces_frame, pieces, scene)
    found = []
    for (kind, bits, profile), told in forms.items():
        stored = rendering.written(picture, replace(scene, kind=kind, bits=bits, profile=profile))
        result = measure(stored, pieces_frame, reference)
        assert (result.bits, result.profile) == (bits, told)
        found.append([patch.lab for patch in result.patches if patch.window == "pieces"][:9])
    for other in found[1:]:
        assert ciede2000(found[0], other).max() < 1.5


def test_a_linear_file_without_profile_is_seen_to_be_linear(rendering, lay, target, pieces_frame):
    pieces, reference = lay(pieces_frame, {"target": target, "pieces": target[:9]})
    scene = rendering.Scene(dpi=105, kind="tiff", bits=16, curve="linear")
    result = measure(rendering.render(pieces_frame, pieces, scene), pieces_frame, reference)
    assert result.profile == "none: linear, assumed"
    assert result.model.left_out.mean() < 4.0


@pytest.fixture(scope="module")
def stepped(rendering, lay, target, steps_frame):
    """A card with a step card whose masks were laid by hand, a piece of 2.5 coats, and a thin coat on both."""
    dye = 0.35 * np.exp(-(((rendering.WAVELENGTHS - 560.0) / 60.0) ** 2))
    coat = lambda n: 0.03 + 0.97 * 0.8 * np.exp(-1.3 * dye * n)  # noqa: E731
    pieces, reference = lay(steps_frame, {"target": target})
    window = steps_frame.window("step card").rect
    edges = [0.0, 0.15, 0.335, 0.49, 0.68, 0.82, 1.0]
    for (left, right), coats in zip(pairwise(edges), (0, 1, 2, 3, 4, 6), strict=True):
        area = Rect(window.x + left * window.width, window.y, (right - left) * window.width, window.height)
        pieces.append((area, coat(coats)))
    pieces.append((steps_frame.window("piece").rect, coat(2.5)))
    thin = {"over black": 0.2 + 0.1 * dye, "over white": 0.6 - 0.2 * dye}
    pieces += [(cell, thin[label]) for label, cell in steps_frame.window("black and white").cells().items()]
    scene = rendering.Scene(dpi=130, vignette=0.1, slope=(0.06, -0.05), light="LED-B3", profile="srgb", seed=4)
    picture = rendering.render(steps_frame, pieces, scene)
    return measure(picture, steps_frame, reference), edges, thin


def test_steps_are_found_one_by_one(stepped):
    result, edges, _ = stepped
    found = result.steps["step card"]
    assert found.edges == pytest.approx(edges, abs=0.008)
    assert not any(found.assumed)
    assert all(result.patch("step card", label).lab is not None for label in "012346")


def test_a_piece_and_its_step_card_in_one_frame(stepped):
    """The same light for both: log light against coats finds the piece's 2.5 coats without any correction."""
    compared = compare_with_steps(stepped[0])
    assert compared.coats == ("0", "1", "2", "3", "4", "6")
    assert compared.steps.shape == (6, 3)
    green = np.log(compared.steps[:, 1])
    assert (np.diff(green) < 0).all()
    coats = np.interp(-np.log(compared.piece[1]), -green, [0, 1, 2, 3, 4, 6])
    assert coats == pytest.approx(2.5, abs=0.1)
    assert (compared.piece_doubt < 0.05).all()


def test_hiding_from_black_and_white(stepped, rendering):
    result, _, thin = stepped
    luminance = ((np.array([rendering.truth(thin[k])[0] for k in thin]) + 16) / 116) ** 3
    hidden = result.hidings["black and white"]
    assert hidden.low <= luminance[0] / luminance[1] <= hidden.high
    assert hidden.ratio == pytest.approx(luminance[0] / luminance[1], abs=0.05)


def test_grey_strips_are_read_beside_every_step(stepped):
    result = stepped[0]
    greys = np.array([result.patch("step card", label).grey for label in "012346"])
    assert np.ptp(greys, axis=0).max() < 0.02  # evened out: one printed grey all along
    assert result.patch("target", "A1").grey is None


def test_flakes_are_told_as_glints_and_do_not_move_the_colour(rendering, lay, target, pieces_frame):
    """A picture with sparkling pixels painted into one piece, against the same picture without."""
    pieces, reference = lay(pieces_frame, {"target": target, "pieces": target[[10, 10]]})
    picture = rendering.render(pieces_frame, pieces, rendering.Scene(dpi=130, rotate=0.0, margin=6, blur=0.4))
    image = pyvips.Image.new_from_buffer(picture, "").numpy().copy()
    scale = 130 / 25.4
    cell = pieces_frame.window("pieces").cells()["A2"]
    rng = np.random.default_rng(5)
    ys = rng.integers(int((cell.y + 6) * scale), int((cell.y + 6 + cell.height) * scale), 800)
    xs = rng.integers(int((cell.x + 6) * scale), int((cell.x + 6 + cell.width) * scale), 800)
    image[ys, xs] = 235
    sparkling = pyvips.Image.new_from_array(image).copy(interpretation="srgb").pngsave_buffer()
    result = measure(sparkling, pieces_frame, reference)
    plain, flaked = result.patch("pieces", "A1"), result.patch("pieces", "A2")
    assert plain.glints < 0.005
    assert 0.03 < flaked.glints < 0.2
    assert ciede2000(plain.lab, flaked.lab) < 1.0


def test_a_reference_that_does_not_fit_the_frame_is_told(good, pieces_frame):
    wrong = replace(good[1], colours={"target/Z9": (50.0, 0.0, 0.0), "target/A1": (500.0, 0.0, 0.0)})
    with pytest.raises(FaultsError) as told:
        measure(good[0], pieces_frame, wrong)
    assert "Z9" in str(told.value)
    with pytest.raises(FaultsError, match="target/A1"):
        measure(good[0], pieces_frame, replace(good[1], colours={"target/A1": (float("nan"), 0.0, 0.0)}))


def test_reasons_have_their_own_words():
    assert len({reason.value for reason in Refusal}) == len(Refusal)
