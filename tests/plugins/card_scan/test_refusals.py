"""What is wrong with a picture is told by its own reason, and with what to do."""

from dataclasses import replace

import numpy as np
import pytest
import pyvips

from sprayout_core.card import CardRefused, Refusal, samples_frame, step_frame
from sprayout_plugins.card_scan import Bounds, identify, measure


def _refused(picture, frame, reference, **bounds):
    with pytest.raises(CardRefused) as told:
        measure(picture, frame, reference, Bounds(**bounds))
    assert told.value.fault.problem
    assert told.value.fault.remedy.endswith(".")
    return told.value.reason


@pytest.fixture(scope="module")
def scene(rendering):
    return rendering.Scene(dpi=100, rotate=1.0, margin=6, blur=0.5)


@pytest.fixture(scope="module")
def laid(lay, target, pieces_frame):
    return lay(pieces_frame, {"target": target, "pieces": target[:9]})


@pytest.fixture(scope="module")
def sound(rendering, laid, scene, pieces_frame):
    """The scene as linear light; each test spoils it in its own way."""
    return rendering.seen(pieces_frame, laid[0], scene)


@pytest.fixture(scope="module")
def told(rendering, laid, scene, pieces_frame):
    def refused(light, **changed):
        return _refused(rendering.written(light, replace(scene, **changed)), pieces_frame, laid[1])

    return refused


def test_the_unspoiled_picture_is_measured(rendering, laid, scene, sound, pieces_frame):
    assert measure(rendering.written(sound, scene), pieces_frame, laid[1]).model.left_out.mean() < 5


def test_clipped_paper(sound, told):
    assert told(sound * 1.6) is Refusal.CLIPPED


def test_clipped_references(rendering, laid, scene, sound, pieces_frame):
    """Glossy references that mirror the lamp: too few are left, and the refusal says why."""
    spoiled = sound.copy()
    for cell in list(pieces_frame.window("target").cells().values())[:14]:
        place = rendering.place(pieces_frame, scene, cell.corners)
        (left, top), (right, bottom) = place.min(axis=0).astype(int), place.max(axis=0).astype(int)
        spoiled[top:bottom, left:right] = 2.0
    with pytest.raises(CardRefused) as told:
        measure(rendering.written(spoiled, scene), pieces_frame, laid[1])
    assert told.value.reason is Refusal.TOO_FEW_REFERENCES
    assert "top of the scale" in str(told.value)
    assert "Expose less" in told.value.fault.remedy


@pytest.mark.parametrize("sigma", [1.6, 4.0])
def test_blurred(sigma, sound, told):
    from scipy.ndimage import gaussian_filter

    assert told(gaussian_filter(sound, (sigma, sigma, 0))) is Refusal.BLURRED


def test_a_hard_shadow_is_beyond_repair(sound, told):
    shadow = np.where(np.arange(sound.shape[1]) < sound.shape[1] * 0.45, 0.55, 1.0)[:, np.newaxis]
    assert told(sound * shadow) is Refusal.UNEVEN


def test_light_from_one_side_only(sound, told):
    falling = np.linspace(1.0, 0.12, sound.shape[1])[:, np.newaxis]
    assert told(sound * falling, bits=16, kind="tiff") is Refusal.UNEVEN


def test_too_small(sound, told):
    assert told(sound[::2, ::2]) is Refusal.TOO_SMALL


