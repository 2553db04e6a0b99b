"""A fault as a person reads it: one sentence, and no id in front of it."""

import pytest

from sprayout_core.errors import Fault

ID = "01a212d0-2146-7a85-a6ae-b4749cd83741"


@pytest.mark.parametrize(
    ("place", "problem", "said"),
    [
        ("", "how much of it?", "How much of it?"),
        ("", "silver holds nothing", "Silver holds nothing."),
        ("", "VOC is not known", "VOC is not known."),
        ("", "'kelp' is no mix", "'kelp' is no mix."),
        ("", "kf-1 has no reading", "kf-1 has no reading."),
        ("table.csv, line 3", "is cut", "table.csv, line 3: is cut."),
        (ID, "Kelp glass: two answers", "Kelp glass: two answers."),
        (f"{ID}/mix", "two answers to the mix", "Two answers to the mix."),
        (f"{ID}.json", "is no document", f"{ID}.json: is no document."),
    ],
)
def test_a_fault_is_a_sentence(place, problem, said):
    assert Fault(place, problem).sentence == said
