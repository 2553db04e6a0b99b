"""The benchmark table: python -m tests.benchmarks [words for pytest, such as -k film].

Prints the table, and writes what it measured into docs/benchmarks.md; rows that were not measured this time stay.
"""

import datetime
import platform
import re
import sys
from pathlib import Path

import pytest
from tests.benchmarks.figures import HEADINGS, Gathering

HERE = Path(__file__).parent
PAGE = HERE.parents[1] / "docs" / "benchmarks.md"
ROWS = re.compile(r"(<!-- figures -->\n)(.*)(<!-- end of figures -->)", re.DOTALL)


def machine() -> str:
    """The machine in general words: cores, memory, system and Python; never its name."""
    import os

    pages = getattr(os, "sysconf", lambda _: 0)
    memory = pages("SC_PHYS_PAGES") * pages("SC_PAGE_SIZE") / 2**30 if hasattr(os, "sysconf") else 0
    told = f"{os.cpu_count()} cores, {memory:.0f} GB, " if memory else f"{os.cpu_count()} cores, "
    return f"{told}{platform.system()}, Python {'.'.join(platform.python_version_tuple()[:2])}"


def written(page: str, gathered: Gathering, day: datetime.date) -> str:
    """The page with the measured rows in place of their earlier ones, ordered by what they measure."""
    found = ROWS.search(page)
    if found is None:
        raise ValueError(f"{PAGE.name} has no place for figures: keep its two marks")
    kept = {}
    for line in found[2].splitlines()[2:]:
        cells = [cell.strip() for cell in line.strip("| ").split(" | ")] if line.startswith("|") else []
        if cells:
            kept[cells[0].strip("| ")] = line
    where = f"{day.isoformat()}, {machine()}"
    for figure in gathered.found:
        kept[figure.what] = "| " + " | ".join((*figure.cells, where)) + " |"
    head = ["| " + " | ".join((*HEADINGS, "when and where")) + " |", "|---" * (len(HEADINGS) + 1) + "|"]
    rows = "\n".join([*head, *(kept[what] for what in sorted(kept, key=str.lower))])
    return page[: found.start(2)] + rows + "\n" + page[found.end(2) :]


class Keeping:
    """A pytest plugin that keeps, at the end of a run, the figures that it gathered."""

    def __init__(self) -> None:
        self.gathered = Gathering()

    def pytest_sessionfinish(self, session):
        self.gathered = session.config.pluginmanager.get_plugin("figures") or self.gathered


def main(words: list[str]) -> int:
    """Run the benchmarks and keep their figures; the exit status is pytest's."""
    keeping = Keeping()
    status = pytest.main([str(HERE), "-n0", "-m", "benchmark", "-q", *words], plugins=[keeping])
    if keeping.gathered.found:
        page = written(PAGE.read_text(encoding="utf-8"), keeping.gathered, datetime.date.today())
        PAGE.write_text(page, encoding="utf-8", newline="\n")
    return int(status)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
