"""What other shops' panels say of a recipe's coats: written 5, other shops needed 4.6 +- 0.3. Derived, never kept."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from sprayout_core.documents import Panel, Piece, Recipe
from sprayout_core.errors import SprayoutError
from sprayout_library.film.counting import step_cards_for
from sprayout_library.film.laid_beside import Laid, Wishes, beside_card
from sprayout_library.film.reading_of import coats_counted, seen_of
from sprayout_library.record.about import evidence_of_panels
from sprayout_library.record.evidence import Evidence, evidence_for
from sprayout_library.record.names import Names
from sprayout_library.store import Store

if TYPE_CHECKING:
    from sprayout_core.film import CoatCount, Estimate
    from sprayout_core.light import View

__all__ = ["OtherShops", "ShopFilm", "other_shops"]


@dataclass(frozen=True, slots=True)
class ShopFilm:
    """Another shop's film per counted coat, against that of the shop whose step card it was counted by.

    film, doubt   1.1 is a tenth heavier; doubt is a standard uncertainty
    panels        that answered
    """

    shop: str
    film: float
    doubt: float
    panels: int

    @property
    def words(self) -> str:
        """Say it: 10 % heavier (give or take 6), by 2 panels."""
        of = "1 panel" if self.panels == 1 else f"{self.panels} panels"
        percent = 100 * (self.film - 1)
        if abs(percent) < 200 * self.doubt:
            return f"coats as heavy as the step card's, give or take {200 * self.doubt:.0f} %, by {of}"
        way = "heavier" if percent > 0 else "lighter"
        return f"coats {abs(percent):.0f} % {way} than the step card's (give or take {200 * self.doubt:.0f}), by {of}"


@dataclass(frozen=True, slots=True)
class OtherShops:
    """How many coats other shops needed of a recipe that writes `written`, give or take `give`, 95 times in 100."""

    written: float
    needed: float
    give: float
    shops: tuple[ShopFilm, ...]

    @property
    def words(self) -> str:
        """Say it: written 5, other shops needed 4.6 +- 0.3."""
        who = "another shop" if len(self.shops) == 1 else f"{len(self.shops)} other shops"
        return f"written {self.written:g}, {who} needed {self.needed:.1f} +- {self.give:.1f}"

    def data(self) -> dict[str, Any]:
        """Return it as plain JSON."""
        return {
            "written": self.written,
            "needed": round(self.needed, 3),
            "give": round(self.give, 3),
            "words": self.words,
            "shops": [
                {"shop": one.shop, "film": round(one.film, 3), "doubt": round(one.doubt, 3), "panels": one.panels}
                for one in self.shops
            ],
        }


def other_shops(store: Store, names: Names, recipe: Recipe) -> OtherShops | None:
    """Return what panels of other shops say of a recipe's coats, or None where none can be counted.

    Each panel that another shop counted coats on and measured is laid beside a step card of the same mix over the
    same ground: the answers of a shop make its film factor, and that how many coats it needed for the film that is
    written. Nothing of it is kept: it follows from panels and readings.
    """
    from sprayout_core.film import film_factor, needed
    from sprayout_library.record.between import views_of

    counts = [coat.count for _, coat in recipe.coats_in_order()]
    if not counts or not all(count.isdigit() for count in counts):
        return None
    written = float(sum(int(count) for count in counts))
    every = evidence_for(store, "panel")
    panels = [one for one in every.panels_of(recipe) if one.withdrawn is None]
    if len({one.provenance.shop for one in panels}) < 2 or not any(one.steps for one in panels):
        return None
    evidence = Evidence(every.panels, evidence_of_panels(store, {one.id for one in panels}, "reading").readings)
    answers: dict[str, list[tuple[CoatCount, float]]] = defaultdict(list)
    (view,) = views_of(store, [])
    for panel in panels:
        for shop, count, counted in _answers(evidence, recipe, panel, view):
            answers[shop].append((count, counted))
    if not answers:
        return None
    factors: dict[str, Estimate] = {shop: film_factor(own) for shop, own in answers.items()}
    coats = needed(written, list(factors.values()))
    shops = tuple(
        ShopFilm(names.label(shop), one.value, one.uncertainty, len(answers[shop])) for shop, one in factors.items()
    )
    return OtherShops(written, coats.value, 1.96 * coats.uncertainty, shops)


def _answers(evidence: Evidence, recipe: Recipe, panel: Panel, view: View) -> Iterator[tuple[str, CoatCount, float]]:
    """Yield shop, count and coats counted of a panel that lies beside another shop's step card."""
    shop = panel.provenance.shop
    cards = [one for one in step_cards_for(evidence, panel) if one.recipe == recipe.id and one.provenance.shop != shop]
    home = _home(evidence, recipe, panel)
    cards.sort(key=lambda one: one.provenance.shop != home)
    if not shop or shop == home or not cards:
        return
    for one in _pieces(panel):
        counted = coats_counted(panel, one)
        seen = seen_of(evidence.readings.get(panel.id, []), view)
        asked = [
            Laid(panel.name, each.grade, each.stage, each.spectra, each.colours, each.doubt)
            for each in seen
            if (each.zone, each.step) == ("", one.step or "")
        ]
        if not counted or not asked:
            continue
        steps = [each for each in seen_of(evidence.readings.get(cards[0].id, []), view) if not each.zone]
        try:
            found = beside_card(asked, cards[0], steps, Wishes(view, None, None, None))
        except SprayoutError:
            continue  # measured in another way than the card: it has no answer
        if found.fits:
            yield shop, found.count, counted


def _home(evidence: Evidence, recipe: Recipe, panel: Panel) -> str | None:
    """Return the shop whose coats count as written: that of the standard over this ground, else the recipe's own."""
    standard = (recipe.standards or {}).get(panel.ground.id) if panel.ground else None
    held = evidence.panels.get(standard.panel) if standard else None
    return held.provenance.shop if held else recipe.provenance.shop


def _pieces(panel: Panel) -> list[Piece]:
    return [Piece(panel=panel.id, step=step) for step in panel.steps or {}] or [Piece(panel=panel.id)]
