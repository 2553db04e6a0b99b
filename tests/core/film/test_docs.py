"""What the film room promises is written down, and nothing else is promised."""

import ast
import inspect
import subprocess
import sys
from pathlib import Path

import pytest

import sprayout_core.film as film

DOCS = Path(__file__).parents[3] / "docs" / "computing.md"
SIGNED = (
    "saunderson", "saunderson_inverse", "two_flux", "fresnel", "clear_layer", "learn", "predict", "search", "coats_of",
    "forgiveness", "next_coat", "hazy_layer", "predict_readings", "correct_pot", "reproduction", "new_bottle",
)  # fmt: skip


@pytest.fixture(scope="module")
def section():
    text = DOCS.read_text(encoding="utf-8")
    return text.split("\n## Film\n", 1)[1].split("\n## ", 1)[0]


def test_every_public_name_is_in_the_docs(section):
    missing = [
        name for name in film.__all__ if f"`{name}" not in section and f"{name}(" not in section and name not in section
    ]
    assert not missing


@pytest.mark.parametrize("name", SIGNED)
def test_signatures_are_as_written(section, name):
    written = section.split(f"`{name}(", 1)[1].split("`", 1)[0]
    for parameter in inspect.signature(getattr(film, name)).parameters:
        assert parameter in written


def test_no_module_of_the_room_needs_scipy_or_is_too_long():
    room = Path(inspect.getfile(film)).parent
    for module in room.glob("*.py"):
        text = module.read_text(encoding="utf-8")
        assert text.count("\n") < 300, module.name
        assert ast.get_docstring(ast.parse(text)), module.name
    code = "import sys, sprayout_core.film; sys.exit('scipy' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
