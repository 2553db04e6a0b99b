"""Why another shop's panel differs: how much looks like film, ground, dye strength, instrument; what to change next."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from sprayout_core.documents import Panel, Piece, Recipe
from sprayout_core.errors import SprayoutError
from sprayout_library.film.counting import same_mix
from sprayout_library.film.gathering import ground_kind
from sprayout_library.film.knowing import Known, known
from sprayout_library.film.reading_of import Seen, coats_counted, seen_of
from sprayout_library.record.about import evidence_of_panels
from sprayout_library.record.evidence import Evidence, evidence_for
from sprayout_library.record.names import Names
from sprayout_library.record.pieces import piece_from_words, piece_name
from sprayout_library.store import Store

if TYPE_CHECKING:
    from sprayout_core.film import Cause, Ground, PanelStep
    from sprayout_core.light import View

__all__ = ["Reproduced", "ToldCause", "reproduce"]


@dataclass(frozen=True, slots=True)
class ToldCause:
    """One cause: its name, how much of it in words, and the dE00 it alone makes."""

    name: str
    words: str
    difference: float


@dataclass(frozen=True, slots=True)
class Reproduced:
    """Another panel beside the standard: how far off, what it looks like, what to do next.

    difference    dE00 between both, at this geometry
    towards       in words how the other differs
    causes        the largest first; those that make less than 0.05 are left out
    unexplained   dE00 that no cause accounts for
    advice        what to change or to check next
    """

    panel: str
    shop: str
    standard: str
    ground: str
    geometry: str
    view: str
    difference: float
    towards: str
    causes: tuple[ToldCause, ...]
    unexplained: float
    advice: str
    notes: tuple[str, ...]

    def data(self) -> dict[str, Any]:
        """Return it as plain JSON."""
        return {
            "panel": self.panel,
            "shop": self.shop,
            "standard": self.standard,
            "ground": self.ground,
            "geometry": self.geometry,
            "view": self.view,
            "difference": round(self.difference, 3),
            "towards": self.towards,
            "causes": [
                {"name": one.name, "words": one.words, "difference": round(one.difference, 3)} for one in self.causes
            ],
            "unexplained": round(self.unexplained, 3),
            "advice": self.advice,
            "notes": list(self.notes),
        }


def reproduce(
    store: Store, names: Names, panel: str, against: str | None = None, geometry: str | None = None
) -> Reproduced:
    """Return how a panel differs from its recipe's standard, or from another panel, and what that looks like.

    panel, against   "MY-1", or one step of one: "SC-1/5"; the standard over the panel's ground where none is named
    geometry         the commonest that both were read in where none is named

    Both need spectra of one stage. Raises SprayoutError with what is missing.
    """
    from sprayout_core.difference import ciede2000, words
    from sprayout_core.film import Trial, reproduction
    from sprayout_library.record.between import place_words, views_of

    evidence = evidence_for(store, "panel")
    other = piece_from_words(panel, names, store)
    theirs = evidence.panels[other.panel]
    standard = piece_from_words(against, names, store) if against else _standard(store, names, theirs)
    ours = evidence.panels[standard.panel]
    if standard == other:
        raise SprayoutError(f"{panel} is the standard itself", "Name another shop's panel of it.")
    if theirs.ground is None or ours.ground is None or theirs.ground.id != ours.ground.id:
        raise SprayoutError(f"{panel} and {ours.name} lie over different grounds", "Compare panels over one ground.")
    evidence = _with_readings(store, evidence, ours, theirs)
    (view,) = views_of(store, [])
    one, two, chosen = _alike(evidence, standard, other, knowledge := known(store), view, geometry)
    step = _taught(knowledge, ours, standard, chosen)
    ground = _own_ground(store, evidence, ours, knowledge.ground(theirs.ground.id, names.label(theirs.ground.id)))
    trial = Trial(ground or step.ground, step.shares, step.coats, step.shop)
    their_ground = _own_ground(store, evidence, theirs, step.ground) if theirs.provenance.shop != _shop(ours) else None
    found = reproduction(knowledge.learned, trial, chosen, one.spectra[chosen], two.spectra[chosen], their_ground, view)
    gap = float(ciede2000(one.colours[chosen], two.colours[chosen]))
    return Reproduced(
        panel, names.label(theirs.provenance.shop) if theirs.provenance.shop else "", piece_name(standard, names),
        names.label(theirs.ground.id), chosen, str(view), gap,
        f"{words(one.colours[chosen], two.colours[chosen])} {place_words(chosen)}",
        tuple(_told(cause) for cause in found.causes if cause.difference >= 0.05), found.unexplained, found.advice,
        _notes(ours, theirs, standard, other, their_ground),
    )  # fmt: skip


def _with_readings(store: Store, evidence: Evidence, *panels: Panel) -> Evidence:
    """Return the same panels with the readings of these, and of every piece that may show their ground bare."""
    grounds = {panel.ground.id for panel in panels if panel.ground}
    bare = {
        one.id
        for one in evidence.panels.values()
        if one.ground and one.ground.id in grounds and (one.steps or not one.coats)
    }
    wanted = {panel.id for panel in panels} | bare
    return Evidence(evidence.panels, evidence_of_panels(store, wanted, "reading").readings)


def _shop(panel: Panel) -> str:
    return panel.provenance.shop or ""


def _standard(store: Store, names: Names, panel: Panel) -> Piece:
    recipe = store.find(panel.recipe) if panel.recipe else None
    over = panel.ground.id if panel.ground else ""
    chosen = (recipe.standards or {}).get(over) if isinstance(recipe, Recipe) else None
    if chosen is None:
        what = f"{recipe.name} has no standard over {names.label(over)}" if recipe and over else "it has no standard"
        raise SprayoutError(what, "Name the panel to compare with: --against KF-1")
    return Piece(panel=chosen.panel, step=chosen.step, zone=chosen.zone)


def _alike(
    evidence: Evidence, standard: Piece, other: Piece, knowledge: Known, view: View, geometry: str | None
) -> tuple[Seen, Seen, str]:
    """Return what is known of both by spectra of one stage, and a geometry both were read in."""

    def spectra(piece: Piece) -> list[Seen]:
        readings = evidence.readings.get(piece.panel, [])
        spot = (piece.zone or "", piece.step or "")
        return [one for one in seen_of(readings, view) if one.spectra and (one.zone, one.step) == spot]

    for one in spectra(standard):
        for two in spectra(other):
            shared = [at for at in knowledge.geometries() if at in one.spectra and at in two.spectra]
            shared = [at for at in shared if geometry in (None, at)]
            if one.stage == two.stage and shared:
                return one, two, shared[0]
    at = f" at {geometry}" if geometry else ""
    raise SprayoutError(
        f"the two have no spectra of one stage and geometry{at}",
        "Measure both alike, bare or cleared, in one geometry.",
    )


def _taught(knowledge: Known, panel: Panel, piece: Piece, geometry: str) -> PanelStep:
    """Return what was learned from at the standard: its mix, ground and coats."""
    called = knowledge.gathered.called.get(panel.id)
    counted = coats_counted(panel, piece)
    for step in knowledge.gathered.steps:
        if step.panel == called and step.geometry == geometry and counted in (None, step.coats):
            return step
    why = next((reason for key, reason in knowledge.gathered.left_out if key == panel.id), "its mix is not known")
    raise SprayoutError(f"nothing could be learned from {panel.name}: {why}", "Choose another standard.")


def _own_ground(store: Store, evidence: Evidence, panel: Panel, like: Ground) -> Ground | None:
    """Return the ground as the panel's own shop read it, where it did; `like` gives name and geometries."""
    import numpy as np

    from sprayout_core.film import Ground, GroundKind, ground_from_bare

    assert panel.ground is not None
    rows: dict[tuple[str, str], list[Any]] = {}
    for one in evidence.panels.values():
        if one.ground is None or one.ground.id != panel.ground.id or _shop(one) != _shop(panel) or one.withdrawn:
            continue
        for seen in seen_of(evidence.readings.get(one.id, []), _any_view()):
            if not seen.zone and (seen.step == "0" or not one.coats):
                for geometry, values in seen.spectra.items():
                    rows.setdefault((seen.stage, geometry), []).append(values)
    for stage in ("polished", "cleared", "bare"):
        readings = {at: np.mean(values, axis=0) for (surface, at), values in rows.items() if surface == stage}
        if readings and set(readings) >= set(like.readings):
            kind = GroundKind(ground_kind(store.find(panel.ground.id)))
            return ground_from_bare(like.name, kind, readings) if stage == "bare" else Ground(like.name, kind, readings)
    return None


