"""Pictures are written anew: upright, nothing in them but pixels and profile, a thumbnail below 200 kB."""

import pytest
import pyvips

from sprayout_library.sources import SourceError, prepared
from sprayout_library.sources.pictures import LARGEST_THUMBNAIL

PLACE = "54/1 3/1 2/1 (54, 3, 2, Rational, 3 components, 24 bytes)"
SAVE = {"image/jpeg": "jpegsave_buffer", "image/png": "pngsave_buffer", "image/tiff": "tiffsave_buffer"}


def plain(width, height):
    across, down = pyvips.Image.xyz(width, height).bandsplit()
    return across.bandjoin([down, across + down]).cast("uchar").copy(interpretation="srgb")


def with_place(image):
    image = image.copy()
    image.set_type(pyvips.GValue.gstr_type, "exif-ifd3-GPSLatitude", PLACE)
    image.set_type(pyvips.GValue.gstr_type, "exif-ifd0-Make", "Camera (Camera, ASCII, 7 components, 7 bytes)")
    return image


def fields(content):
    image = pyvips.Image.new_from_buffer(content, "")
    return [name for name in image.get_fields() if name.startswith(("exif", "xmp", "iptc"))]


@pytest.mark.parametrize("media", SAVE)
def test_position_and_camera_are_taken_out(media):
    content = getattr(with_place(plain(120, 80)), SAVE[media])()
    assert any("GPS" in name for name in fields(content)) or media == "image/tiff"
    made = prepared(content)
    assert made.media == media
    for image in (made.image, made.thumbnail):
        assert fields(image) == []
        assert b"GPS" not in image
        assert b"Camera" not in image


def test_what_hangs_behind_the_picture_is_not_kept():
    content = plain(60, 40).jpegsave_buffer() + b"\xff\xd8\xff\xe1 a second picture with a place in it"
    assert b"second picture" not in prepared(content).image


def test_it_stands_upright():
    image = plain(120, 80)
    image.set_type(pyvips.GValue.gint_type, "orientation", 6)
    made = prepared(image.jpegsave_buffer())
    assert (made.width, made.height) == (80, 120)


def test_png_keeps_every_pixel():
    image = plain(64, 48)
    made = prepared(image.pngsave_buffer())
    assert (pyvips.Image.new_from_buffer(made.image, "") - image).abs().max() == 0


def test_the_thumbnail_of_noise_is_small_enough():
    noise = pyvips.Image.gaussnoise(1200, 900, sigma=90, mean=128).cast("uchar").copy(interpretation="b-w")
    made = prepared(noise.pngsave_buffer())
    assert len(made.thumbnail) <= LARGEST_THUMBNAIL < 200_000


@pytest.mark.parametrize(
    ("content", "told"),
    [
        (b"", "no JPEG, PNG or TIFF"),
        (b"GIF89a" + bytes(50), "no JPEG, PNG or TIFF"),
        (b"<svg xmlns='http://www.w3.org/2000/svg'/>", "no JPEG, PNG or TIFF"),
        (b"%PDF-1.4", "no JPEG, PNG or TIFF"),
        (b"\xff\xd8\xff\xe0" + bytes(300), "damaged"),
        (b"\x89PNG\r\n\x1a\n" + bytes(300), "damaged"),
        (b"II*\x00" + b"\xff" * 300, "damaged"),
    ],
)
def test_what_is_no_picture_is_refused(content, told):
    with pytest.raises(SourceError, match=told):
        prepared(content)


def test_a_picture_cut_off_is_refused():
    content = plain(400, 300).jpegsave_buffer()
    with pytest.raises(SourceError, match="damaged"):
        prepared(content[: len(content) // 2])


def test_too_many_pixels_are_refused_before_they_are_decoded():
    black = pyvips.Image.black(20_000, 20_000)
    with pytest.raises(SourceError, match="20000 by 20000 pixels"):
        prepared(black.pngsave_buffer(compression=1))
