"""sprayout shop: the shops of this library, which one is yours, and its name."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from sprayout_library.cli.desk import Desk
from sprayout_library.cli.told import counted, json_out, rows, say, soft

if TYPE_CHECKING:
    from sprayout_library.store import Store


@click.command("shop")
@click.option("--mine", metavar="NAME", help="This machine works for the shop called NAME.")
@click.option("--new", "new", metavar="NAME", help="This machine works for a shop that is not here yet.")
@click.option("--rename", metavar="NAME", help="What your shop is called from now on.")
@click.option("--json", "form", flag_value="json", help="As JSON.")
@click.pass_obj
def command(desk: Desk, /, mine: str | None, new: str | None, rename: str | None, form: str | None) -> None:
    """Tell the shops of this library, or say which one is yours.

    A shop may have several copies: the office, the booth. Two shops of one name cannot be told apart: rename one.
    """
    from sprayout_core.errors import SprayoutError
    from sprayout_library.machine.keys import key_of
    from sprayout_library.record.shops import announce_key, own_shop, rename_shop, shop_changes

    given = [name for name in (mine, new, rename) if name is not None]
    if len(given) > 1:
        raise SprayoutError("only one of --mine, --new and --rename", "Say one, then the other.")
    if given and not given[0].strip():
        raise SprayoutError("what is the shop called?", "Give it a name.")
    with desk.store() as store:
        if not given:
            _tell(store, form)
            return
        names, writer = desk.names(store), desk.writer(store)
        name = " ".join(given[0].split())
        if new and names.matching(name, "shop"):
            raise SprayoutError(f"a shop is called {name!r} already", f'If it is yours: sprayout shop --mine "{name}"')
        if mine and not names.matching(name, "shop"):
            raise SprayoutError(f"no shop is called {name!r}", f'If it is a new one: sprayout shop --new "{name}"')
        if rename:
            own = own_shop(store)
            if own is None:
                raise SprayoutError("this machine works for no shop yet", f'Say which: sprayout shop --new "{name}"')
            shop = rename_shop(writer, names, own, name)
        else:
            shop = shop_changes(writer, names, name, store.folder.name)
            if key := key_of(store.copy_id):
                announce_key(desk.writer(store), key.public.line)
        say(f"This machine works for {shop.name}.")
        soft("Others see it after the next sync.")


def _tell(store: Store, form: str | None) -> None:
    from sprayout_core.documents import Shop
    from sprayout_library.record.shops import own_shop

    own = own_shop(store)
    shops = [shop for shop in store.documents("shop") if isinstance(shop, Shop) and shop.withdrawn is None]
    shops.sort(key=lambda one: (one.name.casefold(), one.id))
    copies = {shop.id: [entry.name for entry in (shop.copies or {}).values()] for shop in shops}
    if form == "json":
        mine = own.id if own else ""
        json_out(
            [{"id": shop.id, "name": shop.name, "mine": shop.id == mine, "copies": copies[shop.id]} for shop in shops]
        )
        return
    if not shops:
        say("No shop yet.")
    rows(
        [
            (
                "*" if own is not None and shop.id == own.id else " ",
                shop.name,
                f"…{shop.id[-6:]}",
                f"{counted(len(copies[shop.id]), 'machine')}: {', '.join(copies[shop.id])}" if copies[shop.id] else "",
            )
            for shop in shops
        ]
    )
    if own is None:
        soft('This machine works for none of them yet: sprayout shop --new "..." or --mine "..."')
