"""Rooms that load a module when one of its names is asked for: the name is the same thing whenever that is."""

import importlib
from pathlib import Path

import pytest

ROOMS = ("sprayout_core.compare", "sprayout_core.documents", "sprayout_core.mix", "sprayout_library.record",
         "sprayout_library.store")  # fmt: skip


@pytest.mark.parametrize("name", ROOMS)
def test_no_public_name_is_also_a_module(name):
    """A module loaded on demand would stand in the way of the name it is called like."""
    room = importlib.import_module(name)
    modules = {path.stem for path in Path(room.__file__).parent.glob("*.py")}
    assert modules & set(room.__all__) == set()
    assert sorted(room._MODULE) == sorted(room.__all__)
    for public in room.__all__:
        assert getattr(room, public) is getattr(importlib.import_module(f"{name}.{room._MODULE[public]}"), public)
    with pytest.raises(AttributeError):
        room.no_such_name  # noqa: B018
