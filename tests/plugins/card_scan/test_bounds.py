"""A picture that wants too much is refused, quickly and without taking it."""

import struct
import subprocess
import sys
import time
import zlib
from pathlib import Path

import numpy as np
import pytest
import pyvips

from sprayout_core.card import CardRefused, Refusal
from sprayout_plugins.card_scan import Bounds, decoding, identify, measure

SOON = 60.0  # seconds, on a machine that has much else to do; without the bound it were minutes, or never


def _chunk(kind, body):
    return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))


def _bomb(width, height):
    """A PNG of a few kilobytes that says it holds width x height pixels, all of them there."""
    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    packer = zlib.compressobj(9)
    rows = b"".join(packer.compress(bytes(1 + 3 * width)) for _ in range(min(height, 400)))
    return b"\x89PNG\r\n\x1a\n" + _chunk(b"IHDR", head) + _chunk(b"IDAT", rows + packer.flush()) + _chunk(b"IEND", b"")


def _reason(picture, **bounds):
    with pytest.raises(CardRefused) as told:
        identify(picture, Bounds(**bounds))
    return told.value.reason


def test_a_decoding_bomb_is_refused_by_its_size_alone():
    bomb = _bomb(60_000, 60_000)
    before = time.perf_counter()
    assert _reason(bomb) is Refusal.TOO_LARGE
    assert time.perf_counter() - before < SOON


def test_too_large_a_file_is_not_even_handed_over():
    assert _reason(b"\xff\xd8\xff" + bytes(1000), file=500) is Refusal.TOO_LARGE


def test_too_many_pixels(good):
    assert _reason(good[0], pixels=100_000) is Refusal.TOO_LARGE


def test_a_decoder_that_hangs_is_ended(monkeypatch, tmp_path, good):
    child = tmp_path / "child.py"
    child.write_text("import sys\nsys.stdin.buffer.read(40)\nwhile True: pass\n")
    monkeypatch.setattr(decoding, "__file__", str(tmp_path / "decoding.py"))
    before = time.perf_counter()
    assert _reason(good[0], seconds=1) is Refusal.NOT_DECODED
    assert time.perf_counter() - before < SOON


@pytest.mark.parametrize(
    "says", [b"", b"no json\n", b"[]\n", b'{"width": 5}\n', b'{"refused": "NO SUCH", "detail": ""}\n', b"\xff\x00" * 99]
)
def test_a_decoder_that_talks_nonsense_is_a_refusal(says, monkeypatch, tmp_path, good):
    (tmp_path / "child.py").write_text(f"import sys\nsys.stdin.buffer.read(40)\nsys.stdout.buffer.write({says!r})\n")
    monkeypatch.setattr(decoding, "__file__", str(tmp_path / "decoding.py"))
    assert _reason(good[0]) is Refusal.NOT_DECODED


@pytest.mark.skipif(sys.platform == "win32", reason="address space can be bounded on POSIX only")
def test_memory_is_bounded(good):
    assert _reason(good[0], memory=64 << 20) in {Refusal.NOT_DECODED, Refusal.DAMAGED}


def test_no_process_is_left_behind(good, pieces_frame):
    decoded = decoding.Decoding(good[0])
    with decoded:
        assert decoded.header.width  # left in the middle
    assert decoded._process.poll() is not None


def test_the_child_needs_nothing_of_the_program():
    """Run by its file, without the packages beside it: an import of ours would fail."""
    child = Path(decoding.__file__).with_name("child.py")
    asked = struct.pack("<QQQQQ", 1, 2 << 30, 5, 3, decoding.WHOLE) + b"abc"
    words = [sys.executable, *decoding._ISOLATED, str(child), *decoding._PACKAGES]
    done = subprocess.run(words, input=asked, capture_output=True, check=True)
    assert b"NOT_A_PICTURE" in done.stdout
    assert b"sprayout" not in child.read_bytes()


def test_marks_alone_are_the_marks(good, rendering):
    """From half the size where that is enough, from the whole where it is not; and no pixels."""
    with decoding.Decoding(good[0]) as whole, decoding.Decoding(good[0], looking=decoding.MARKS) as marks:
        assert {code.text for code in marks.header.codes} == {code.text for code in whole.header.codes}
        with pytest.raises(CardRefused):
            marks.pixels(np.zeros(1, np.int32), np.zeros(1, np.int32))


@pytest.mark.parametrize("form", [{"kind": "tiff", "bits": 16}, {"kind": "png"}, {"kind": "jpeg", "profile": "p3"}])
def test_pixels_are_those_of_the_picture(form, rendering):
    """By their places in any order, some twice, against the whole picture decoded by the library directly."""
    light = np.random.default_rng(1).random((150, 210, 3)).astype(np.float32)
    picture = rendering.written(light, rendering.Scene(**form))
    rng = np.random.default_rng(2)
    columns, rows = rng.integers(0, 210, 700).astype(np.int32), rng.integers(0, 150, 700).astype(np.int32)
    columns[:4], rows[:4] = (0, 209, 0, 209), (0, 0, 149, 149)
    whole = pyvips.Image.new_from_buffer(picture, "")
    stored = whole.numpy()[rows, columns]
    with decoding.Decoding(picture) as asked:
        wanted = decoding.WITH_LIGHT if form.get("profile") else decoding.STORED
        for _ in range(2):
            assert (asked.pixels(columns, rows, wanted) == stored).all()
            if wanted:
                light = whole.icc_import(embedded=True, pcs="xyz").numpy()[rows, columns] / 100.0
                assert asked.xyz() == pytest.approx(light, rel=1e-6)


@pytest.mark.parametrize(
    ("form", "options"),
    [
        ("png", {"interlace": True}),
        ("jpeg", {"interlace": True}),
        ("tiff", {"tile": True, "pyramid": True}),
        ("tiff", {"bigtiff": True, "compression": "deflate", "predictor": "horizontal"}),
    ],
)
def test_pictures_that_are_not_stored_from_top_to_bottom(form, options):
    light = np.random.default_rng(3).integers(0, 65536, (300, 210, 4)).astype(np.uint16)
    light[..., 3] = 65535  # nothing shines through
    image = pyvips.Image.new_from_array(light).copy(interpretation="rgb16")
    if form == "jpeg":
        image = (image[:3] >> 8).cast("uchar").copy(interpretation="srgb")
    picture = getattr(image, f"{form}save_buffer")(**options)
    rows, columns = (each.ravel().astype(np.int32) for each in np.mgrid[:300, :210])
    with decoding.Decoding(picture) as asked:
        seen = asked.pixels(columns, rows).reshape(300, 210, 3)
    assert (seen == pyvips.Image.new_from_buffer(picture, "").numpy()[..., :3]).all()


def test_a_picture_that_tells_where_it_was_taken_is_noticed(good, pieces_frame):
    assert not measure(good[0], pieces_frame, good[1]).located
    image = pyvips.Image.new_from_buffer(good[0], "").copy()
    image.set_type(pyvips.GValue.gstr_type, "exif-ifd3-GPSLatitude", "1/1 2/1 3/1")
    assert measure(image.jpegsave_buffer(Q=95, keep="all"), pieces_frame, good[1]).located
