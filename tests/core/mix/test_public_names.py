"""A public name is the same thing whenever and however often it is asked for."""

import subprocess
import sys

from sprayout_core import mix


def test_no_public_name_is_also_a_module():
    """A module loaded on demand would stand in the way of the name it is called like."""
    told = "print(name, type(getattr(mix, name)).__name__)"
    asked = f"from sprayout_core import mix\nfor name in sorted(mix.__all__) * 2:\n    {told}"
    run = subprocess.run([sys.executable, "-c", asked], capture_output=True, text=True, check=True)
    lines = [line.split() for line in run.stdout.splitlines()]
    assert len(lines) == 2 * len(mix.__all__)
    assert [name for name, kind in lines if kind == "module"] == []
