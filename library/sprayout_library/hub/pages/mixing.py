"""Mix: one line writes a formula, a few words a recipe; what is not known yet is asked for, never guessed."""

from __future__ import annotations

from typing import Any, get_args

from sprayout_core.documents import Document, Formula, MissingDocument, OpenQuestion, proofs
from sprayout_core.documents.kinds import Role
from sprayout_core.errors import SprayoutError
from sprayout_core.mix import Caution, parse_line, read_back
from sprayout_library.hub.pages.material import number_said
from sprayout_library.hub.pages.visit import Reply, Visit
from sprayout_library.record import Names, Unknown, mix_changes, mix_from_line, recipe_facts, unknown_names

__all__ = ["mixes", "write"]

ROLES: tuple[str, ...] = get_args(Role)


def mixes(visit: Visit) -> Reply:
    """Show the mixes and recipes there are, and where to write another."""
    names, asked = visit.names, visit.asked
    line = asked.said("line")
    shown: dict[str, Any] = {
        "formulas": [entry for entry in names.of_kind("formula") if not entry.withdrawn],
        "recipes": [entry for entry in names.of_kind("recipe") if not entry.withdrawn],
        "materials": [entry for entry in names.of_kind("material") if not entry.withdrawn],
        "line": line,
        "unknown": _unknown(line, names),
        "roles": ROLES,
        "cautions": [one.value for one in Caution],
        "said": {name: asked.said(name) for name in ("title", "over", "coats", "clear", "name", "role")},
        "does": asked.said("do"),
    }
    return Reply("mix.html", shown, settled=True)


def _unknown(line: str, names: Names) -> list[str]:
    try:
        return unknown_names(parse_line(line), names) if line else []
    except SprayoutError:
        return []


def write(visit: Visit) -> Reply:
    """Write a mix, a recipe or a material."""
    does = {"mix": _mix, "recipe": _recipe, "material": _material}.get(visit.asked.said("do"))
    if does is None:
        raise SprayoutError("nothing was asked for", "Use one of the forms.")
    return visit.go(f"/thing/{does(visit)}")


def _material(visit: Visit) -> str:
    asked, writer = visit.asked, visit.writer()
    title, role = asked.said("name"), asked.said("role")
    if not title or role not in ROLES:
        raise SprayoutError("a material needs its name and its role", f"Choose one of: {', '.join(ROLES)}.")
    if visit.names.matching(title, "material", "formula"):
        raise SprayoutError(f"{title!r} stands already", "Find it by its name.")
    density = number_said(visit, "density_g_per_ml")
    facts = {"title": title, "role": role, "cautions": asked.all("caution"), "density_g_per_ml": density}
    document = writer.new("material", {name: one for name, one in facts.items() if one is not None})
    writer.save([document], f"Material {title}")
    return document.id


def _mix(visit: Visit) -> str:
    asked, writer = visit.asked, visit.writer()
    parsed = parse_line(asked.said("line"))
    if parsed.title is None:
        raise SprayoutError("the mix has no name", "Write it before the parts: Name = 5 this : 2 that.")
    missing = unknown_names(parsed, visit.names)
    roles = dict(zip(asked.all("unknown"), asked.all("unknown-role"), strict=False))
    if any(roles.get(name, "") not in ROLES for name in missing):
        raise Unknown(missing)
    made = [writer.new("material", {"title": name, "role": roles[name]}) for name in missing]
    if made:
        writer.save(made, f"Materials for {parsed.title}")
    names = visit.known.of(visit.store).names  # the materials made just now are among them
    known = names.matching(parsed.title, "formula")
    document: Document
    if known:
        held = visit.store.get(known[0].id)
        assert isinstance(held, Formula)
        document = writer.edited(held, mix_changes(held, read_back(parsed), names))
    else:
        document = writer.new("formula", {"title": parsed.title, "mix": mix_from_line(parsed, names)})
    assert isinstance(document, Formula)
    _refuse_circle(document, visit)
    writer.save([document], f"Mix {parsed.title}")
    return document.id


def _refuse_circle(document: Formula, visit: Visit) -> None:
    """Refuse a mix that would contain itself through others."""
    try:
        proofs(document, lambda name: document if name == document.id else visit.store.find(name))
    except (OpenQuestion, MissingDocument):
        return


def _recipe(visit: Visit) -> str:
    asked, writer = visit.asked, visit.writer()
    title = asked.said("title")
    over = [line.strip() for line in asked.said("over").splitlines() if line.strip()]
    coats = [line.strip() for line in asked.said("coats").splitlines() if line.strip()]
    if not title or not over or not coats:
        raise SprayoutError("a recipe needs a name, a ground and a coat", "Fill in all three.")
    if visit.names.matching(title, "recipe"):
        raise SprayoutError(f"{title!r} stands already", "Give it another name.")
    document = writer.new("recipe", recipe_facts(title, over, coats, asked.said("clear") or None, visit.names))
    writer.save([document], f"Recipe {title}")
    return document.id
