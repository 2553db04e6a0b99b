"""What a model found wrong, told as faults with place, problem and remedy."""

from __future__ import annotations

from collections.abc import Iterator

from pydantic import ValidationError
from pydantic_core import ErrorDetails

from sprayout_core.errors import Fault

__all__ = ["faults_of"]

_REMEDIES = {
    "missing": "Add it.",
    "string_type": "Write it as text, in quotes.",
    "string_too_long": "Make it shorter; longer words go into a note.",
    "string_pattern_mismatch": "See docs/format.md for how it is spelled.",
    "literal_error": "Use one of the words named.",
    "int_type": "Write a whole number.",
    "int_from_float": "Write a whole number.",
    "dict_type": "Write members in braces.",
    "model_type": "Write members in braces.",
    "list_type": "Write a list in brackets.",
    "finite_number": "Leave the value out.",
}


def faults_of(error: ValidationError) -> Iterator[Fault]:
    """Yield the faults that a model found, each with its place, problem and remedy."""
    for details in error.errors(include_url=False, include_input=True):
        yield _fault(details)


def _fault(details: ErrorDetails) -> Fault:
    place = "/".join(str(part) for part in details["loc"] if part not in {"[key]", "int", "float"})
    context = details.get("ctx", {})
    if details["type"] == "sprayout":
        inner = context["place"]
        place = "/".join(part for part in (place, inner) if part)
        return Fault(place, context["problem"], context["remedy"])
    problem = details["msg"][0].lower() + details["msg"][1:]
    given = details.get("input")
    if isinstance(given, str | int | float) and details["type"] != "missing":
        problem = f"{str(given)[:60]!r}: {problem}" if isinstance(given, str) else f"{given}: {problem}"
    return Fault(place, problem.rstrip("."), _REMEDIES.get(details["type"], "See docs/format.md."))
