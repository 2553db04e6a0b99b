"""The made-up co-op: two shops, their materials, mixes, panels and exports; nothing in it is real."""

from sprayout_library.demo.exports import export_files
from sprayout_library.demo.story import BY, SHOPS, Step, story

__all__ = ["BY", "SHOPS", "Step", "export_files", "story"]
