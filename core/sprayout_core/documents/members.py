"""The stored form cut into its members at the top, without understanding them, and put together again."""

from __future__ import annotations

from collections.abc import Mapping

__all__ = ["members_of", "text_of"]

_OPEN, _BETWEEN, _CLOSE = b'{\n  "', b',\n  "', b"\n}\n"
_NAMED = b'": '


def members_of(text: bytes) -> dict[bytes, bytes] | None:
    """Return the text of each member at the top of a text by its name, as they stand in it.

    No text within a member holds a line's end, and only members at the top begin after two blanks. None where the
    text does not begin and end as the stored form does, where a name stands twice, or names are not sorted.
    """
    if not text.startswith(_OPEN) or not text.endswith(_CLOSE):
        return None
    members: dict[bytes, bytes] = {}
    last = b""
    for part in text[len(_OPEN) : -len(_CLOSE)].split(_BETWEEN):
        name, named, value = part.partition(_NAMED)
        if not named or name <= last:
            return None
        members[name] = value
        last = name
    return members


def text_of(members: Mapping[bytes, bytes]) -> bytes:
    """Return the stored form that is made of these members."""
    return _OPEN + _BETWEEN.join([name + _NAMED + members[name] for name in sorted(members)]) + _CLOSE
