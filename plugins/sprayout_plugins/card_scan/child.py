"""The other end of decoding: a process that decodes one picture, finds its marks and hands over the pixels asked for.

Nothing of the program is imported here but this module and its two libraries, so that it starts fast. What it
reads and writes is told in `decoding`.
"""

from __future__ import annotations

import base64
import json
import struct
import sys
import threading
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
_MARKS = 1
_WITH_LIGHT = 1


class _RefusedError(Exception):
    """A picture that is not taken: a reason's name, and a detail."""


def main() -> None:
    """Serve one picture, then end."""
    heard, said = sys.stdin.buffer, sys.stdout.buffer
    sys.path += sys.argv[1:]
    import pyvips  # type: ignore[import-untyped]  # noqa: F401 - loaded while the picture is on its way; ships no types

    most_pixels, memory, seconds, length, looking = struct.unpack("<QQQQQ", _exactly(heard, 40))
    _bound(memory, seconds)
    picture = _exactly(heard, length)
    try:
        if looking == _MARKS:
            _say(said, _marks(picture, most_pixels))
            return
        opened = _opened(picture, most_pixels)
        trial = _ProfileTrial(_profile(opened), opened.format)
        trial.start()
        image = _decoded(opened)
        trial.join()
        _say(said, _header(image))
        _serve(heard, said, image, trial)
    except _RefusedError as refused:
        _say(said, {"refused": refused.args[0], "detail": refused.args[1]})


def _opened(picture: bytes, most_pixels: int, shrink: int = 1) -> Any:
    """Return a picture of which only the header has been read: its pixels come once, from top to bottom."""
    import pyvips

    pyvips.cache_set_max(0)
    if hasattr(pyvips, "block_untrusted_set"):
        pyvips.block_untrusted_set(True)  # noqa: FBT003 - the library's own signature
    loader, strict = next((names for magic, *names in _LOADERS if picture.startswith(magic)), ("", ""))
    if not loader:
        raise _RefusedError("NOT_A_PICTURE", "it begins neither as PNG, JPEG nor TIFF")
    how = {"fail_on": strict, "access": "sequential"}
    try:
        image = getattr(pyvips.Image, loader)(picture, **how)
        if image.width * image.height > most_pixels:
            raise _RefusedError("TOO_LARGE", f"{image.width} x {image.height} pixels")
        _check_colour(image)
        if shrink > 1 and loader == "jpegload_buffer" and max(image.width, image.height) > _LONGEST_FOR_MARKS:
            image = getattr(pyvips.Image, loader)(picture, **how, shrink=shrink)
    except pyvips.Error as damaged:
        raise _damaged(damaged) from damaged
    return image


def _decoded(image: Any) -> Any:
    """Return an opened picture in memory, in three channels."""
    import pyvips

    try:
        image = image.copy_memory()
        if image.bands == 4:
            if image[3].min() < (255 if image.format == "uchar" else 65535):
                raise _RefusedError("NOT_COLOUR", "it has see-through parts")
            image = image.extract_band(0, n=3).copy_memory()
    except pyvips.Error as damaged:
        raise _damaged(damaged) from damaged
    return image


def _damaged(error: Exception, what: str = "") -> _RefusedError:
    return _RefusedError("DAMAGED", what + str(error).strip().replace("\n", "; ")[:200])


def _marks(picture: bytes, most_pixels: int) -> dict[str, Any]:
    """Return the header of a picture of which only the marks are wanted; a JPEG is first decoded at half its size."""
    found = _header(_decoded(_opened(picture, most_pixels, 2)))
    return found if _enough(found["codes"]) else _header(_decoded(_opened(picture, most_pixels)))


def _check_colour(image: Any) -> None:
    if image.format not in _BITS:
        raise _RefusedError("NOT_COLOUR", f"its samples are {image.format}")
    if image.interpretation not in _COLOUR or image.bands not in (3, 4):
        raise _RefusedError("NOT_COLOUR", f"it is {image.interpretation} of {image.bands} channels")


