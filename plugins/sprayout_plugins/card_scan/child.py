"""The other end of decoding: a process that decodes one picture, finds its marks and hands over pixels.

Nothing of the program is imported here but this module and its two libraries, so that it starts fast. What it
reads and writes is told in `decoding`.
"""

from __future__ import annotations

import base64
import json
import struct
import sys
from typing import Any, BinaryIO

__all__ = ["main"]

_LONGEST_FOR_MARKS = 2600
_LOADERS = (
    # what JPEG only warns of is spoiled data; TIFF and PNG warn of harmless tags, and PNG has checksums
    (b"\xff\xd8\xff", "jpegload_buffer", "warning"),
    (b"\x89PNG\r\n\x1a\n", "pngload_buffer", "error"),
    (b"II*\x00", "tiffload_buffer", "error"),
    (b"MM\x00*", "tiffload_buffer", "error"),
    (b"II+\x00", "tiffload_buffer", "error"),
    (b"MM\x00+", "tiffload_buffer", "error"),
)
_COLOUR = ("srgb", "rgb", "rgb16")
_BITS = {"uchar": 8, "ushort": 16}
_ROWS = 128
_MARKS = 1


class _RefusedError(Exception):
    """A picture that is not taken: a reason's name, and a detail."""


def main() -> None:
    """Serve one picture, then end."""
    heard, said = sys.stdin.buffer, sys.stdout.buffer
    sys.path += sys.argv[1:]
    import pyvips  # type: ignore[import-untyped]  # noqa: F401 - loaded while the picture is on its way; ships no types
    import zxingcpp  # noqa: F401

    most_pixels, memory, seconds, length, looking = struct.unpack("<QQQQQ", _exactly(heard, 40))
    _bound(memory, seconds)
    picture = _exactly(heard, length)
    try:
        if looking == _MARKS:
            _say(said, _marks(picture, most_pixels))
            return
        image = _opened(picture, most_pixels)
        _say(said, _header(image))
        _send_pixels(said, image)
        _profile_requests(heard, said, image)
    except _RefusedError as refused:
        _say(said, {"refused": refused.args[0], "detail": refused.args[1]})


def _opened(picture: bytes, most_pixels: int, shrink: int = 1) -> Any:
    import pyvips

    pyvips.cache_set_max(0)
    if hasattr(pyvips, "block_untrusted_set"):
        pyvips.block_untrusted_set(True)  # noqa: FBT003 - the library's own signature
    loader, strict = next((names for magic, *names in _LOADERS if picture.startswith(magic)), ("", ""))
    if not loader:
        raise _RefusedError("NOT_A_PICTURE", "it begins neither as PNG, JPEG nor TIFF")
    smaller = {"shrink": shrink} if shrink > 1 and loader == "jpegload_buffer" else {}
    try:
        image = getattr(pyvips.Image, loader)(picture, fail_on=strict)
        if image.width * image.height > most_pixels:
            raise _RefusedError("TOO_LARGE", f"{image.width} x {image.height} pixels")
        _check_colour(image)
        if smaller and max(image.width, image.height) > _LONGEST_FOR_MARKS:
            image = getattr(pyvips.Image, loader)(picture, fail_on=strict, **smaller)
        image = image.copy_memory()
        if image.bands == 4:
            if image[3].min() < (255 if image.format == "uchar" else 65535):
                raise _RefusedError("NOT_COLOUR", "it has see-through parts")
            image = image.extract_band(0, n=3).copy_memory()
    except pyvips.Error as damaged:
        raise _RefusedError("DAMAGED", str(damaged).strip().replace("\n", "; ")[:200]) from damaged
    return image


def _marks(picture: bytes, most_pixels: int) -> dict[str, Any]:
    """Return the header of a picture of which only the marks are wanted; a JPEG is first decoded at half its size."""
    found = _header(_opened(picture, most_pixels, 2))
    return found if _enough(found["codes"]) else _header(_opened(picture, most_pixels))


def _check_colour(image: Any) -> None:
    if image.format not in _BITS:
        raise _RefusedError("NOT_COLOUR", f"its samples are {image.format}")
    if image.interpretation not in _COLOUR or image.bands not in (3, 4):
        raise _RefusedError("NOT_COLOUR", f"it is {image.interpretation} of {image.bands} channels")


def _header(image: Any) -> dict[str, Any]:
    kept = set(image.get_fields())
    profile = image.get("icc-profile-data") if "icc-profile-data" in kept else b""
    codes, sharpness = _codes(image)
    return {
        "width": image.width,
        "height": image.height,
        "bits": _BITS[image.format],
        "profile": base64.b64encode(profile).decode(),
        "resolution": image.xres if "resolution-unit" in kept or image.xres != 1.0 else 0.0,
        "codes": codes,
        "sharpness": sharpness,
        "located": any(name.startswith("exif-ifd3-") for name in kept) or _names_a_place(image, kept),
    }


