"""Gives tests a bench: a folder for shops and a clock that only goes when asked."""

from tests.library.shops import bench

__all__ = ["bench"]
