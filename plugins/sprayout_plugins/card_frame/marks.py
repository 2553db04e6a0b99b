"""The frame's marks as squares: QR symbols (ISO/IEC 18004) of a size that never changes with the identity."""

from __future__ import annotations

from functools import lru_cache

__all__ = ["mark_modules"]


@lru_cache(maxsize=64)
def mark_modules(text: str) -> tuple[bytes, ...]:
    """Return a mark's rows from the top, one byte a module, 1 for dark, without the quiet zone.

    A corner mark is version 1 (21 modules), the identity mark version 3 (29), both with error correction Q or
    M, whichever fits.
    """
    import segno

    version, error = (1, "q") if text.startswith("SO1:") else (3, "m")
    symbol = segno.make_qr(text, version=version, error=error, boost_error=False)
    return tuple(bytes(row) for row in symbol.matrix)
