"""The names in docs/computing.md are the public ones, and the public functions are in it."""

import importlib
import re
from pathlib import Path

import pytest

DOC = (Path(__file__).parents[3] / "docs" / "computing.md").read_text(encoding="utf-8")


def section(title):
    return DOC.split(f"## {title}\n")[1].split("\n## ")[0]


@pytest.mark.parametrize("room", ["light", "difference", "reading", "pictures"])
def test_every_call_of_the_table_exists(room):
    module = importlib.import_module(f"sprayout_core.{room}")
    rows = [line.split("|")[1] for line in section(room.title()).splitlines() if line.startswith("| `")]
    names = [name for row in rows for name in re.findall(r"`(\w+)", row)]
    assert len(names) > 4
    assert [name for name in names if name not in module.__all__] == []


@pytest.mark.parametrize("room", ["light", "difference", "reading", "pictures"])
def test_every_public_function_is_told(room):
    module = importlib.import_module(f"sprayout_core.{room}")
    functions = [name for name in module.__all__ if name[0].islower()]
    assert [name for name in functions if f"`{name}" not in section(room.title())] == []
