"""A preview: what a reader understood, what it must ask, what it leaves out and why, before anything
is written.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from sprayout_core.errors import Fault
from sprayout_core.tables.reading import TableReading

__all__ = ["Choice", "Preview", "Question", "RowLeftOut", "Understood"]


@dataclass(frozen=True, slots=True)
class Choice:
    """One answer to a question: the option's value and what it means in words."""

    value: str
    words: str


@dataclass(frozen=True, slots=True)
class Question:
    """Something the table does not say: asked for as an option, never guessed.

    option   name of the option that answers it
    words    the question, one sentence
    why      what was seen that makes it a question
    choices  possible answers; empty where any text may be answered
    """

    option: str
    words: str
    why: str
    choices: tuple[Choice, ...] = ()


@dataclass(frozen=True, slots=True)
class Understood:
    """One thing a reader took from the table or was told.

    what   name of the fact, `separator`, `scale`, ...
    value  what it is
    how    `seen` (the file says so), `told` (an option does) or `assumed` (neither; shown so that it
           can be corrected)
    why    what it was seen by
    """

    what: str
    value: str
    how: str
    why: str = ""


@dataclass(frozen=True, slots=True)
class RowLeftOut:
    """A line of the file that gave no reading, and why (1 is the file's first line)."""

    line: int
    reason: str


@dataclass(frozen=True, slots=True)
class Preview:
    """What would be taken in from one source under given options; nothing has been written.

    reader          the plugin and its version
    understood      facts, in the order in which they were settled
    questions       what must be answered first; while there are any, nothing can be read
    faults          what is wrong; while there are any, nothing can be read
    readings        how many readings the table holds (0 while questions or faults stand in the way)
    first           the first few of them
    left_out        the first hundred lines that give no reading, with reasons
    left_out_count  how many there are in all
    mapping         the options that say all of this again for the next file of this source
    """

    reader: str
    understood: tuple[Understood, ...] = ()
    questions: tuple[Question, ...] = ()
    faults: tuple[Fault, ...] = ()
    readings: int = 0
    first: tuple[TableReading, ...] = ()
    left_out: tuple[RowLeftOut, ...] = ()
    left_out_count: int = 0
    mapping: Mapping[str, str] = field(default_factory=dict)

    @property
    def ready(self) -> bool:
        """True when nothing is asked and nothing is wrong."""
        return not self.questions and not self.faults
