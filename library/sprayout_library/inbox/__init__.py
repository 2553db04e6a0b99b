"""The inbox: files that bring readings, taken in when they are finished, each reading once."""

from sprayout_library.inbox.taking import (
    NotReadable,
    Previews,
    options_from_words,
    preview_of,
    source_of,
    take_in,
)

__all__ = ["NotReadable", "Previews", "options_from_words", "preview_of", "source_of", "take_in"]