def _any_view() -> View:
    from sprayout_core.light import View

    return View()


def _told(cause: Cause) -> ToldCause:
    percent = f"{abs(100 * cause.size):.0f} %"
    doubt = f"give or take {200 * cause.uncertainty:.0f}"
    if cause.name == "ground":
        return ToldCause("ground", "as they read their own", cause.difference)
    if cause.name == "film":
        return ToldCause("film", f"{percent} {'heavier' if cause.size > 0 else 'lighter'} ({doubt})", cause.difference)
    if cause.name.startswith("strength of "):
        way = "stronger" if cause.size > 0 else "weaker"
        return ToldCause(cause.name, f"{percent} {way} ({doubt})", cause.difference)
    size = f"{100 * cause.size:+.1f} %" if cause.name.endswith("scale") else f"{100 * cause.size:+.2f} of 100"
    return ToldCause(cause.name, size, cause.difference)


def _notes(ours: Panel, theirs: Panel, standard: Piece, other: Piece, their_ground: Ground | None) -> tuple[str, ...]:
    notes = []
    if not same_mix(ours, theirs):
        notes.append(
            f"{theirs.name} was sprayed from another version of the mix: what looks like strength may be its ratio"
        )
    laid, wanted = coats_counted(theirs, other), coats_counted(ours, standard)
    if laid and wanted and laid != wanted:
        notes.append(f"they counted {laid:g} coats, the standard has {wanted:g}: it shows as film")
    if their_ground is None and _shop(ours) != _shop(theirs):
        notes.append("they have not read their own ground: a different ground would look like something else")
    notes.append("film and strength look much alike on one panel; nothing is proved by this, it says what to try first")
    return tuple(notes)
