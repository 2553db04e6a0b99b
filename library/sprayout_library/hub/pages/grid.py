"""Looking before spraying: what a mix would be over each ground, coat by coat, with how far to trust it."""

from __future__ import annotations

from typing import Any

from sprayout_core.errors import SprayoutError
from sprayout_library.hub.pages.visit import Reply, Visit

__all__ = ["grid"]

#: A wider interval than this, in units of the difference, says that nothing is known yet.
_GUESS = 20.0


def grid(visit: Visit) -> Reply:
    """Show the predicted grid of a mix, a name or a line."""
    asked = visit.asked
    mix = asked.said("mix")
    if mix in visit.names.entries:
        mix = visit.names.label(mix)
    shown: dict[str, Any] = {
        "mix": mix, "coats": asked.said("coats", "1 to 6"), "rows": [], "notes": [], "trust": "", "geometry": "",
        "view": "", "suspects": [],
    }  # fmt: skip
    if not mix:
        return Reply("grid.html", shown)
    try:
        return Reply("grid.html", shown | _predicted(visit, mix, shown["coats"]))
    except SprayoutError as error:
        return Reply("grid.html", shown | {"faults": error.faults}, 422)


def _predicted(visit: Visit, mix: str, coats: str) -> dict[str, Any]:
    from sprayout_core.film import predicted_grid
    from sprayout_core.light import hexadecimal, srgb
    from sprayout_library.film.knowing import known, trial_mix
    from sprayout_library.film.words import counts_from_words
    from sprayout_library.record.between import views_of

    store, names = visit.store, visit.names
    counts = counts_from_words(coats)
    knowledge = known(store)
    trial = trial_mix(store, names, knowledge, mix)
    geometry = knowledge.geometries()[0]
    (view,) = views_of(store, [])
    wanted = [names.entries[key] for key in knowledge.gathered.grounds if key in names.entries]
    grounds = [knowledge.ground(one.id, one.name) for one in wanted]
    cells = predicted_grid(knowledge.learned, trial.shares, grounds, counts, [geometry], view)
    rows, notes = [], dict.fromkeys(trial.notes)
    for row in cells:
        told: list[dict[str, Any]] = []
        for cell in row:
            if cell.hatched:
                told.append({"coats": f"{cell.coats:g}", "hatched": cell.hatched})
                continue
            (one,) = cell.predictions
            notes.update(dict.fromkeys(one.notes))
            lab = [float(value) for value in one.lab]
            told.append({
                "coats": f"{cell.coats:g}", "hatched": "", "colour": str(hexadecimal(srgb(one.lab, view).rgb)),
                "lab": "L* {:.1f}, a* {:.1f}, b* {:.1f}".format(*lab), "interval": f"{one.interval:.1f}",
                "known": bool(one.interval <= _GUESS),
            })  # fmt: skip
        rows.append((row[0].ground, told))
    accuracy = knowledge.learned.accuracy
    trust = ""
    if accuracy:
        trust = f"{accuracy.panels} panels left out in turn were missed by {accuracy.mean:.1f} on average"
    return {
        "rows": rows, "notes": list(notes), "trust": trust, "geometry": geometry, "view": str(view),
        "suspects": [f"{one.panel}: {one.reason}" for one in knowledge.learned.suspects],
    }  # fmt: skip
