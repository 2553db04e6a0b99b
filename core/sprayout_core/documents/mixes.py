"""A mix in parts, and what is done to it for the gun."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import Annotated, Literal

from pydantic import Field, model_validator

from sprayout_core.documents import ways
from sprayout_core.documents.head import Part
from sprayout_core.documents.spelling import ComponentKey, Id, Member, Rule, fault, refuse
from sprayout_core.documents.values import Amount, Positive, Text
from sprayout_core.ratio import LARGEST_PART

__all__ = ["Component", "Mix", "Reduce", "SprayReady", "Strain", "Strainers"]


class Component(Part):
    """One component of a mix: a material, a formula or an open slot, with its part of the ratio."""

    kind: Literal["material", "formula", "slot"]
    ratio: Annotated[int, Field(ge=1, le=LARGEST_PART)] | None = None
    g_per_l: Positive | None = None

    @model_validator(mode="after")
    def _one_amount(self) -> Component:
        if (self.ratio is None) == (self.g_per_l is None):
            raise fault("needs either ratio or g_per_l", "Give one of them: parts, or grams per litre of the liquid.")
        return self


class Mix(Part):
    """Components in smallest whole numbers, with how they were written (scale, order, as_typed)."""

    basis: Literal["volume", "mass"] | None = None
    items: dict[ComponentKey, Component] | None = None
    scale: Positive | None = None
    order: list[ComponentKey] | None = None
    as_typed: Text | None = None

    @model_validator(mode="after")
    def _whole(self) -> Mix:
        refuse(self._broken())
        return self

    def _broken(self) -> Iterator[Rule]:
        if (self.basis is None) != (self.items is None):
            yield Rule("basis and items go together", "Give both: the parts, and whether by volume or by mass.")
        if self.items is not None:
            yield from self._broken_ratio(self.items)
            for key, item in self.items.items():
                yield from self._broken_component(key, item)
        if self.order is not None and len(set(self.order)) != len(self.order):
            yield Rule("a component stands twice", "Name each once.", "order")

    def _broken_ratio(self, items: Mapping[str, Component]) -> Iterator[Rule]:
        ratios = [item.ratio for item in items.values() if item.ratio is not None]
        if not ratios:
            yield Rule("nothing liquid", "Give at least one component its part of the ratio.", "items")
        elif (common := math.gcd(*ratios)) != 1:
            lowest = ":".join(str(ratio // common) for ratio in ratios)
            remedy = f"Write {lowest} and keep the rest in scale."
            yield Rule("the ratio is not in smallest whole numbers", remedy, "items")

    def _broken_component(self, key: str, item: Component) -> Iterator[Rule]:
        if key.startswith("slot.") != (item.kind == "slot"):
            remedy = "Name a slot slot.dye, a material or formula by its id."
            yield Rule(f"{item.kind} under {key}", remedy, f"items/{key}")
        if item.g_per_l is not None and self.basis == "mass":
            yield Rule("grams per litre in a mix by mass", "Use it in a mix by volume only.", f"items/{key}/g_per_l")

    def pouring_order(self) -> list[str]:
        """Return the component ids in pouring order: as written, forgotten ones appended by id."""
        return ways.pouring_order(self)


class Reduce(Part):
    """How much reducer: `parts` of it for one part of the mix on top, or as a share within the whole."""

    of: Literal["mix", "whole"]
    parts: Positive
    material: Id | None = None

    @model_validator(mode="after")
    def _within(self) -> Reduce:
        from sprayout_core.ratio import exact

        if self.of == "whole" and exact(self.parts) >= 1:
            raise fault("the whole cannot be reducer", "Give a share below 1, such as 0.05.", "parts")
        return self


class Strain(Part):
    """One strainer, by its opening."""

    opening_um: Positive
    as_typed: Text | None = None


class Strainers(Part):
    """Where the mix is strained: when poured, and in the cup of the gun."""

    pour: Strain | None = None
    gun: Strain | None = None


class SprayReady(Part):
    """What is done to a mix for one gun."""

    reduce: Reduce | None = None
    strain: Strainers | None = None
    tip_mm: Positive | None = None
    laid: Literal["mist", "medium", "wet"] | None = None
    gun: Text | None = None
    body: Text | None = None
    pressure_kpa: Positive | None = None
    flow_s: Amount | None = None
    flow_cup: Text | None = None


Variants = dict[Member, SprayReady]
