"""The options that tell what a table does not say: their names, their values, and what was settled by
which.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from sprayout_core.errors import Fault, SprayoutError
from sprayout_core.tables import (
    BANDPASS,
    SCALES,
    STAGES,
    Choice,
    Question,
    Understood,
    geometry,
    illuminant,
    observer,
)
from sprayout_plugins.instrument_csv.text import NAMES

__all__ = ["CHOICES", "FREE", "Findings"]

CHOICES: dict[str, dict[str, str]] = {
    "encoding": {name: name for name in NAMES},
    "separator": {
        "comma": "columns are parted by commas",
        "semicolon": "columns are parted by semicolons",
        "tab": "columns are parted by tabs",
        "blanks": "columns are parted by one or more blanks",
    },
    "decimal": {"point": "12.5", "comma": "12,5"},
    "layout": {
        "rows": "one reading in each row, wavelengths across",
        "columns": "one reading in each column, wavelengths down",
        "long": "one value in each row, with its sample and wavelength",
    },
    "quantity": {
        "reflectance": "reflectance factors",
        "other": "something else, which is not taken in",
    },
    "scale": {
        "unit": "1 is the perfect white",
        "percent": "100 is the perfect white",
        "thousandths": "1000 is the perfect white",
    },
    "scale_confirmed": {scale: f"yes, they are {scale}" for scale in SCALES},
    "wavelength_unit": {"nm": "nanometres", "um": "micrometres"},
    "space": {"cielab": "CIELAB (ISO/CIE 11664-4)", "other": "another space, which is not taken in"},
    "stage": {stage: stage for stage in STAGES},
    "bandpass": {state: state for state in BANDPASS},
    "repeats": {"replicates": "several readings of the same sample", "mistake": "a mistake; take nothing"},
    "broken": {
        "refuse": "take nothing while a row is broken",
        "leave out": "take the others, list the broken rows",
    },
    "cut": {"whole": "the file is complete", "cut": "the file was cut; take nothing"},
    "headings": {
        "from the first column": "the first heading stands over the first column",
        "from the second column": "the first column has no heading",
    },
}
"""Options with a fixed set of values, each value in words."""

FREE = {
    "geometry": geometry,
    "illuminant": illuminant,
    "observer": lambda text: str(observer(text)),
    "illumination": None,
    "label": None,
    "columns": None,
    "wavelengths": None,
    "table": None,
}
"""Options with a free value; where a function stands it gives the one spelling or raises."""


@dataclass(slots=True)
class Findings:
    """What is being settled about one table: answers told, facts understood, questions and faults so far."""

    name: str
    options: dict[str, str]
    understood: list[Understood] = field(default_factory=list)
    questions: list[Question] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)

    @classmethod
    def of(cls, name: str, options: Mapping[str, str]) -> Findings:
        """Check the options given; an unknown name or value is a fault that names those that are known."""
        found = cls(name, {})
        for option, value in options.items():
            if option not in CHOICES and option not in FREE:
                known = ", ".join(sorted([*CHOICES, *FREE]))
                found.fault(f"option {option}", "there is no such option", f"Use one of: {known}.")
            elif spelled := found._spelled(option, str(value).strip()):
                found.options[option] = spelled
        return found

    def _spelled(self, option: str, value: str) -> str:
        if option in CHOICES:
            if value.lower() in CHOICES[option]:
                return value.lower()
            known = ", ".join(CHOICES[option])
            self.fault(f"option {option}", f"{value!r} is none of its values", f"Use one of: {known}.")
            return ""
        if spell := FREE[option]:
            try:
                return spell(value)
            except SprayoutError as wrong:
                self.fault(f"option {option}", wrong.fault.problem, wrong.fault.remedy)
                return ""
        return value

    def told(self, option: str) -> str | None:
        """Return the answer given to an option, or None."""
        return self.options.get(option)

    def saw(self, what: str, value: str, why: str = "", *, how: str = "seen") -> None:
        """Note a fact, once."""
        if not any(fact.what == what and fact.value == value for fact in self.understood):
            self.understood.append(Understood(what, value, how, why))

    def ask(self, option: str, words: str, why: str, choices: Mapping[str, str] | None = None) -> None:
        """Note a question, once per option; the choices are those of the option unless others are given."""
        if any(question.option == option for question in self.questions):
            return
        offered = CHOICES.get(option, {}) if choices is None else choices
        self.questions.append(
            Question(option, words, why, tuple(Choice(value, meaning) for value, meaning in offered.items()))
        )

    def fault(self, place: str, problem: str, remedy: str = "") -> None:
        """Note something wrong, its place within this source."""
        where = f"{self.name}, {place}" if place else self.name
        self.faults.append(Fault(where, problem, remedy))

    @property
    def stuck(self) -> bool:
        """Say whether something stands in the way of understanding further."""
        return bool(self.faults or self.questions)
