"""What can go wrong with keys and signatures."""

from __future__ import annotations

from sprayout_core.errors import SprayoutError

__all__ = ["TrustError"]


class TrustError(SprayoutError):
    """A key or a signature that cannot be used."""
