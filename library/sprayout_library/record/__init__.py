"""Recording: what people do with documents, from one line or a few words to a saved version."""

from sprayout_library.record.evidence import Evidence, evidence_for, ground_colours
from sprayout_library.record.formulas import Unknown, mix_from_line, ready_changes, unknown_names
from sprayout_library.record.measured import Colour, NoColour, colours_of
from sprayout_library.record.names import Ambiguous, Entry, Names, NotKnown
from sprayout_library.record.panels import panel_facts
from sprayout_library.record.readings import Intake, TakenIn, reading_facts
from sprayout_library.record.recipes import coat_from_words, recipe_facts
from sprayout_library.record.writer import Writer, now_text

__all__ = [
    "Ambiguous", "Colour", "Entry", "Evidence", "Intake", "Names", "NoColour", "NotKnown", "TakenIn", "Unknown",
    "Writer", "coat_from_words", "colours_of", "evidence_for", "ground_colours", "mix_from_line", "now_text",
    "panel_facts", "reading_facts", "ready_changes", "recipe_facts", "unknown_names",
]  # fmt: skip
