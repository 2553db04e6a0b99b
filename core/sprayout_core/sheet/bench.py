"""A bench sheet and a label: one exact version, with everything a painter needs beside the cup."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from sprayout_core.errors import Fault
from sprayout_core.sheet.cautions import CautionBlock
from sprayout_core.sheet.checked import blank, refuse
from sprayout_core.sheet.coats import Boxes, boxes
from sprayout_core.sheet.code import Code
from sprayout_core.sheet.mixing import MixPart, TwoAnswers

__all__ = ["BenchSheet", "Ground", "LabelText", "Step"]


@dataclass(frozen=True, slots=True)
class Ground:
    """A ground to spray over; `kind` is "keyed", "baseline" or empty."""

    title: str
    kind: Literal["keyed", "baseline", ""] = ""

    def __str__(self) -> str:
        return f"{self.title} ({self.kind} ground)" if self.kind else self.title


@dataclass(frozen=True, slots=True)
class Step:
    """One line of the coat schedule; `coats` is "5", "4 to 5", "about 5", "until covered", or empty.

    coats   empty where no count is recorded
    what    the formula or material, `version` where the recipe pins one
    film    dry film for each coat, in words with its unit, where known
    dry     the rule between coats ("dry to the touch")
    """

    role: str
    what: str
    coats: str
    version: str = ""
    gun: str = ""
    laid: str = ""
    film: str = ""
    dry: str = ""
    two_answers: TwoAnswers | None = None

    def __post_init__(self) -> None:
        refuse(blank(self.what, "step/what"))
        if self.two_answers is None:
            self.tick_boxes()

    def tick_boxes(self) -> Boxes:
        """The boxes of this line; none, but room for the count, where no count is recorded."""
        return boxes(self.coats) if self.coats else Boxes(0, 0, open=True)

    def said(self) -> str:
        """The count glued to its name: "about 5 coats of Kelp glass", "Kelp glass until covered"."""
        if self.coats == "until covered":
            return f"{self.what} until covered"
        if not self.coats:
            return f"{self.what}, number of coats not recorded"
        return f"{self.coats} {'coat' if self.coats in ('1', 'about 1') else 'coats'} of {self.what}"


@dataclass(frozen=True, slots=True)
class BenchSheet:
    """Everything a painter needs at bench and booth for one exact version of a mix or recipe.

    version  in the shop's words ("version 3, 12 March")
    printed  likewise ("printed 25 November 2026, 09:10")
    mixes    nested ones first, in the order they are poured
    pieces   names of the pieces of this run; empty where one row of boxes is enough
    missing  what was not found in the library, said where it is shown
    """

    title: str
    code: Code
    shop: str = ""
    version: str = ""
    printed: str = ""
    status: str = ""
    mixes: tuple[MixPart, ...] = ()
    grounds: tuple[Ground, ...] = ()
    steps: tuple[Step, ...] = ()
    pieces: tuple[str, ...] = ()
    two_answers: tuple[TwoAnswers, ...] = ()
    cautions: tuple[CautionBlock, ...] = ()
    notes: tuple[str, ...] = ()
    missing: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        faults = blank(self.title, "sheet/title")
        if not self.mixes and not self.steps:
            faults.append(Fault("sheet", "neither a mix nor a coat", "Give at least one of them."))
        refuse(faults)

    def open_questions(self) -> tuple[TwoAnswers, ...]:
        """Every question still open, of the sheet itself, its mixes and its coats."""
        of_mixes = tuple(question for mix in self.mixes for question in mix.two_answers)
        of_steps = tuple(step.two_answers for step in self.steps if step.two_answers)
        return (*self.two_answers, *of_mixes, *of_steps)


@dataclass(frozen=True, slots=True)
class LabelText:
    """One label for a cup or a panel.

    mark      the shop's own label code, printed largest ("K7"); may be empty
    lines     short facts, most important first (ratio, gun, remainder, ground, coats)
    caution   the cautions in short words; printed whole or the label is refused
    """

    thing: Literal["cup", "panel"]
    title: str
    code: Code
    mark: str = ""
    lines: tuple[str, ...] = ()
    caution: str = ""

    def __post_init__(self) -> None:
        refuse(blank(self.title, "label/title"))