def _names_a_place(image: Any, kept: set[str]) -> bool:
    return "xmp-data" in kept and b"GPS" in image.get("xmp-data")


def _codes(image: Any) -> tuple[list[dict[str, Any]], float]:
    green = image.extract_band(1)
    if image.format == "ushort":
        green = (green >> 8).cast("uchar")
    factor = max(1, -(-max(image.width, image.height) // _LONGEST_FOR_MARKS))
    small = (green.shrink(factor, factor).cast("uchar") if factor > 1 else green).copy_memory()
    found = _read(small, factor)
    if _enough(found):
        return found, 1.0
    if factor > 1:
        found += _read(green.copy_memory(), 1)
    soft = small.cast("float").gaussblur(2.0, precision="approximate")
    spread = small.deviate()
    return found, (small - soft).deviate() / spread if spread > 0.5 else 0.0


def _enough(found: list[dict[str, Any]]) -> bool:
    return len({code["text"] for code in found if code["valid"]}) >= 5


def _read(image: Any, factor: int) -> list[dict[str, Any]]:
    import zxingcpp

    seen = memoryview(image.write_to_memory()).cast("B", shape=[image.height, image.width])
    formats = zxingcpp.barcode_formats_from_str("QRCode")
    found = zxingcpp.read_barcodes(seen, formats=formats, try_invert=False, return_errors=True)
    told = []
    for code in found[:64]:
        place = code.position
        corners = [place.top_left, place.top_right, place.bottom_right, place.bottom_left]
        told.append(
            {
                "text": code.text[:64] if code.valid else "",
                "valid": code.valid,
                # a whole pixel's middle, in pixels of the picture
                "corners": [[(point.x + 0.5) * factor, (point.y + 0.5) * factor] for point in corners],
            }
        )
    return told


def _send_pixels(said: BinaryIO, image: Any) -> None:
    import pyvips

    region = pyvips.Region.new(image)
    for top in range(0, image.height, _ROWS):
        said.write(region.fetch(0, top, image.width, min(_ROWS, image.height - top)))
    said.flush()


def _profile_requests(heard: BinaryIO, said: BinaryIO, image: Any) -> None:
    """Turn stored colours into XYZ through the embedded profile, as often as asked."""
    import pyvips

    checked = False
    while asked := heard.read(8):
        (count,) = struct.unpack("<Q", asked)
        size = 3 * (1 if image.format == "uchar" else 2)
        stored = _exactly(heard, count * size)
        try:
            if not checked:
                _check_profile(image)
                checked = True
            seen = _xyz(image, stored, "srgb")
        except pyvips.Error as unusable:
            detail = str(unusable).strip().replace("\n", "; ")[:200]
            raise _RefusedError("DAMAGED", f"its colour profile cannot be used: {detail}") from unusable
        _say(said, {"bytes": len(seen)})
        said.write(seen)
        said.flush()


def _check_profile(image: Any) -> None:
    """Refuse a profile that cannot be used: the library would take another in its place without a word.

    Whether it did shows when the replacement changes and the colours change with it.
    """
    vivid = (b"\xff\x10\x10" if image.format == "uchar" else b"\xff\xff\x10\x10\x10\x10") * 2
    if _xyz(image, vivid, "srgb") != _xyz(image, vivid, "p3"):
        raise _RefusedError("DAMAGED", "its colour profile is broken or not for RGB; save it with another or with none")


def _xyz(image: Any, stored: bytes, otherwise: str) -> bytes:
    import pyvips

    size = 3 * (1 if image.format == "uchar" else 2)
    line = pyvips.Image.new_from_memory(stored, len(stored) // size, 1, 3, image.format)
    line = line.copy(interpretation="srgb" if image.format == "uchar" else "rgb16")
    line.set_type(pyvips.GValue.blob_type, "icc-profile-data", image.get("icc-profile-data"))
    seen = line.icc_import(embedded=True, input_profile=otherwise, pcs="xyz").cast("float")
    return bytes(seen.write_to_memory())


def _exactly(heard: BinaryIO, length: int) -> bytes:
    taken = heard.read(length)
    if len(taken) != length:
        raise SystemExit(2)
    return taken


def _say(said: BinaryIO, told: dict[str, Any]) -> None:
    said.write(json.dumps(told).encode() + b"\n")
    said.flush()


def _bound(memory: int, seconds: int) -> None:
    # Guarded spot: the system call exists on POSIX only. Elsewhere the parent's clock and the limit on pixels
    # hold alone.
    try:
        import resource
    except ImportError:
        return
    resource.setrlimit(resource.RLIMIT_AS, (memory, memory))
    resource.setrlimit(resource.RLIMIT_CPU, (seconds, seconds))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))


if __name__ == "__main__":
    main()
