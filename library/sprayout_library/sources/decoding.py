"""The process that decodes one picture: bytes in, an upright picture without data about it and a thumbnail out."""

from __future__ import annotations

import struct
import sys
from typing import Any

from sprayout_library.sources.pictures import LARGEST_THUMBNAIL, MOST_PIXELS

__all__ = ["main"]

_LOADERS = {"image/jpeg": "jpegload_buffer", "image/png": "pngload_buffer", "image/tiff": "tiffload_buffer"}
_ADDRESS_SPACE = 3 << 30
_SIDE = 720


def _bounded() -> None:
    """Bound memory and time where the system can (Windows cannot)."""
    try:
        import resource
    except ImportError:
        return
    resource.setrlimit(resource.RLIMIT_AS, (_ADDRESS_SPACE, _ADDRESS_SPACE))
    resource.setrlimit(resource.RLIMIT_CPU, (100, 100))


def main(media: str) -> int:
    """Decode stdin as `media` and write sizes, picture and thumbnail to stdout; 3 where it is too large."""
    import pyvips  # type: ignore[import-untyped]  # it ships no types

    _bounded()
    pyvips.cache_set_max(0)
    content = sys.stdin.buffer.read()
    try:
        image = getattr(pyvips.Image, _LOADERS[media])(content, fail_on="error")
        if image.width * image.height > MOST_PIXELS:
            sys.stderr.write(f"{image.width} by {image.height} pixels are too many")
            return 3
        # In memory before it is turned: a sequential source cannot be read sideways.
        upright = image.copy_memory().autorot()
        whole = _written(upright, media)
        small = _thumbnail(upright)
    except pyvips.Error:
        return 1
    if small is None:
        sys.stderr.write("no thumbnail of it is small enough")
        return 3
    sys.stdout.buffer.write(struct.pack(">IIII", upright.width, upright.height, len(whole), len(small)))
    sys.stdout.buffer.write(whole + small)
    return 0


def _written(image: Any, media: str) -> bytes:
    if media == "image/jpeg":
        return bytes(image.jpegsave_buffer(Q=95, keep="icc"))
    if media == "image/png":
        return bytes(image.pngsave_buffer(compression=6, keep="icc"))
    return bytes(image.tiffsave_buffer(compression="deflate", keep="icc"))


def _thumbnail(image: Any) -> bytes | None:
    """Return a small JPEG below the largest size, or None: smaller and coarser until it fits."""
    for side, quality in ((_SIDE, 82), (_SIDE, 65), (480, 60), (320, 50)):
        small = image.thumbnail_image(side, height=side, size="down", export_profile="srgb")
        if small.hasalpha():
            small = small.flatten(background=[255])
        found = bytes(small.jpegsave_buffer(Q=quality, keep="none"))
        if len(found) <= LARGEST_THUMBNAIL:
            return found
    return None


if __name__ == "__main__":
    sys.exit(main(sys.argv[1]))
