"""Printing through the plugins of this process: sheets, cards and labels as bytes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from sprayout_core.errors import SprayoutError
from sprayout_core.sheet import BenchSheet, LabelText

__all__ = ["FORMS", "print_labels", "print_sheet"]

#: The forms of a sheet with the ending of their file.
FORMS: Mapping[str, str] = {"a4": "pdf", "letter": "pdf", "card": "html"}


def print_sheet(sheet: BenchSheet, form: str) -> bytes:
    """Return a sheet printed in a form. Raises SprayoutError where no plugin prints it, or what the plugin refused."""
    return _printed("print_sheet", sheet=sheet, form=form)


def print_labels(labels: Sequence[LabelText], grid: Mapping[str, str]) -> bytes:
    """Return labels printed on a grid; see the hook of that name. Raises as `print_sheet` does."""
    return _printed("print_labels", labels=labels, grid=grid)


def _printed(hook: str, **question: Any) -> bytes:
    from sprayout_plugins import guard, registry
    from sprayout_plugins.registry import Registry

    found = registry.find()
    here = Registry(found.manager, tuple(one for one in found.listed if not one.apart), found.left_out)
    failed = None
    for answer in guard.ask(here, hook, **question):
        if isinstance(answer.value, bytes):
            return answer.value
        failed = failed or answer.failure
    if failed is not None:
        raise failed
    raise SprayoutError(f"no plugin answers {hook}", "See `sprayout plugins`.")