def _header(image: Any) -> dict[str, Any]:
    kept = set(image.get_fields())
    codes, sharpness = _codes(image)
    return {
        "width": image.width,
        "height": image.height,
        "bits": _BITS[image.format],
        "profile": base64.b64encode(_profile(image)).decode(),
        "resolution": image.xres if "resolution-unit" in kept or image.xres != 1.0 else 0.0,
        "codes": codes,
        "sharpness": sharpness,
        "located": any(name.startswith("exif-ifd3-") for name in kept) or _names_a_place(image, kept),
    }


def _profile(image: Any) -> bytes:
    return bytes(image.get("icc-profile-data")) if "icc-profile-data" in image.get_fields() else b""


def _names_a_place(image: Any, kept: set[str]) -> bool:
    return "xmp-data" in kept and b"GPS" in image.get("xmp-data")


def _codes(image: Any) -> tuple[list[dict[str, Any]], float]:
    green = image.extract_band(1)
    if image.format == "ushort":
        green = (green >> 8).cast("uchar")
    factor = max(1, -(-max(image.width, image.height) // _LONGEST_FOR_MARKS))
    small = green.shrink(factor, factor).cast("uchar") if factor > 1 else green
    found = _read(small, factor)
    if _enough(found):
        return found, 1.0
    if factor > 1:
        found += _read(green, 1)
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


def _serve(heard: BinaryIO, said: BinaryIO, image: Any, trial: _ProfileTrial) -> None:
    """Hand over pixels by their places, and where wanted their XYZ through the profile too, as often as asked."""
    while asked := heard.read(24):
        columns, rows, wanted = struct.unpack("<QQQ", asked)
        seen = _at(image, _exactly(heard, columns * rows * 8), columns, rows)
        _send(said, seen)
        if wanted == _WITH_LIGHT:
            if trial.misfit:
                raise _RefusedError("DAMAGED", trial.misfit)
            _send(said, _xyz(seen, image.format, columns, _profile(image), "srgb"))


def _send(said: BinaryIO, content: bytes) -> None:
    _say(said, {"bytes": len(content)})
    said.write(content)
    said.flush()


def _at(image: Any, places: bytes, columns: int, rows: int) -> bytes:
    """Return the pixels at places: x and y of each as 32-bit whole numbers, as a picture of columns x rows."""
    import pyvips

    asked = pyvips.Image.new_from_memory(places, columns, rows, 2, "int")
    return bytes(image.mapim(asked, interpolate=pyvips.Interpolate.new("nearest")).write_to_memory())


class _ProfileTrial(threading.Thread):
    """Tells a profile that cannot be used, while the picture is being decoded.

    The library would take another in its place without a word. Whether it did shows when the replacement changes
    and the colours change with it.

    misfit  why the profile cannot be used, '' where it can
    """

    def __init__(self, profile: bytes, stored: str) -> None:
        super().__init__()
        self._profile, self._stored = profile, stored
        self.misfit = "its colour profile could not be tried"

    def run(self) -> None:
        """Try it, and load what reads marks."""
        import zxingcpp  # noqa: F401 - so that it is there when it is needed

        vivid = (b"\xff\x10\x10" if self._stored == "uchar" else b"\xff\xff\x10\x10\x10\x10") * 2
        try:
            seen = [_xyz(vivid, self._stored, 2, self._profile, other) for other in ("srgb", "p3") if self._profile]
        except _RefusedError as unusable:
            self.misfit = unusable.args[1]
            return
        alike = len(set(seen)) <= 1
        self.misfit = "" if alike else "its colour profile is broken or not for RGB; save it with another or with none"


def _xyz(pixels: bytes, stored: str, columns: int, profile: bytes, otherwise: str) -> bytes:
    """Return stored colours as XYZ, 32-bit floats, Y = 100 for white, through a profile."""
    import pyvips

    try:
        line = pyvips.Image.new_from_memory(pixels, columns, len(pixels) // columns // _size(stored), 3, stored)
        line = line.copy(interpretation="srgb" if stored == "uchar" else "rgb16")
        line.set_type(pyvips.GValue.blob_type, "icc-profile-data", profile)
        seen = line.icc_import(embedded=True, input_profile=otherwise, pcs="xyz").cast("float")
        return bytes(seen.write_to_memory())
    except pyvips.Error as unusable:
        raise _damaged(unusable, "its colour profile cannot be used: ") from unusable


def _size(stored: str) -> int:
    """Return the bytes of a pixel."""
    return 3 if stored == "uchar" else 6


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
