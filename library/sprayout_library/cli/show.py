"""sprayout show: one thing whole."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from sprayout_core.documents.which import is_batch, is_formula, is_material, is_panel, is_recipe
from sprayout_library.cli.desk import Desk
from sprayout_library.cli.told import date_of, heading, json_out, rows, say, soft

if TYPE_CHECKING:
    from sprayout_core.documents import Document, Formula, Poured, Recipe, TakenOut
    from sprayout_library.record import Names
    from sprayout_library.record.cups import Shelf
    from sprayout_library.store import Store


@click.command("show")
@click.argument("name")
@click.option("--json", "form", flag_value="json", help="As JSON.")
@click.pass_obj
def command(desk: Desk, /, name: str, form: str | None) -> None:
    """Show NAME: a mix, recipe, panel, cup, material, or the end of an id (…a10)."""
    from sprayout_library.cli.beside import beside_data
    from sprayout_library.cli.shown import data_of
    from sprayout_library.record import kind_said

    with desk.store() as store:
        names, store = desk.names(store), store.to_look_at()
        document = desk.document(store, name)
        if form == "json":
            json_out(data_of(document, store) | beside_data(document, store, names))
            return
        say(f"{document.name}  ({kind_said(document.kind)})", bold=True)
        _TELL.get(document.kind, _tell_other)(document, store, names)
        _tell_common(document, store, names)


def _tell_material(document: Document, store: Store, names: Names) -> None:
    assert is_material(document)
    facts = [
        ("role", document.role, ""),
        ("density", document.density_g_per_ml, "g/ml"),
        ("solids by volume", document.volume_solids_percent, "%"),
        ("flake", document.flake_um, "um"),
        ("VOC", document.voc_g_per_l, "g/l"),
    ]
    rows([(label, f"{value} {unit}".strip()) for label, value, unit in facts if value])
    lots = dict.fromkeys((document.lots or {}).values())
    if lots:
        rows([("lots", ", ".join(lots))])


def _tell_formula(document: Document, store: Store, names: Names) -> None:
    from sprayout_core.compare import written_ratio
    from sprayout_core.errors import SprayoutError
    from sprayout_core.mix import composition

    assert is_formula(document)
    say(f"  {written_ratio(document, names.label)}")
    try:
        flat = composition(document, store.find)
        if flat.keys() != set((document.mix.items if document.mix else None) or {}):
            heading("What's in it")
            rows([(names.label(key), f"{float(share) * 100:.1f} %", f"{share} of it") for key, share in flat.items()])
    except SprayoutError as error:
        say(f"  What's in it: not known. {error.fault.sentence} {error.fault.remedy}".rstrip())
    for name, variant in sorted((document.spray_ready or {}).items()):
        from sprayout_library.cli.shown import variant_words

        rows([(f"spray-ready, {name}", variant_words(variant, names))])
    _tell_status(document, store, names)


def _tell_recipe(document: Document, store: Store, names: Names) -> None:
    from sprayout_library.cli.beside import tell_others
    from sprayout_library.record.pieces import piece_name

    assert is_recipe(document)
    grounds = list(dict.fromkeys(one.id for one in (document.grounds or {}).values()))
    rows([("over", ", ".join(names.label(ground) for ground in grounds))])
    for _, coat in document.coats_in_order():
        more = [
            f"through {coat.spray_ready}" if coat.spray_ready else "",
            f"laid {coat.laid}" if coat.laid else "",
        ]
        more.append(f"dry to {coat.dry.until}" if coat.dry else "")
        told = ", ".join(part for part in (names.label(coat.formula), *more) if part)
        rows([(f"{coat.count}", told)])
    if document.clear:
        count = f"{document.clear.count} " if document.clear.count else ""
        rows([("clear", f"{count}{names.label(document.clear.of.id)}")])
    tell_others(document, store, names)
    for ground, standard in (document.standards or {}).items():
        rows([(f"standard over {names.label(ground)}", piece_name(standard, names))])
    _tell_status(document, store, names)


def _tell_status(document: Formula | Recipe, store: Store, names: Names) -> None:
    from sprayout_library.cli.beside import tell_gaps, tell_lineage
    from sprayout_library.record import evidence_for

    found = evidence_for(store, "panel").status(document, store)
    heading(found.state.value.capitalize())
    if found.panels:
        rows([("as it stands now", ", ".join(names.label(panel) for panel in found.panels))])
    if found.earlier:
        rows([("as it was earlier", ", ".join(names.label(panel) for panel in found.earlier))])
    for ground, over in found.grounds.items():
        told = ", ".join(names.label(panel) for panel in over.panels) or "no panel"
        rows([(f"over {names.label(ground)}", over.state.value, told)])
    told_by_dot = _answers_told(document, store, names) if found.answers else {}
    for dot, answer in found.answers.items():
        panels = ", ".join(names.label(panel) for panel in answer.panels)
        rows([(*told_by_dot.get(dot, ("one answer", "")), answer.state.value, panels)])
    if found.because:
        say(f"  {found.because}")
    tell_lineage(document, store, names)
    tell_gaps(document, store, names)


def _answers_told(document: Document, store: Store, names: Names) -> dict[str, tuple[str, str]]:
    """Return the letter and the words of each answer to what is in question, by its edit."""
    from sprayout_library.record.answers import open_answers

    found = open_answers(store, names, document.id)
    return {one.dot: (f"{one.letter})", one.told) for question in found for one in question.answers}


def _tell_panel(document: Document, store: Store, names: Names) -> None:
    from sprayout_library.cli.beside import tell_seen
    from sprayout_library.cli.shown import colour_rows
    from sprayout_library.record import evidence_for

    assert is_panel(document)
    ground = f" over {names.label(document.ground.id)}" if document.ground else ""
    rows([("of", f"{names.label(document.recipe) if document.recipe else 'no recipe'}{ground}")])
    for coat in document.coats or []:
        through = f", through {coat.spray_ready}" if coat.spray_ready else ""
        cup = f", from {names.label(coat.batch)}" if coat.batch in names.entries else ""
        rows([(coat.count, names.label(coat.formula) + through + cup)])
    if document.steps:
        rows([("steps", ", ".join(f"{step} coats" for step in document.steps))])
    if document.stage:
        rows([("stage", document.stage.surface)])
    if document.sprayed_at:
        rows([("sprayed", date_of(document.sprayed_at))])
    evidence = evidence_for(store, "reading")
    readings = evidence.readings.get(document.id, [])
    heading(f"{len(readings)} reading{'' if len(readings) == 1 else 's'}")
    rows(colour_rows(readings, store))
    tell_seen(document.id, store, names)


def _tell_batch(document: Document, store: Store, names: Names) -> None:
    """Tell a cup: its mix, what was poured with lots, what was taken out, what is left, its label."""
    from sprayout_library.record.cups import Shelf
    from sprayout_library.today.cautions import cup_cautions

    assert is_batch(document)
    shelf = Shelf(store, [document])
    ready = f", ready for {document.spray_ready}" if document.spray_ready else ""
    facts = [
        ("label", document.label or "none"),
        ("of", f"{names.label(document.formula)}{ready}"),
        ("left", _left_words(document.id, shelf)),
        ("hardener", "in" if document.catalysed == "yes" else ""),
        ("poured at", date_of(document.poured_at) if document.poured_at else ""),
    ]
    rows([fact for fact in facts if fact[1]])
    heading("Poured")
    rows([(names.label(one.id), _amount(one), f"lot {one.lot}" if one.lot else "") for one in document.poured])
    if taken := list((document.taken_out or {}).values()):
        heading("Taken out")
        rows([(_amount(one), one.into or "", date_of(one.at) if one.at else "") for one in taken])
    for line in cup_cautions(document, shelf):
        say(f"  {line}", fg="yellow")


def _amount(one: Poured | TakenOut) -> str:
    from sprayout_core.ratio import exact
    from sprayout_library.cli.bench_words import rounded

    in_ml = one.amount_ml is not None
    return f"{rounded(exact(str(one.amount_ml if in_ml else one.amount_g)), 2)} {'ml' if in_ml else 'g'}"


def _left_words(cup: str, shelf: Shelf) -> str:
    from sprayout_core.errors import SprayoutError
    from sprayout_library.cli.bench_words import rounded

    try:
        unit = shelf.unit(cup)
        return f"{rounded(shelf.left(cup), 2)} {unit} of {rounded(shelf.poured(cup), 2)} {unit} poured"
    except SprayoutError as error:
        return f"not known. {error.fault.sentence}"


def _tell_other(document: Document, store: Store, names: Names) -> None:
    from sprayout_core.documents import tree

    hidden = {
        "format",
        "kind",
        "id",
        "made",
        "seen",
        "edits",
        "questions",
        "provenance",
        "title",
        "thumbnail",
    }
    for member, value in tree(document).items():
        if member not in hidden:
            told = str(value)
            rows([(member.replace("_", " "), told if len(told) < 200 else told[:200] + " …")])


def _tell_common(document: Document, store: Store, names: Names) -> None:
    from sprayout_core.compare import questions_of
    from sprayout_library.cli.shown import caution_lines
    from sprayout_library.cli.waiting import freshly_seen

    for atom in questions_of(document):
        say(f"  Two answers to {atom.partition('/')[0].replace('_', ' ')}: sprayout answers", fg="yellow")
    for one in freshly_seen(store, names, document.id) if document.kind in ("formula", "recipe") else ():
        say(f"  {one.words.capitalize()}, and since then: {'; '.join(one.lines)}", fg="yellow")
    for note in (document.notes or {}).values():
        said = f"{note.by}, " if note.by else ""
        say(f"  Note ({said}{date_of(note.at) if note.at else 'undated'}): {note.text}")
    tags = list(dict.fromkeys((document.tags or {}).values()))
    if tags:
        say(f"  Tags: {', '.join(tags)}")
    if document.withdrawn is not None:
        say("  Withdrawn: out of use.", fg="yellow")
    for line in caution_lines(document, store):
        say(f"  {line}", fg="yellow")
    came = document.provenance
    shop = f" at {names.label(came.shop)}" if came.shop else ""
    source = f", {came.source_place} of a table" if came.source_place else ""
    soft(f"  Made {date_of(came.at)} by {came.by or 'someone'}{shop}{source}; …{document.id[-6:]}")


def _tell_judgement(document: Document, store: Store, names: Names) -> None:
    from sprayout_library.cli.beside import tell_judgement

    tell_judgement(document, store, names)


def _tell_picture(document: Document, store: Store, names: Names) -> None:
    from sprayout_library.cli.beside import tell_picture

    tell_picture(document, store, names)


_TELL = {
    "material": _tell_material,
    "formula": _tell_formula,
    "recipe": _tell_recipe,
    "panel": _tell_panel,
    "judgement": _tell_judgement,
    "picture": _tell_picture,
    "batch": _tell_batch,
}
