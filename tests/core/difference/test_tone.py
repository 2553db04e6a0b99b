"""One colour in plain words."""

import pytest

from sprayout_core.difference import tone


@pytest.mark.parametrize(
    ("lab", "said"),
    [
        ((5, 0, 0), "very dark grey"),
        ((95, 2, -2), "very light grey"),
        ((50, 60, 30), "medium red"),
        ((70, 60, -1), "light red"),
        ((30, -30, -5), "dark teal"),
        ((30, -9, -2), "dark greyish teal"),
        ((80, 0, 70), "light yellow"),
        ((45, 5, -60), "medium blue"),
    ],
)
def test_a_colour_in_words(lab, said):
    assert tone(lab) == said
