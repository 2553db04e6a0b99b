"""What a one-line mix may not say, each refusal with its place and a remedy."""

from __future__ import annotations

import re
import unicodedata
from fractions import Fraction

from sprayout_core.mix.line_words import LineError, Tag, Word
from sprayout_core.ratio import exact

__all__ = ["check_parts", "looks_like_number"]

_EXAMPLE = "Glue each name to its number: 5 weak teal : 2 strong teal."
_MOST_DIGITS = 15
_NUMBER = re.compile(r"[0-9]+(?:[.,][0-9]+)?|[0-9]+/[0-9]+")
_FLOAT = re.compile(r"[+-]?[0-9][0-9.,/]*e[+-]?[0-9]+", re.IGNORECASE)
#: First words of a name that are more likely the unit of an amount than the name of a material.
_UNITS = frozenset(
    {
        "ml",
        "cl",
        "dl",
        "l",
        "g",
        "kg",
        "mg",
        "gr",
        "cc",
        "oz",
        "fl",
        "lb",
        "lbs",
        "qt",
        "pt",
        "gal",
        "%",
        "percent",
    }
    | {"drop", "drops", "gram", "grams", "ounce", "ounces", "g/l", "g/ml", "kg/l"}
    | {"liter", "liters", "litre", "litres", "milliliter", "milliliters", "millilitre", "millilitres"}
)
_SIGNS = frozenset("-–—/|\\&+*.")
#: Last words of a name that are more likely a basis said in the wrong place or in short.
_BASIS_WORDS = frozenset(
    {
        "volume",
        "mass",
        "weight",
        "vol",
        "wt",
        "by-volume",
        "by-mass",
        "by-weight",
        "v/v",
        "w/w",
        "m/m",
        "wt/wt",
    }
)
_PER_LITRE = (["per", "litre"], ["per", "liter"], ["per", "l"])
_TIMES = frozenset("x×")


def check_parts(runs: list[list[Word]], basis: str | None) -> None:
    """Raise LineError for the first stretch of words that is not one number glued to one name."""
    _check_bare(runs)
    for run in runs:
        _check_shape(run)
        _check_number(run)
        _check_name(run)
    _check_units(runs, basis)
    _check_doubles(runs)


def looks_like_number(name: str) -> bool:
    """Return whether a name holds no letter, or is a number in some script or an exponent form."""
    if _FLOAT.fullmatch(name):
        return True
    return not any(unicodedata.category(sign).startswith("L") for sign in name)


def _check_bare(runs: list[list[Word]]) -> None:
    """Refuse numbers without names, and say what telling them in another order would change."""
    bare = [run[0] for run in runs if len(run) == 1 and run[0].tag is Tag.NUMBER]
    if not bare:
        return
    texts = [word.text for run in runs for word in run if word.tag is Tag.NUMBER]
    told = ":".join(texts)
    problem = f"{told} does not say which is which" if len(texts) > 1 else f"{bare[0].text} has no name"
    raise LineError(bare[0].position, problem + _in_another_order(texts), _EXAMPLE)


def _in_another_order(texts: list[str]) -> str:
    """Tell how the mix would change if the same numbers were told in another order."""
    plain = [text.replace(",", ".") for text in texts]
    if len(plain) < 2 or any(not _NUMBER.fullmatch(text) for text in plain):
        return ""
    values = [_value(text) for text in plain]
    if len(set(values)) == 1 or 0 in values:
        return ""
    told, swapped = (values[0], values[1]), (values[0], values[-1])
    if len(values) == 2 or values[1] == values[-1]:
        swapped = (values[-1], values[-2])
    return (
        f": told in this order the first stands to the second as {_as_ratio(*told)}, "
        f"told in another as {_as_ratio(*swapped)}"
    )


def _value(text: str) -> Fraction:
    over = text.partition("/")[2]
    return Fraction(0) if over and not int(over) else exact(text)


def _as_ratio(first: Fraction, second: Fraction) -> str:
    return ":".join(str(part) for part in (first / second).as_integer_ratio())


