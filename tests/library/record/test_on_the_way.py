"""A piece judged before its last coat is not set beside readings of the finished panel."""

from types import SimpleNamespace

import pytest

from sprayout_library.record.seen import _on_the_way


@pytest.mark.parametrize(
    ("judged", "sprayed", "expected"),
    [
        ("2026-03-02T09:00:00Z", "2026-03-02T09:10:00Z", True),
        ("2026-03-02T09:20:00Z", "2026-03-02T09:10:00Z", False),
        ("2026-03-02T10:05:00+01:00", "2026-03-02T09:10:00Z", True),
        ("2026-03-02T09:09:60Z", "2026-03-02T09:10:00z", True),
        (None, "2026-03-02T09:10:00Z", False),
        ("2026-03-02T09:00:00Z", None, False),
    ],
)
def test_on_the_way(judged, sprayed, expected):
    piece = SimpleNamespace(panel="p")
    judgement = SimpleNamespace(pieces=[[piece]], against=None, at=judged)
    evidence = SimpleNamespace(panels={"p": SimpleNamespace(sprayed_at=sprayed)})
    assert _on_the_way(judgement, evidence) is expected
