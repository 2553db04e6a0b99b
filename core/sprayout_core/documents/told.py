"""What a model found wrong, told as faults with place, problem and remedy."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping

from pydantic import ValidationError
from pydantic_core import ErrorDetails

from sprayout_core.documents.spelling import SPELLINGS
from sprayout_core.documents.values import Json
from sprayout_core.errors import Fault

__all__ = ["faults_of"]

#: Steps in a place that are the model's own and stand nowhere in the document.
_OWN = frozenset({"[key]", "int", "float"})
_TELLINGS: Mapping[str, Callable[[str, Mapping[str, Json]], tuple[str, str]]] = {
    "missing": lambda given, said: ("missing", "Add it."),
    "string_type": lambda given, said: (f"{given} is not text", "Write it as text, in quotes."),
    "string_too_long": lambda given, said: (
        f"longer than {said['max_length']} characters",
        "Make it shorter; longer words go into a note.",
    ),
    "string_pattern_mismatch": lambda given, said: (f"{given} is {_spelling(said)[0]}", _spelling(said)[1]),
    "literal_error": lambda given, said: (f"{given} is no word for this", f"Use {said['expected']}."),
    "int_type": lambda given, said: (f"{given} is not a whole number", "Write a whole number, without quotes."),
    "int_from_float": lambda given, said: (f"{given} is not a whole number", "Write a whole number."),
    "float_type": lambda given, said: (f"{given} is not a number", "Write a number, without quotes."),
    "finite_number": lambda given, said: (f"{given} is not a finite number", "Leave the value out."),
    "dict_type": lambda given, said: (f"{given} where members belong", "Write members in braces, each with its name."),
    "model_type": lambda given, said: (f"{given} where members belong", "Write members in braces, each with its name."),
    "list_type": lambda given, said: (f"{given} where a list belongs", "Write a list in brackets."),
    "too_short": lambda given, said: (f"fewer than {said['min_length']}", "Give more, or leave it out."),
    "too_long": lambda given, said: (f"more than {said['max_length']}", "Give fewer."),
    "greater_than": lambda given, said: (f"{given} is not above {said['gt']:g}", f"Give more than {said['gt']:g}."),
    "greater_than_equal": lambda given, said: (f"{given} is below {said['ge']:g}", f"Give {said['ge']:g} or more."),
    "less_than": lambda given, said: (f"{given} is not below {said['lt']:g}", f"Give less than {said['lt']:g}."),
    "less_than_equal": lambda given, said: (f"{given} is above {said['le']:g}", f"Give {said['le']:g} or less."),
}


def faults_of(error: ValidationError) -> Iterator[Fault]:
    """Yield the faults that a model found, each with its place, problem and remedy."""
    told = set()
    for details in error.errors(include_url=False, include_input=True):
        for one in _faults(details):
            # A number that is neither whole nor not is told once.
            key = (one.place, details["type"] in {"int_type", "float_type"} or one.problem)
            if key not in told:
                told.add(key)
                yield one


def _faults(details: ErrorDetails) -> Iterator[Fault]:
    place = "/".join(str(part) for part in details["loc"] if part not in _OWN)
    said = details.get("ctx", {})
    if details["type"] == "sprayout":
        for rule in said["rules"]:
            yield Fault("/".join(part for part in (place, rule.place) if part), rule.problem, rule.remedy)
        return
    telling = _TELLINGS.get(details["type"])
    if telling is None:
        yield Fault(place, details["msg"].rstrip("."), "See docs/format.md.")
    else:
        yield Fault(place, *telling(_given(details.get("input")), said))


def _given(value: Json) -> str:
    if isinstance(value, str):
        return repr(value if len(value) <= 60 else value[:57] + "...")
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int | float):
        return str(value)[:60]
    return "a list" if isinstance(value, list | tuple) else "members"


def _spelling(said: Mapping[str, Json]) -> tuple[str, str]:
    return SPELLINGS.get(said["pattern"], ("not spelled as it must be", "See docs/format.md for how it is spelled."))
