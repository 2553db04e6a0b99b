"""Shops and their copies of the library."""

from __future__ import annotations

from collections import Counter
from weakref import WeakKeyDictionary

from sprayout_core.compare import Put, TakeAway
from sprayout_core.documents import Shop
from sprayout_core.errors import SprayoutError
from sprayout_library.record.names import Names
from sprayout_library.record.writer import Writer
from sprayout_library.store import Store
from sprayout_library.store.reader import ObjectReader

__all__ = ["announce_copy", "announce_key", "copies_called", "copies_named", "own_shop", "rename_shop", "shop_changes"]

_CALLED: WeakKeyDictionary[ObjectReader, tuple[str | None, dict[str, str]]] = WeakKeyDictionary()


def shop_changes(writer: Writer, names: Names, title: str, copy_name: str) -> Shop:
    """Save a shop that this copy belongs to: a new one, or the known one with this copy added.

    A copy that belonged to another shop leaves that one; its key goes along. Raises Ambiguous where several shops are
    called so.
    """
    copy_id = writer.store.copy_id
    former = own_shop(writer.store)
    entry = (former.copies or {}).get(copy_id) if former else None
    copy = {"name": entry.name if entry else copy_name} | ({"key": entry.key} if entry and entry.key else {})
    saved = []
    if names.matching(title, "shop"):
        held = writer.store.get(names.find(title, "shop").id)
        assert held is not None
        shop = writer.edited(held, [Put(f"copies/{copy_id}", copy)])
    else:
        shop = writer.new("shop", {"title": title, "copies": {copy_id: copy}})
    if former is not None and entry is not None and former.id != shop.id:
        saved.append(writer.edited(former, [TakeAway(f"copies/{copy_id}")]))
    writer.save([*saved, shop], f"{title} joins with a copy")
    writer.store.facts.put("shop", shop.id)
    assert isinstance(shop, Shop)
    return shop


def own_shop(store: Store) -> Shop | None:
    """Return the shop that this copy belongs to, where it belongs to one."""
    known = store.facts.get("shop")
    held = store.get(known) if isinstance(known, str) else None
    return held if isinstance(held, Shop) else None


def rename_shop(writer: Writer, names: Names, shop: Shop, title: str) -> Shop:
    """Save another name for a shop. Raises SprayoutError where another shop is called so."""
    if any(other.id != shop.id for other in names.matching(title, "shop")):
        raise SprayoutError(f"another shop is called {title!r}", "Choose a name that nobody can mistake.")
    renamed = writer.edited(shop, [Put("title", title)])
    writer.save([renamed], f"{shop.name} is called {title} from now on")
    assert isinstance(renamed, Shop)
    return renamed


def copies_called(store: Store) -> dict[str, str]:
    """Return what to call each copy that a shop's document names: the shop, and the copy where it has several.

    Read once for each state that a store reads: listing a library asks git each time.
    """
    held = _CALLED.get(store.reader)
    if held is None or held[0] != store.head:
        held = _CALLED[store.reader] = store.head, _called(store)
    return dict(held[1])


def _called(store: Store) -> dict[str, str]:
    called: dict[str, str] = {}
    shops = [shop for shop in store.documents("shop") if isinstance(shop, Shop)]
    names = Counter(shop.name.casefold() for shop in shops)
    for shop in shops:
        known = shop.copies or {}
        name = shop.name if names[shop.name.casefold()] == 1 else f"{shop.name} …{shop.id[-6:]}"
        for copy, entry in known.items():
            called[copy] = f"{name} ({entry.name})" if len(known) > 1 and entry.name else name
    return called


def copies_named(store: Store, text: str) -> set[str]:
    """Return the copies that go by a shop's name, by the name of a copy, or by a copy's own id."""
    wanted = " ".join(text.casefold().split())
    found: set[str] = set()
    for shop in store.documents("shop"):
        if isinstance(shop, Shop):
            for copy, entry in (shop.copies or {}).items():
                called = (shop.name, entry.name or "", f"{shop.name} ({entry.name})", copy)
                if wanted in {" ".join(name.casefold().split()) for name in called}:
                    found.add(copy)
    return found


def announce_copy(writer: Writer) -> bool:
    """Save in this machine's shop that it goes on with another copy, as after a restored backup; whether it did."""
    shop = writer.store.get(writer.shop) if writer.shop else None
    copy = writer.store.copy_id
    if not isinstance(shop, Shop) or copy in (shop.copies or {}):
        return False
    former = [held for name, held in (shop.copies or {}).items() if name in writer.store.facts.get("former", [])]
    told = {"name": former[-1].name if former and former[-1].name else shop.name}
    writer.save([writer.edited(shop, [Put(f"copies/{copy}", told)])], f"{shop.name} goes on with another copy")
    return True


def announce_key(writer: Writer, line: str) -> bool:
    """Save in this copy's shop which key it signs with, so that others can compare it; whether there is a shop."""
    shop = writer.store.get(writer.shop) if writer.shop else None
    if not isinstance(shop, Shop):
        return False
    copy = writer.store.copy_id
    entry = (shop.copies or {}).get(copy)
    told = {"name": entry.name if entry and entry.name else shop.name, "key": line}
    writer.save([writer.edited(shop, [Put(f"copies/{copy}", told)])], f"{shop.name} says which key it signs with")
    return True
