"""Today: what is on the bench of a shop."""

from sprayout_library.today.bench import Bench, bench

__all__ = ["Bench", "bench"]