def _check_shape(run: list[Word]) -> None:
    """Refuse a stretch that is not one number and one name beside it."""
    start = run[0].position
    numbers = [index for index, word in enumerate(run) if word.tag is Tag.NUMBER]
    names = [word for word in run if word.tag is Tag.NAME]
    if not numbers:
        told = " ".join(word.text for word in run)
        raise LineError(start, f"{told!r} has no number", f"{_EXAMPLE} A blank stands between the two.")
    if not names:
        raise LineError(start, f"{' '.join(word.text for word in run)} has no name", _EXAMPLE)
    for word in names:
        if not word.was_quoted and (word.text in _SIGNS or (word.text in _TIMES and len(names) > 1)):
            raise LineError(word.position, f"{word.text!r} parts nothing here", "Part the components with :.")
    if len(numbers) > 1:
        second = run[numbers[1]]
        raise LineError(
            second.position,
            f"a second number, {second.text}, without a separator before it",
            f"Part the components with :, and put a name that holds a number in quotes. {_EXAMPLE}",
        )
    if 0 < numbers[0] < len(run) - 1 and run[numbers[0] + 1].tag is not Tag.UNIT:
        word = run[numbers[0]]
        raise LineError(
            word.position,
            f"names stand on both sides of {word.text}, so it could belong to either",
            "Part the components with :, and put a name that holds a number in quotes.",
        )
    _check_unit_place(run, numbers[0])


def _check_unit_place(run: list[Word], number: int) -> None:
    for index, word in enumerate(run):
        if word.tag is Tag.UNIT and index != number + 1:
            raise LineError(word.position, "g/l stands away from its number", "Write 12 g/l silver pearl.")
    has_unit = number + 1 < len(run) and run[number + 1].tag is Tag.UNIT
    if has_unit and 0 < number < len(run) - 2:
        raise LineError(
            run[number].position,
            f"names stand on both sides of {run[number].text} g/l",
            "Part the components with :.",
        )


def _check_number(run: list[Word]) -> None:
    word = next(word for word in run if word.tag is Tag.NUMBER)
    text = word.text.replace(",", ".")
    digits = sum(sign.isdigit() for sign in text)
    if digits > _MOST_DIGITS:
        raise LineError(word.position, f"{word.text} has more than {_MOST_DIGITS} digits", "Write fewer.")
    if text.startswith("-"):
        raise LineError(word.position, f"{word.text} parts is less than nothing", "Give more than 0 or drop the part.")
    if not _NUMBER.fullmatch(text):
        raise LineError(
            word.position,
            f"{word.text!r} is not a number",
            "Write digits with one point, such as 2.5, or 1/3.",
        )
    if text.partition("/")[2] and not int(text.partition("/")[2]):
        raise LineError(word.position, f"{word.text} divides by nothing", "Write a quotient such as 1/3.")
    if not exact(text):
        raise LineError(word.position, f"{word.text} parts is nothing", "Give more than 0 or drop the part.")


def _check_name(run: list[Word]) -> None:
    words = [word for word in run if word.tag is Tag.NAME]
    name = " ".join(word.text for word in words)
    first = words[0]
    if looks_like_number(name):
        raise LineError(first.position, f"{name!r} looks like a number, not a name", "Name the component in words.")
    if not first.was_quoted and first.text.lower() in _UNITS:
        raise LineError(
            first.position,
            f"{first.text!r} after the number reads as a unit",
            "A mix is written in parts: leave the unit out, say by volume or by mass at the end, and put a "
            "name that begins so in quotes. Only g/l stands with a number.",
        )
    tail = ["" if word.was_quoted else word.text.lower().rstrip(".") for word in words[-2:]]
    if tail[-1] in _BASIS_WORDS or (len(tail) == 2 and tail in _PER_LITRE):
        raise LineError(
            words[-1].position,
            f"{words[-1].text!r} at the end of a name reads as a basis, by volume or by mass",
            "Write by volume or by mass once, at the end of the line, or put the name in quotes.",
        )


def _check_units(runs: list[list[Word]], basis: str | None) -> None:
    with_unit = [word for run in runs for word in run if word.tag is Tag.UNIT]
    if with_unit and len(with_unit) == len(runs):
        raise LineError(
            with_unit[0].position,
            "grams per litre of what: no liquid part is named",
            "Name the liquid parts too.",
        )
    if with_unit and basis == "mass":
        raise LineError(
            with_unit[0].position,
            "g/l in a mix by mass",
            "Write the mix by volume, or the component in parts.",
        )


def _check_doubles(runs: list[list[Word]]) -> None:
    seen: dict[str, str] = {}
    for run in runs:
        names = [word for word in run if word.tag is Tag.NAME]
        name = " ".join(word.text for word in names)
        if name.casefold() in seen:
            raise LineError(
                names[0].position,
                f"{name!r} is named twice",
                "Write each component once, with all its parts.",
            )
        seen[name.casefold()] = name
