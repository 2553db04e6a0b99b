"""Two states of a document: edit, join, what changed, what it means, and whether it was sprayed."""

from sprayout_core.compare.changing import Difference, apply, changes, changes_between
from sprayout_core.compare.copied import renamed
from sprayout_core.compare.editing import (
    Add,
    CannotEdit,
    Change,
    Put,
    TakeAway,
    TakeOut,
    edit,
    settle,
    withdraw,
)
from sprayout_core.compare.growing import has_grown
from sprayout_core.compare.joining import (
    RULES,
    CopiedLibrary,
    DifferentDocuments,
    fold_message,
    join,
    join_trees,
)
from sprayout_core.compare.lineage import Descent, FilledStatus, aligned, descent, fillings, tell_descent
from sprayout_core.compare.patching import patch
from sprayout_core.compare.questions import late_edits, questions_of
from sprayout_core.compare.state import ABSENT
from sprayout_core.compare.status import Sprayed, Status, recipe_status, status
from sprayout_core.compare.telling import Line, Naming, tell, tell_differences, tell_found, written_ratio

__all__ = [
    "ABSENT", "RULES", "Add", "CannotEdit", "Change", "CopiedLibrary", "Descent", "Difference",
    "DifferentDocuments", "FilledStatus", "Line", "Naming", "Put", "Sprayed", "Status", "TakeAway", "TakeOut",
    "aligned", "apply", "changes", "changes_between", "descent", "edit", "fillings", "fold_message", "has_grown",
    "join", "join_trees", "late_edits", "patch", "questions_of", "recipe_status", "renamed", "settle", "status",
    "tell", "tell_descent", "tell_differences", "tell_found", "withdraw", "written_ratio",
]  # fmt: skip
