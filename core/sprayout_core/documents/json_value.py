"""The type of a plain JSON value, for those who need nothing else of the models."""

from __future__ import annotations

from typing import Any, TypeAlias

__all__ = ["Json"]

#: A plain JSON value: members in dicts, lists, text, numbers.
Json: TypeAlias = Any
