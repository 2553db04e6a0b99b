"""Drawing into SVG files: what commands share when they are asked for a picture."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from sprayout_core.errors import SprayoutError

if TYPE_CHECKING:
    from sprayout_library.record.between import Between

__all__ = ["draw_differences", "put", "put_silently"]


def put(path: Path, svg: str) -> None:
    """Write a picture into a file that does not exist yet, in one step, and say so."""
    from sprayout_library.cli.told import say

    put_silently(path, svg)
    say(f"Drawn into {path}")


def put_silently(path: Path, svg: str) -> None:
    """Write a picture into a file that does not exist yet, in one step: beside an answer that is JSON."""
    from sprayout_library.machine import write_whole

    if path.exists():
        raise SprayoutError("there is a file already", "Choose another name.", place=str(path))
    try:
        write_whole(path, svg.encode("utf-8"))
    except OSError as error:
        raise SprayoutError(f"cannot be written: {error.strerror}", "Choose another place.", place=str(path)) from None


def draw_differences(between: Between) -> str:
    """Return the picture of a comparison: swatches that touch for one geometry, bars for several."""
    from sprayout_core.pictures import Bar, Swatch, differences, swatches

    measured = [one for one in between.numbers if "difference" in one]
    if not measured:
        raise SprayoutError("nothing was measured between them", "Take readings in first.")
    if len(measured) > 1:
        bars = [Bar(f"{one['geometry']} {one['view']}", one["difference"], direction=one["words"]) for one in measured]
        return differences(bars, title=measured[0]["of"])
    one = measured[0]
    pair = [
        Swatch(
            label,
            colour,
            tuple(f"{name} {value:.2f}" for name, value in zip(("L*", "a*", "b*"), one[side], strict=True)),
        )
        for (label, colour, _), side in zip(between.swatches, ("standard", "trial"), strict=True)
    ]
    return swatches(pair, title=str(one["of"]))
