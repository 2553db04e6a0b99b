"""Shops and their copies of the library."""

from __future__ import annotations

from sprayout_core.compare import Put
from sprayout_core.documents import Shop
from sprayout_library.record.names import Names
from sprayout_library.record.writer import Writer

__all__ = ["shop_changes"]


def shop_changes(writer: Writer, names: Names, title: str, copy_name: str) -> Shop:
    """Save a shop that this copy belongs to: a new one, or the known one with this copy added."""
    copy = {"name": copy_name}
    known = names.matching(title, "shop")
    if known:
        held = writer.store.get(known[0].id)
        assert held is not None
        shop = writer.edited(held, [Put(f"copies/{writer.store.copy_id}", copy)])
    else:
        shop = writer.new("shop", {"title": title, "copies": {writer.store.copy_id: copy}})
    writer.save([shop], f"{title} joins with a copy")
    writer.store.facts.put("shop", shop.id)
    assert isinstance(shop, Shop)
    return shop
