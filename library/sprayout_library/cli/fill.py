"""sprayout fill: house ratios: fill the slots, and see which fillings now differ."""

from __future__ import annotations

import click

from sprayout_library.cli.desk import Desk
from sprayout_library.cli.told import heading, rows, say, soft


@click.command("fill")
@click.argument("pattern")
@click.argument("title", required=False)
@click.option("--slot", multiple=True, metavar="SLOT=NAME", help="What goes into a slot; repeat it for each.")
@click.pass_obj
def command(desk: Desk, /, pattern: str, title: str | None, slot: tuple[str, ...]) -> None:
    """Fill the house ratio PATTERN: TITLE becomes an ordinary mix. Without TITLE: its fillings.

    \b
    sprayout mix "House glass = 4 [dye] : 1 [pearl] : 2 clear carrier"
    sprayout fill "House glass" "Teal glass" --slot "dye=weak teal" --slot "pearl=fine pearl"
    """
    from sprayout_core.documents import Formula
    from sprayout_core.errors import SprayoutError

    with desk.store() as store:
        held = desk.document(store, pattern, "formula")
        assert isinstance(held, Formula)
        if title is None:
            if slot:
                raise SprayoutError("the new mix has no name", 'Give it one: sprayout fill PATTERN "TITLE" --slot ...')
            _tell_fillings(desk, store, held)
            return
        _fill(desk, store, held, title, slot)


def _fill(desk: Desk, store: object, held: object, title: str, slot: tuple[str, ...]) -> None:
    from sprayout_core.compare import written_ratio
    from sprayout_core.documents import Formula, Thing
    from sprayout_core.errors import SprayoutError
    from sprayout_library.cli.derive import check_cycle
    from sprayout_library.record.house import filled_facts, slots_from_words
    from sprayout_library.store import Store

    assert isinstance(store, Store)
    assert isinstance(held, Formula)
    names = desk.names(store)
    if names.matching(title, "formula"):
        raise SprayoutError(f"{title!r} is there already", "Give the new mix a name of its own.")
    said: dict[str, Thing] = {}
    for pair in slot:
        key, sign, name = pair.partition("=")
        if not sign or not key.strip() or not name.strip():
            raise SprayoutError(f"--slot {pair!r} says no slot and name", 'Write "SLOT=NAME".')
        if key.strip() in said:
            raise SprayoutError(f"the slot {key.strip()!r} is filled twice", "Fill it once.")
        entry = names.find(name.strip(), "material", "formula")
        said[key.strip()] = Thing.model_validate({"kind": entry.kind, "id": entry.id})
    facts, filling = filled_facts(held, title, slots_from_words(held, said))
    writer = desk.writer(store)
    document = writer.new("formula", facts, filling=filling)
    assert isinstance(document, Formula)
    check_cycle(document, store)
    writer.save([document], f"Mix {title}, filling {held.name}")
    say(f"{title} = {written_ratio(document, names.label)}")
    soft(f'  fills {held.name}; never sprayed. All its fillings: sprayout fill "{held.name}"')


def _tell_fillings(desk: Desk, store: object, held: object) -> None:
    from sprayout_core.compare import written_ratio
    from sprayout_core.documents import Formula
    from sprayout_library.record import evidence_for
    from sprayout_library.record.house import fillings_of
    from sprayout_library.store import Store

    assert isinstance(store, Store)
    assert isinstance(held, Formula)
    names = desk.names(store)
    say(f"{held.name} = {written_ratio(held, names.label)}", bold=True)
    found = fillings_of(store, held, evidence_for(store))
    heading(f"{len(found)} filling{'' if len(found) == 1 else 's'}")
    rows(
        [
            (
                one.formula.name,
                ", ".join(f"{slot}: {names.label(thing.id)}" for slot, thing in sorted(one.slots.items())),
                one.sprayed.value,
                f"differs: {one.differs}" if one.differs else "",
            )
            for one in found
        ]
    )
    if not found:
        soft(f'  sprayout fill "{held.name}" TITLE --slot SLOT=NAME')
