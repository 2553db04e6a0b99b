"""What `sprayout panel` takes from cups: which they are, what went out of them, and what is told of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from sprayout_library.cli.bench_words import amount_in, named, rounded
from sprayout_library.cli.told import say, soft

if TYPE_CHECKING:
    from sprayout_core.documents import Batch, Document, Recipe, SprayedCoat
    from sprayout_library.record import Names, Writer
    from sprayout_library.store import Store

__all__ = ["PanelCups"]


@dataclass(frozen=True, slots=True)
class PanelCups:
    """The cups a panel was sprayed from; none where none is named.

    used   batch id to what was sprayed out of it, as typed: "80 ml" or "rest"
    """

    store: Store
    names: Names
    cups: tuple[Batch, ...]
    used: dict[str, str]

    @classmethod
    def of(cls, store: Store, names: Names, codes: Sequence[str], used: Sequence[str]) -> PanelCups:
        """Return the cups of label codes, or of what their squares say. Raises SprayoutError."""
        from sprayout_core.errors import SprayoutError
        from sprayout_library.cli.cup import found_cup
        from sprayout_library.record.cups import Shelf

        if not codes and not used:
            return cls(store, names, (), {})
        shelf = Shelf(store)
        found = [found_cup(code, store, names, shelf) for code in codes]
        cups = tuple({batch.id: batch for batch in found}.values())
        amounts: dict[str, str] = {}
        for pair in used:
            code, amount = named(pair, "how much out of which cup")
            batch = found_cup(code, store, names, shelf)
            if batch.id not in {one.id for one in cups}:
                raise SprayoutError(f"{batch.label} is not among the cups", f"Name it too: --cup {batch.label}.")
            if batch.id in amounts:
                raise SprayoutError(f"{batch.label} is said twice", "Say once what was sprayed out of it.")
            amounts[batch.id] = amount
        return cls(store, names, cups, amounts)

    def coats(self, recipe: Recipe, sprayed: list[SprayedCoat]) -> tuple[list[SprayedCoat], dict[str, Any] | None]:
        """Return the coats with their cups and what those pin; the coats as they are where no cup is named."""
        if not self.cups:
            return sprayed, None
        from sprayout_library.record.cups import Shelf
        from sprayout_library.record.from_cups import coats_from_cups, pinned_by_cups
        from sprayout_library.record.panels import coats_of_recipe

        coats = coats_from_cups(sprayed or coats_of_recipe(recipe), self.cups, Shelf(self.store), self.names)
        return coats, pinned_by_cups(coats, self.cups, self.store)

    def emptied(self, writer: Writer, sprayed_at: str) -> list[Document]:
        """Return the cups after what was sprayed out of them. Raises SprayoutError for more than is left."""
        from sprayout_library.record.batches import take_out
        from sprayout_library.record.cups import Shelf
        from sprayout_library.record.from_cups import refuse_before_pouring

        refuse_before_pouring(self.cups, sprayed_at)
        edited = []
        for batch in self.cups:
            if batch.id in self.used:
                amount = self.used[batch.id]
                wanted = None if amount.lower() == "rest" else amount_in(amount)
                edited.append(writer.edited(batch, [take_out(Shelf(self.store), batch, wanted, "sprayed", sprayed_at)]))
        return edited

    def proves(self) -> str:
        """Say what a panel from these cups proves."""
        if not self.cups:
            return "the mix as it stands now"
        told = [f"{batch.label} ({self.names.label(batch.formula)})" for batch in self.cups]
        return f"what was poured in {' and '.join(told)}"

    def tell(self, recipe: Recipe) -> None:
        """Say what is left in each cup, of which it was not said, and where one was made ready otherwise."""
        from sprayout_library.record.cups import Shelf

        for batch in self.cups:
            guns = [coat.spray_ready for _, coat in recipe.coats_in_order() if coat.formula == batch.formula]
            if batch.spray_ready not in guns:
                ready = f"made ready for {batch.spray_ready}" if batch.spray_ready else "not made ready for a gun"
                meant = f"through {guns[0]}" if guns[0] else "as it is mixed"
                say(f"  {batch.label} was {ready}; the recipe sprays it {meant}", fg="yellow")
        if self.used:
            self.store.refresh()
            after = Shelf(self.store)
            for key in self.used:
                say(f"  {after.batches[key].label}: {rounded(after.left(key), 2)} {after.unit(key)} left")
        silent = [batch.label for batch in self.cups if batch.id not in self.used]
        if silent:
            soft(f"What went out of {', '.join(map(str, silent))} was not said: sprayout cup {silent[0]} --take AMOUNT")
