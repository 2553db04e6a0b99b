"""Recording: what people do with documents, from one line or a few words to a saved version."""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from sprayout_library.record.about import evidence_about, evidence_of_panels, gathered_evidence
    from sprayout_library.record.answers import Answered, Question, answer_named, open_answers
    from sprayout_library.record.batches import (
        Really,
        batch_facts,
        check_against,
        next_label,
        rescue_plan,
        rescued_facts,
        stretch_plan,
        take_out,
        taken_text,
    )
    from sprayout_library.record.between import (
        Between,
        compare_panels,
        difference_formula,
        manifest_of,
        place_words,
        views_of,
    )
    from sprayout_library.record.by_hand import EditedFileError, files_in, hand_edits
    from sprayout_library.record.cups import Shelf, catalysed, pinned_find, shares_of
    from sprayout_library.record.difference import Difference, default_difference
    from sprayout_library.record.earlier import changes_back
    from sprayout_library.record.evidence import Evidence, evidence_for, ground_colours, judged_panels
    from sprayout_library.record.formulas import (
        Unknown,
        mix_changes,
        mix_from_line,
        ready_changes,
        ready_facts,
        unknown_names,
    )
    from sprayout_library.record.gaps import Gap, gaps_of
    from sprayout_library.record.house import Filled, filled_facts, filled_mix, fillings_of, slots_from_words
    from sprayout_library.record.lineage import Parent, derived, facts_of, parent_of, tell_between
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
    from sprayout_library.record.names import Ambiguous, Entry, Names, NotKnown
    from sprayout_library.record.panels import panel_facts, pinned
    from sprayout_library.record.pieces import piece_from_words, piece_name, tied_from_words
    from sprayout_library.record.readings import Intake, TakenIn, reading_facts, spot_of
    from sprayout_library.record.recipes import coat_from_words, recipe_facts, thing
    from sprayout_library.record.seen import Agreed, People, agreed, standing, told_judgement, told_picture
    from sprayout_library.record.shared_panels import SharedPanels, agreements
    from sprayout_library.record.shops import shop_changes
    from sprayout_library.record.sides import Side, colour_between, sides_of
    from sprayout_library.record.versions import ToldVersion, at_version, told_versions, version_of
    from sprayout_library.record.writer import Writer, now_text, tool_name

__all__ = [
    "Agreed",
    "Ambiguous",
    "Answered",
    "Between",
    "Colour",
    "Difference",
    "EditedFileError",
    "Entry",
    "Evidence",
    "Filled",
    "Gap",
    "Intake",
    "Names",
    "NoColour",
    "NotKnown",
    "Parent",
    "People",
    "Question",
    "Really",
    "SharedPanels",
    "Shelf",
    "Side",
    "Spot",
    "TakenIn",
    "ToldVersion",
    "Unknown",
    "Writer",
    "agreed",
    "agreements",
    "answer_named",
    "at_version",
    "batch_facts",
    "catalysed",
    "changes_back",
    "check_against",
    "coat_from_words",
    "colour_between",
    "colours_of",
    "compare_panels",
    "default_difference",
    "default_view",
    "derived",
    "difference_formula",
    "evidence_about",
    "evidence_for",
    "evidence_of_panels",
    "facts_of",
    "files_in",
    "filled_facts",
    "filled_mix",
    "fillings_of",
    "gaps_of",
    "gathered_evidence",
    "ground_colours",
    "hand_edits",
    "judged_panels",
    "manifest_of",
    "mix_changes",
    "mix_from_line",
    "next_label",
    "now_text",
    "open_answers",
    "panel_facts",
    "parent_of",
    "piece_from_words",
    "piece_name",
    "pinned",
    "pinned_find",
    "place_words",
    "reading_facts",
    "ready_changes",
    "ready_facts",
    "recipe_facts",
    "repeats_of",
    "rescue_plan",
    "rescued_facts",
    "shares_of",
    "shop_changes",
    "sides_of",
    "slots_from_words",
    "spectra_of",
    "spot_of",
    "spots",
    "standing",
    "stretch_plan",
    "take_out",
    "taken_text",
    "tell_between",
    "thing",
    "tied_from_words",
    "told_judgement",
    "told_picture",
    "told_versions",
    "tool_name",
    "unknown_names",
    "version_of",
    "views_of",
]

#: Which module holds each name: one is loaded when it is first asked for, so that commands start fast.
_HELD_BY = {
    "about": (
        "evidence_about",
        "evidence_of_panels",
        "gathered_evidence",
    ),
    "answers": (
        "Answered",
        "Question",
        "answer_named",
        "open_answers",
    ),
    "batches": (
        "Really",
        "batch_facts",
        "check_against",
        "next_label",
        "rescue_plan",
        "rescued_facts",
        "stretch_plan",
        "take_out",
        "taken_text",
    ),
    "between": (
        "Between",
        "compare_panels",
        "difference_formula",
        "manifest_of",
        "place_words",
        "views_of",
    ),
    "by_hand": (
        "EditedFileError",
        "files_in",
        "hand_edits",
    ),
    "cups": (
        "Shelf",
        "catalysed",
        "pinned_find",
        "shares_of",
    ),
    "difference": (
        "Difference",
        "default_difference",
    ),
    "earlier": ("changes_back",),
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
    "gaps": (
        "Gap",
        "gaps_of",
    ),
    "house": (
        "Filled",
        "filled_facts",
        "filled_mix",
        "fillings_of",
        "slots_from_words",
    ),
    "lineage": (
        "Parent",
        "derived",
        "facts_of",
        "parent_of",
        "tell_between",
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
    ),
    "panels": (
        "panel_facts",
        "pinned",
    ),
    "pieces": (
        "piece_from_words",
        "piece_name",
        "tied_from_words",
    ),
    "readings": (
        "Intake",
        "TakenIn",
        "reading_facts",
        "spot_of",
    ),
    "recipes": (
        "coat_from_words",
        "recipe_facts",
        "thing",
    ),
    "seen": (
        "Agreed",
        "People",
        "agreed",
        "standing",
        "told_judgement",
        "told_picture",
    ),
    "shared_panels": (
        "SharedPanels",
        "agreements",
    ),
    "shops": ("shop_changes",),
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
