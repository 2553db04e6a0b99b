"""A shop at the command line with a library and one panel (invented)."""

import pytest

BEGINNING = (
    ("create", "lib", "--shop", "Fen Lane (invented)"),
    ("mix", "Kelp glass = 5 weak teal : 2 strong teal", "--new", "weak teal=dye", "--new", "strong teal=dye"),
    ("material", "bronze", "--role", "metallic"),
    ("recipe", "Kelp fade", "--over", "bronze", "--coat", "5 Kelp glass"),
    ("panel", "Kelp fade", "--label", "KF-1", "--steps", "0,2,5"),
)


@pytest.fixture
def shop(tmp_path, sit_down):
    call = sit_down(tmp_path)
    for words in BEGINNING:
        assert call(*words)[0] == 0
    return call
