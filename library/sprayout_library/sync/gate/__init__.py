"""The gate looks at everything that arrives before anything else reads it, and refuses by name."""

from sprayout_library.sync.gate.gate import Verdict, judged
from sprayout_library.sync.gate.limits import LIMITS, Limits

__all__ = ["LIMITS", "Limits", "Verdict", "judged"]
