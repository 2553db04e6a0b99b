"""A tiny picture for tests, written by hand."""

import struct
import zlib


def png(shade=90):
    """A picture of 4 by 3 pixels of one grey, written by hand (ISO/IEC 15948)."""
    rows = b"".join(b"\0" + bytes([shade]) * 4 for _ in range(3))
    chunks = (b"IHDR" + struct.pack(">IIBBBBB", 4, 3, 8, 0, 0, 0, 0), b"IDAT" + zlib.compress(rows), b"IEND")
    told = (struct.pack(">I", len(one) - 4) + one + struct.pack(">I", zlib.crc32(one)) for one in chunks)
    return b"\x89PNG\r\n\x1a\n" + b"".join(told)
