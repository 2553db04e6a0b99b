"""What the other side gives as its reasons reaches the one who syncs, cleaned."""

from sprayout_library.sync.remote import _pushed

NAME = "refs/heads/shops/k7f3q2ab"


def test_reasons_of_a_refused_push_are_told():
    said = "\n".join(
        [
            "remote: formula/10/7a: not in its stored form",
            "remote: formula/10/7a: not in its stored form",
            "remote: \x1b[31mred\x1b[0m",
            "To somewhere",
            f"!\tabc:{NAME}\t[remote rejected] (pre-receive hook declined)",
        ]
    )
    told = _pushed(said, {NAME: "abc"})[NAME]
    assert told.count("not in its stored form") == 1 and "declined" in told
    assert "\x1b" not in told and "red" in told


def test_a_push_that_was_taken_needs_no_reason():
    said = f"remote: welcome\nTo somewhere\n \tabc:{NAME}\tabc..def"
    assert _pushed(said, {NAME: "abc"}) == {NAME: ""}
