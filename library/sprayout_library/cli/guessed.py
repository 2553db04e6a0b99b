"""How gaps are told: one question once, with everything that it is asked about."""

from __future__ import annotations

from collections.abc import Iterable

from sprayout_library.cli.told import say, soft

__all__ = ["tell_guesses"]

_MOST = 8


def tell_guesses(gaps: Iterable[tuple[str, str, str]]) -> None:
    """Tell gaps as (about what, question, remedy or nothing), questions in the order they are first asked."""
    asked: dict[str, list[tuple[str, str]]] = {}
    for about, question, remedy in gaps:
        asked.setdefault(question, []).append((about, remedy))
    for question, each in asked.items():
        names = [about for about, _ in each]
        more = f" and {len(names) - _MOST} more" if len(names) > _MOST else ""
        say(f"  {question}")
        say(f"      {', '.join(names[:_MOST])}{more}")
        remedies = list(dict.fromkeys(_of_any(about, remedy) if len(each) > 1 else remedy for about, remedy in each))
        for remedy in remedies[:_MOST]:
            if remedy:
                soft(f"      {remedy}")


def _of_any(about: str, remedy: str) -> str:
    """Return a remedy for one thing as the remedy for any of several."""
    return remedy.replace(f'"{about}"', "NAME")
