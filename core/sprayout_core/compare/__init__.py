"""Two states of a document: edit, join, what changed, what it means, and whether it was sprayed."""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
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
    from sprayout_core.compare.proven import Sprayed, Status, recipe_status, status
    from sprayout_core.compare.questions import late_edits, questions_of
    from sprayout_core.compare.state import ABSENT
    from sprayout_core.compare.telling import Line, Naming, tell, tell_differences, tell_found, written_ratio

__all__ = [
    "ABSENT", "RULES", "Add", "CannotEdit", "Change", "CopiedLibrary", "Descent", "Difference", "DifferentDocuments",
    "FilledStatus", "Line", "Naming", "Put", "Sprayed", "Status", "TakeAway", "TakeOut", "aligned", "apply",
    "changes", "changes_between", "descent", "edit", "fillings", "fold_message", "has_grown", "join", "join_trees",
    "late_edits", "patch", "questions_of", "recipe_status", "renamed", "settle", "status", "tell", "tell_descent",
    "tell_differences", "tell_found", "withdraw", "written_ratio",
]  # fmt: skip

#: Which module holds each name: one is loaded when it is first asked for, so that commands start fast.
_HELD_BY = {
    "changing": ("Difference", "apply", "changes", "changes_between"),
    "copied": ("renamed",),
    "editing": ("Add", "CannotEdit", "Change", "Put", "TakeAway", "TakeOut", "edit", "settle", "withdraw"),
    "growing": ("has_grown",),
    "joining": ("RULES", "CopiedLibrary", "DifferentDocuments", "fold_message", "join", "join_trees"),
    "lineage": ("Descent", "FilledStatus", "aligned", "descent", "fillings", "tell_descent"),
    "patching": ("patch",),
    "proven": ("Sprayed", "Status", "recipe_status", "status"),
    "questions": ("late_edits", "questions_of"),
    "state": ("ABSENT",),
    "telling": ("Line", "Naming", "tell", "tell_differences", "tell_found", "written_ratio"),
}  # fmt: skip
_MODULE = {name: module for module, names in _HELD_BY.items() for name in names}


def __getattr__(name: str) -> Any:
    """Load the module that holds a public name."""
    if name not in _MODULE:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f"{__name__}.{_MODULE[name]}"), name)
