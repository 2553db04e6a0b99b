"""Asking the plugins of this process about cards: print one, say which one is in a picture, measure it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from sprayout_core.errors import SprayoutError

if TYPE_CHECKING:
    from sprayout_core.card import CardResult, Frame, Reference
    from sprayout_core.tables import Source

__all__ = ["card_in", "measured_card", "printed_card"]


def printed_card(frame: Frame) -> bytes:
    """Return a card frame as PDF, true to size. Raises SprayoutError where no plugin prints it."""
    found = _asked("print_card", frame=frame)
    assert isinstance(found, bytes)
    return found


def card_in(source: Source) -> str:
    """Return the identity of the card in a picture. Raises what the plugin refused, in its words."""
    return str(_asked("identify_card", source=source))


def measured_card(source: Source, frame: Frame, reference: Reference) -> CardResult:
    """Return what a picture of a card gives. Raises what the plugin refused, in its words."""
    from sprayout_core.card import CardResult

    found = _asked("read_card", source=source, frame=frame, reference=reference)
    assert isinstance(found, CardResult)
    return found


def _asked(hook: str, **question: object) -> Any:
    from sprayout_plugins import guard, registry

    failed = None
    for answer in guard.ask(registry.find(), hook, **question):
        if answer.value is not None:
            return answer.value
        failed = failed or answer.failure
    if failed is not None:
        raise failed
    raise SprayoutError(f"no plugin answers {hook}", "See `sprayout plugins`.")
