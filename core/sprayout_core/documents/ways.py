"""What follows from the members of a part, for models and for what is only looked at."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sprayout_core.documents.identity import dot_order

if TYPE_CHECKING:
    from sprayout_core.documents.head import Document
    from sprayout_core.documents.kinds import Coat, Formula, Recipe
    from sprayout_core.documents.mixes import Mix
    from sprayout_core.documents.spectra import Spectrum

__all__ = ["coats_in_order", "grid", "is_open", "name", "pouring_order", "slots"]


def is_open(document: Document, atom: str) -> bool:
    """Return whether copies disagree on this atom."""
    return atom in (document.questions or {})


def name(document: Document) -> str:
    """Return the title, or the kind and the end of the id where there is none or two."""
    return document.title or f"{document.kind} …{document.id[-6:]}"


def slots(formula: Formula) -> list[str]:
    """Return the open slots of a house ratio, by name."""
    items = (formula.mix.items if formula.mix else None) or {}
    return sorted(key for key, item in items.items() if item.kind == "slot")


def coats_in_order(recipe: Recipe) -> list[tuple[str, Coat]]:
    """Return the coats as they are sprayed: in written order, forgotten ones after them by dot."""
    coats = recipe.coats or {}
    written = [key for key in recipe.coats_order or [] if key in coats]
    rest = sorted((key for key in coats if key not in written), key=dot_order)
    return [(key, coats[key]) for key in written + rest]


def pouring_order(mix: Mix) -> list[str]:
    """Return the component ids in pouring order: as written, forgotten ones appended by id."""
    items = mix.items or {}
    written = [key for key in mix.order or [] if key in items]
    return written + sorted(key for key in items if key not in written)


def grid(spectrum: Spectrum) -> list[float]:
    """Return the wavelengths in nm."""
    if spectrum.wavelengths_nm is not None:
        return [float(nm) for nm in spectrum.wavelengths_nm]
    assert spectrum.start_nm is not None
    assert spectrum.step_nm is not None
    return [float(spectrum.start_nm + spectrum.step_nm * place) for place in range(len(spectrum.values))]
