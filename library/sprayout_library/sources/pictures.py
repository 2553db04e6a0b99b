"""A picture made ready to be kept: upright, without position or any other data about it, with a thumbnail."""

from __future__ import annotations

import struct
import subprocess
import sys
from dataclasses import dataclass

from sprayout_library.sources.keeping import LARGEST_SOURCE, SourceError

__all__ = ["LARGEST_THUMBNAIL", "MOST_PIXELS", "Prepared", "prepared"]

#: Pixels of a picture; more are refused before they are decoded.
MOST_PIXELS = 120_000_000
#: Bytes of a thumbnail, below 200 kB.
LARGEST_THUMBNAIL = 190_000

_PATIENCE = 120
_MEDIA = (
    (b"\xff\xd8\xff", "image/jpeg"),
    (b"\x89PNG\r\n\x1a\n", "image/png"),
    (b"II*\x00", "image/tiff"),
    (b"MM\x00*", "image/tiff"),
)


@dataclass(frozen=True, slots=True)
class Prepared:
    """A picture to be kept: its image without data about it, its media type, its thumbnail (JPEG)."""

    image: bytes
    media: str
    thumbnail: bytes
    width: int
    height: int


def prepared(content: bytes) -> Prepared:
    """Return a picture turned upright, with nothing left in it but pixels and their colour profile.

    Decoded in a process of its own with bounds on time and memory: what a file holds is nobody's to trust.
    The image is written anew (JPEG at quality 95, PNG and TIFF without loss), so that no position, no second
    image and no remark of a camera stays behind.
    Raises SourceError for what is no JPEG, PNG or TIFF, is damaged, or is too large.
    """
    media = next((name for mark, name in _MEDIA if content.startswith(mark)), None)
    if media is None:
        raise SourceError("it is no JPEG, PNG or TIFF", "Save it as one of these.")
    if len(content) > LARGEST_SOURCE:
        raise SourceError(f"it holds {len(content) // 1_000_000} MB", f"At most {LARGEST_SOURCE // 1_000_000}.")
    words = [sys.executable, "-I", "-m", "sprayout_library.sources.decoding", media]
    try:
        done = subprocess.run(words, input=content, capture_output=True, timeout=_PATIENCE, check=False)
    except subprocess.TimeoutExpired:
        raise SourceError("it took too long to decode", "Make it smaller.") from None
    if done.returncode == 3:
        raise SourceError(done.stderr.decode("utf-8", "replace").strip()[:200], "Make it smaller.")
    if done.returncode or len(done.stdout) < 16:
        raise SourceError("it is damaged, or no picture that can be decoded", "Save it anew as JPEG or PNG.")
    width, height, first, second = struct.unpack(">IIII", done.stdout[:16])
    body = done.stdout[16:]
    if len(body) != first + second or second > LARGEST_THUMBNAIL or not first:
        raise SourceError("it could not be made ready", "Save it anew as JPEG or PNG.")
    return Prepared(body[:first], media, body[first:], width, height)
