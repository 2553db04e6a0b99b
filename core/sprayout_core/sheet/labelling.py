"""Labels from documents: a poured cup and a sprayed panel, each with the code of exactly what it is."""

from __future__ import annotations

from sprayout_core.documents import Batch, Document, Find, Formula, Panel, Recipe, digest
from sprayout_core.sheet.bench import LabelText
from sprayout_core.sheet.building import cautions_of, mix_part, reached, variant_facts
from sprayout_core.sheet.cautions import short_caution
from sprayout_core.sheet.code import code_for
from sprayout_core.sheet.pins import as_poured
from sprayout_core.sheet.questions import name_of

__all__ = ["cup_label", "panel_label"]


def cup_label(batch: Batch, library: str, find: Find, left: str = "") -> LabelText:
    """Return the label of a cup: what was meant, for which gun, when, and the cautions of all it reaches.

    left  what is in the cup, in words with its unit, as the library derives it
    """
    formula = find(batch.formula)
    lines: list[str] = []
    found: tuple[Document, ...] = ()
    if isinstance(formula, Formula):
        found, _ = reached(formula, find)
        lines += _meant(formula, batch, find)
    materials = [find(poured.id) for poured in batch.poured if poured.kind == "material"]
    carriers = {one.id: one for one in (*found, *materials) if one is not None}
    lines += ["hardener is in: pot life runs"] if batch.catalysed == "yes" else []
    lines += [text for text in (left, f"poured {_day(batch.poured_at)}" if batch.poured_at else "") if text]
    return LabelText(
        thing="cup",
        title=name_of(batch.formula, find),
        code=code_for(library, batch.id, digest(batch)),
        mark=batch.label or "",
        lines=tuple(lines),
        caution=short_caution(cautions_of(tuple(carriers.values()))),
    )


def _meant(formula: Formula, batch: Batch, find: Find) -> list[str]:
    """Return ratio and gun, or that the formula is no longer what this cup was poured from."""
    ratio = mix_part(formula, find).ratio
    if ratio is None or not as_poured(formula, find, batch.spray_ready, batch.proofs):
        return ["the mix has changed since: scan for what is in"]
    lines = [str(ratio)]
    variant = (formula.spray_ready or {}).get(batch.spray_ready) if batch.spray_ready else None
    if batch.spray_ready and variant:
        facts = variant_facts(batch.spray_ready, variant, find)
        lines.append(", ".join((facts.gun, *facts.facts())))
    return lines


def panel_label(panel: Panel, library: str, find: Find) -> LabelText:
    """Return the label of a panel: its recipe or mixes, its ground, the coats really sprayed, its stage."""
    recipe = find(panel.recipe) if panel.recipe else None
    coats = [f"{name_of(coat.formula, find)}: {coat.count}" for coat in panel.coats or ()]
    lines = [f"over {name_of(panel.ground.id, find)}"] if panel.ground else []
    lines += [f"coats: {', '.join(coats)}"] if coats else []
    lines += [f"clear: {name_of(panel.clear.id, find)}"] if panel.clear else []
    lines += [", ".join(text for text in (panel.shape, panel.stage.surface if panel.stage else "") if text)]
    lines += [f"sprayed {_day(panel.sprayed_at)}"] if panel.sprayed_at else []
    title = recipe.name if isinstance(recipe, Recipe) else panel.name
    return LabelText(
        thing="panel",
        title=title,
        code=code_for(library, panel.id, digest(panel)),
        mark=panel.label or "",
        lines=tuple(line for line in lines if line),
    )


def _day(time: str) -> str:
    """Return the day of a time as it was written down, without turning it into another zone's."""
    return time[:10]