@pytest.mark.parametrize("corner", ["TL", "TR", "BR", "BL"])
def test_a_mark_that_is_covered_is_named(corner, rendering, laid, scene, sound, pieces_frame):
    mark = pieces_frame.marks()[corner]
    place = rendering.place(pieces_frame, scene, mark.corners)
    (left, top), (right, bottom) = place.min(axis=0).astype(int), place.max(axis=0).astype(int)
    covered = sound.copy()
    covered[top:bottom, left : (left + right) // 2] = 0.4
    with pytest.raises(CardRefused) as told:
        measure(rendering.written(covered, scene), pieces_frame, laid[1])
    named = {"TL": "top left", "TR": "top right", "BR": "bottom right", "BL": "bottom left"}
    assert told.value.reason is Refusal.MARK_MISSING
    assert f"corner mark {named[corner]} is not in the picture" in str(told.value)


def test_a_sheet_cut_off_by_the_picture(sound, told):
    assert told(sound[: int(sound.shape[0] * 0.8)]) is Refusal.MARK_MISSING


def test_mirrored(sound, told):
    assert told(sound[:, ::-1]) is Refusal.MIRRORED


def test_a_bent_lens(rendering, laid, scene, pieces_frame):
    bent = replace(scene, barrel=0.25, margin=20)
    assert _refused(rendering.render(pieces_frame, laid[0], bent), pieces_frame, laid[1]) is Refusal.BENT


def test_another_card(rendering, laid, scene, sound):
    picture = rendering.written(sound, scene)
    other = samples_frame("OTHER1")
    assert _refused(picture, other, laid[1]) is Refusal.OTHER_CARD


def test_the_same_identity_with_another_layout(rendering, laid, scene, sound):
    picture = rendering.written(sound, scene)
    other = samples_frame("M2X9AB", rows=4, columns=9)
    assert _refused(picture, other, laid[1]) is Refusal.OTHER_CARD
    steps = step_frame("M2X9AB")
    assert _refused(picture, steps, laid[1]) is Refusal.OTHER_CARD


def test_too_few_references(rendering, laid, scene, sound, pieces_frame):
    few = dict(list(laid[1].colours.items())[:11])
    picture = rendering.written(sound, scene)
    assert _refused(picture, pieces_frame, replace(laid[1], colours=few)) is Refusal.TOO_FEW_REFERENCES


def test_a_target_laid_the_wrong_way_round(rendering, laid, scene, sound, pieces_frame):
    places, colours = zip(*laid[1].colours.items(), strict=True)
    turned = replace(laid[1], colours=dict(zip(places, colours[::-1], strict=True)))
    picture = rendering.written(sound, scene)
    assert _refused(picture, pieces_frame, turned) is Refusal.REFERENCE_MISMATCH


def test_a_single_wrong_value_is_named(rendering, laid, scene, sound, pieces_frame):
    colours = dict(laid[1].colours) | {"target/B3": (30.0, 50.0, -60.0)}
    result = measure(rendering.written(sound, scene), pieces_frame, replace(laid[1], colours=colours))
    (told,) = [note for note in result.notes if "check value and place" in note]
    assert "target/B3" in told
    assert told.count("target/") == 1


def test_no_card_at_all():
    noise = np.random.default_rng(1).integers(0, 255, (900, 900, 3)).astype("uint8")
    picture = pyvips.Image.new_from_array(noise).copy(interpretation="srgb").pngsave_buffer()
    with pytest.raises(CardRefused) as told:
        identify(picture)
    assert told.value.reason is Refusal.MARK_MISSING


@pytest.mark.parametrize(
    ("content", "reason"),
    [
        (b"", Refusal.NOT_A_PICTURE),
        (b"L*;a*;b*\n50;1;2\n", Refusal.NOT_A_PICTURE),
        (b"GIF89a" + bytes(100), Refusal.NOT_A_PICTURE),
        (b"<svg xmlns='http://www.w3.org/2000/svg'/>", Refusal.NOT_A_PICTURE),
        (b"\x89PNG\r\n\x1a\n" + bytes(50), Refusal.DAMAGED),
        (b"\xff\xd8\xff\xe0" + bytes(50), Refusal.DAMAGED),
        (b"II*\x00" + bytes(50), Refusal.DAMAGED),
    ],
)
def test_what_is_no_picture(content, reason, pieces_frame, laid):
    assert _refused(content, pieces_frame, laid[1]) is reason


def test_a_file_cut_short(rendering, laid, scene, sound, pieces_frame):
    for kind in ("png", "jpeg", "tiff"):
        whole = rendering.written(sound, replace(scene, kind=kind))
        assert _refused(whole[: len(whole) * 2 // 3], pieces_frame, laid[1]) is Refusal.DAMAGED


def _with_profile(jpeg, profile):
    body = b"ICC_PROFILE\x00\x01\x01" + profile
    return jpeg[:2] + b"\xff\xe2" + (len(body) + 2).to_bytes(2, "big") + body + jpeg[2:]


@pytest.mark.parametrize("kind", ["garbage", "cut short", "for ink"])
def test_a_profile_that_cannot_be_used_is_not_replaced_in_silence(kind, rendering, laid, scene, sound, pieces_frame):
    """The imaging library takes sRGB instead, without a word; for ink: its class and colour space changed."""
    whole = rendering.PROFILES["srgb"]
    profile = {
        "garbage": b"x" * 500,
        "cut short": whole[:200],
        "for ink": whole[:12] + b"prtrCMYK" + whole[20:],
    }[kind]
    jpeg = rendering.written(sound, replace(scene, kind="jpeg"))
    assert measure(_with_profile(jpeg, whole), pieces_frame, laid[1]).profile == "sRGB"
    assert _refused(_with_profile(jpeg, profile), pieces_frame, laid[1]) is Refusal.DAMAGED


@pytest.mark.parametrize("form", ["grey", "cmyk", "float", "see-through"])
def test_what_is_not_three_channels_of_light(form, pieces_frame, laid):
    image = pyvips.Image.black(900, 900, bands=3) + 200
    made = {
        "grey": lambda: image.cast("uchar")[0].copy(interpretation="b-w").pngsave_buffer(),
        "cmyk": lambda: image.bandjoin(40).cast("uchar").copy(interpretation="cmyk").tiffsave_buffer(),
        "float": lambda: image.cast("float").copy(interpretation="rgb").tiffsave_buffer(),
        "see-through": lambda: image.bandjoin(40).cast("uchar").copy(interpretation="srgb").pngsave_buffer(),
    }[form]()
    assert _refused(made, pieces_frame, laid[1]) is Refusal.NOT_COLOUR
