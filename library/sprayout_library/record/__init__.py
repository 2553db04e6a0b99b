"""Recording: what people do with documents, from one line or a few words to a saved version."""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from sprayout_library.record.answers import Answered, Question, answer_named, open_answers
    from sprayout_library.record.between import (
        Between,
        compare_panels,
        difference_formula,
        manifest_of,
        place_words,
        views_of,
    )
    from sprayout_library.record.called import names_in
    from sprayout_library.record.evidence import Evidence, evidence_for, ground_colours, judged_panels
    from sprayout_library.record.formulas import (
        Unknown,
        mix_changes,
        mix_from_line,
        ready_changes,
        ready_facts,
        unknown_names,
    )
    from sprayout_library.record.measured import (
        Colour,
        NoColour,
        Spot,
        colours_of,
        default_view,
        repeats_of,
        spectra_of,
        spots,
    )
    from sprayout_library.record.names import Ambiguous, Entry, Names, NotKnown, kind_said
    from sprayout_library.record.panels import panel_facts, pinned
    from sprayout_library.record.readings import Intake, TakenIn, Unplaced, reading_facts, reading_facts_of, spot_of
    from sprayout_library.record.recipes import coat_from_words, recipe_facts, thing
    from sprayout_library.record.sides import Side, colour_between, sides_of
    from sprayout_library.record.versions import ToldVersion, at_version, told_versions, version_of
    from sprayout_library.record.writer import Writer, now_text, tool_name

__all__ = [
    "Ambiguous",
    "Answered",
    "Between",
    "Colour",
    "Entry",
    "Evidence",
    "Intake",
    "Names",
    "NoColour",
    "NotKnown",
    "Question",
    "Side",
    "Spot",
    "TakenIn",
    "ToldVersion",
    "Unknown",
    "Unplaced",
    "Writer",
    "answer_named",
    "at_version",
    "coat_from_words",
    "colour_between",
    "colours_of",
    "compare_panels",
    "default_view",
    "difference_formula",
    "evidence_for",
    "ground_colours",
    "judged_panels",
    "kind_said",
    "manifest_of",
    "mix_changes",
    "mix_from_line",
    "names_in",
    "now_text",
    "open_answers",
    "panel_facts",
    "pinned",
    "place_words",
    "reading_facts",
    "reading_facts_of",
    "ready_changes",
    "ready_facts",
    "recipe_facts",
    "repeats_of",
    "sides_of",
    "spectra_of",
    "spot_of",
    "spots",
    "thing",
    "told_versions",
    "tool_name",
    "unknown_names",
    "version_of",
    "views_of",
]

#: Which module holds each name: one is loaded when it is first asked for, so that commands start fast.
_HELD_BY = {
    "answers": (
        "Answered",
        "Question",
        "answer_named",
        "open_answers",
    ),
    "between": (
        "Between",
        "compare_panels",
        "difference_formula",
        "manifest_of",
        "place_words",
        "views_of",
    ),
    "called": ("names_in",),
    "evidence": (
        "Evidence",
        "evidence_for",
        "ground_colours",
        "judged_panels",
    ),
    "formulas": (
        "Unknown",
        "mix_changes",
        "mix_from_line",
        "ready_changes",
        "ready_facts",
        "unknown_names",
    ),
    "measured": (
        "Colour",
        "NoColour",
        "Spot",
        "colours_of",
        "default_view",
        "repeats_of",
        "spectra_of",
        "spots",
    ),
    "names": (
        "Ambiguous",
        "Entry",
        "Names",
        "NotKnown",
        "kind_said",
    ),
    "panels": (
        "panel_facts",
        "pinned",
    ),
    "readings": (
        "Intake",
        "TakenIn",
        "Unplaced",
        "reading_facts",
        "reading_facts_of",
        "spot_of",
    ),
    "recipes": (
        "coat_from_words",
        "recipe_facts",
        "thing",
    ),
    "sides": (
        "Side",
        "colour_between",
        "sides_of",
    ),
    "versions": (
        "ToldVersion",
        "at_version",
        "told_versions",
        "version_of",
    ),
    "writer": (
        "Writer",
        "now_text",
        "tool_name",
    ),
}
_MODULE = {name: module for module, names in _HELD_BY.items() for name in names}


def __getattr__(name: str) -> Any:
    """Load the module that holds a public name."""
    if name not in _MODULE:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f"{__name__}.{_MODULE[name]}"), name)
