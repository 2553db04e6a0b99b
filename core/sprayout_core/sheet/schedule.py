"""The coat schedule of a recipe as the lines of a sheet, the clear last."""

from __future__ import annotations

from collections.abc import Mapping

from sprayout_core.documents import Coat, DryRule, Find, Formula, Recipe, dot_order
from sprayout_core.mix.bounds import told
from sprayout_core.ratio import exact
from sprayout_core.sheet.bench import Step
from sprayout_core.sheet.mixing import TwoAnswers
from sprayout_core.sheet.questions import name_of

__all__ = ["steps_of"]

_DRY = {
    "touch": "dry to the touch",
    "matt": "until matt",
    "tack-free": "tack-free",
    "time": "",
    "overnight": "overnight",
}


def steps_of(
    recipe: Recipe, find: Find, versions: Mapping[str, str], open_coats: Mapping[str, TwoAnswers]
) -> tuple[Step, ...]:
    """Return the coats in order, those on which shops disagree among them, then the clear.

    versions    formula id or pinned proof to its version in words
    open_coats  "coats/<dot>" to its question
    """
    coats = {dot: _step(coat, find, versions) for dot, coat in recipe.coats_in_order()}
    for atom, question in open_coats.items():
        coats[atom.removeprefix("coats/")] = Step("colour", "a coat", "", two_answers=question)
    written = [dot for dot in recipe.coats_order or () if dot in coats]
    order = dict.fromkeys([*written, *sorted(coats, key=dot_order)])
    return (*(coats[dot] for dot in order), *_clear(recipe, find, versions))


def _step(coat: Coat, find: Find, versions: Mapping[str, str]) -> Step:
    formula = find(coat.formula)
    variants = (formula.spray_ready or {}) if isinstance(formula, Formula) else {}
    variant = variants.get(coat.spray_ready) if coat.spray_ready else None
    pinned = f"pinned: {versions.get(coat.pinned, 'one exact version')}" if coat.pinned else ""
    return Step(
        role=coat.role,
        what=name_of(coat.formula, find),
        coats=coat.count,
        version=pinned or versions.get(coat.formula, ""),
        gun=(variant.gun if variant else None) or coat.spray_ready or "",
        laid=coat.laid or (variant.laid if variant else None) or "",
        film=f"{coat.film_um} µm dry" if coat.film_um else "",
        dry=_dry(coat.dry) if coat.dry else "",
    )


def _clear(recipe: Recipe, find: Find, versions: Mapping[str, str]) -> tuple[Step, ...]:
    clear = recipe.clear
    if clear is None:
        return ()
    return (
        Step(
            role="clear, polished after" if clear.polished == "yes" else "clear",
            what=name_of(clear.of.id, find),
            coats=clear.count or "",
            version=versions.get(clear.of.id, ""),
            film=f"{clear.film_um} µm dry" if clear.film_um else "",
        ),
    )


def _dry(rule: DryRule) -> str:
    least = f"at least {_minutes(rule.at_least_s)}" if rule.at_least_s else ""
    most = f"at most {_minutes(rule.at_most_s)}" if rule.at_most_s else ""
    return ", ".join(text for text in (_DRY[rule.until], least, most) if text)


def _minutes(seconds: str) -> str:
    value = exact(seconds)
    return f"{told(value)} s" if value % 60 else f"{told(value / 60)} min"
