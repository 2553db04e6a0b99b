"""What a benchmark found, beside its baseline and its goal: told at the end of the run, never judged by a test."""

from dataclasses import dataclass

import pytest

HEADINGS = ("what", "measured", "beside", "goal", "reached")


@dataclass(frozen=True)
class Figure:
    """One measured number.

    what: the work done. value: the number, `unit` its unit or the baseline it is a multiple of ("times one exp").
    beside: the plain times behind a ratio, or another tool's number. goal: "at most 3", "at least 3" or nothing.
    """

    what: str
    value: float
    unit: str
    beside: str = ""
    goal: str = ""

    @property
    def reached(self) -> str:
        """Whether the goal is reached: "yes", "no", or nothing where none was set."""
        if not self.goal:
            return ""
        side, _, number = self.goal.rpartition(" ")
        if side not in ("at most", "at least"):
            raise ValueError(f"a goal reads 'at most 3' or 'at least 3', not {self.goal!r}")
        return "yes" if (self.value <= float(number)) == (side == "at most") or self.value == float(number) else "no"

    @property
    def cells(self) -> tuple[str, ...]:
        """The figure as the cells of its row, in the order of `HEADINGS`."""
        digits = 0 if self.value >= 100 or self.value.is_integer() else 1 if self.value >= 10 else 2
        return self.what, f"{self.value:,.{digits}f} {self.unit}", self.beside, self.goal, self.reached


class Gathering:
    """A pytest plugin: benchmarks say their figures to the fixture `figure`; the run ends with their table."""

    def __init__(self) -> None:
        self.found: list[Figure] = []

    @pytest.fixture
    def figure(self):
        def told(what, value, unit, beside="", goal=""):
            self.found.append(Figure(what, float(value), unit, beside, goal))
            print("\n" + "; ".join(cell for cell in self.found[-1].cells[:-1] if cell), flush=True)

        return told

    def pytest_terminal_summary(self, terminalreporter):
        if self.found:
            terminalreporter.section("benchmarks: measured beside goals, never judged")
            for line in table(self.found):
                terminalreporter.write_line(line)


def table(figures: list[Figure]) -> list[str]:
    """The figures as an aligned table in Markdown, one line each under two lines of headings."""
    rows = [HEADINGS, *(figure.cells for figure in figures)]
    widths = [max(len(row[column]) for row in rows) for column in range(len(HEADINGS))]
    lines = [
        "| " + " | ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)) + " |" for row in rows
    ]
    return [lines[0], "|" + "|".join("-" * (width + 2) for width in widths) + "|", *lines[1:]]
