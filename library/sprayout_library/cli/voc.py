"""sprayout voc: VOC as applied, with its inputs shown; which figure counts is local law."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Any

import click

from sprayout_library.cli.bench_words import named, number_in, percent_span, rounded
from sprayout_library.cli.desk import Desk
from sprayout_library.cli.told import rows, say, soft

if TYPE_CHECKING:
    from sprayout_core.documents import Material
    from sprayout_core.mix import Coating


@click.command("voc")
@click.argument("mix")
@click.option("--through", metavar="VARIANT", help="As reduced for this gun.")
@click.option("--solids", multiple=True, metavar="NAME=PERCENT", help="Solids by mass, from its data sheet; repeat it.")
@click.option("--water", multiple=True, metavar="NAME=PERCENT", help="Water by mass, from its data sheet; repeat it.")
@click.option(
    "--exempt", multiple=True, metavar="NAME=PERCENT", help="What your local rule exempts, by mass; repeat it."
)
@click.option("--exempt-density", metavar="G/ML", help="The density of what is exempt.")
@click.pass_obj
def command(desk: Desk, /, mix: str, through: str | None, **given: Any) -> None:
    """VOC of MIX as applied, as in ASTM D3960 and EPA Method 24; no limit is known here."""
    from sprayout_core.documents import Formula
    from sprayout_core.mix import ASK_LOCALLY, G_PER_L_IN_LB_PER_GAL, voc_as_applied
    from sprayout_library.record.cups import shares_of

    with desk.store() as store:
        names = desk.names(store)
        formula = desk.document(store, mix, "formula")
        assert isinstance(formula, Formula)
        shares = shares_of(formula, store.find, through, "ml")
        said: dict[str, dict[str, Fraction]] = {kind: {} for kind in ("solids", "water", "exempt")}
        for kind, known in said.items():
            for pair in given[kind]:
                name, text = named(pair, f"{kind} of what")
                known[names.find(name, "material").id] = _percent(text)
        density = number_in(given["exempt_density"], "g/ml") if given["exempt_density"] else None
        coatings = [(1000 * share, _coating(store.get(key), key, said, density)) for key, share in shares.items()]
        found = voc_as_applied(coatings)
        ready = f", ready for {through}" if through else ""
        say(f"{formula.name}{ready}", bold=True)
        rows([
            ("VOC, actual", _both(found.actual, G_PER_L_IN_LB_PER_GAL)),
            ("VOC, less water and exempt", _both(found.less_water_and_exempt, G_PER_L_IN_LB_PER_GAL)),
        ])  # fmt: skip
        say("From, for one litre:")
        rows([(names.label(key), f"{rounded(1000 * share)} ml", f"{rounded(coating.density_g_per_ml, 3)} g/ml",
               f"{rounded(100 * coating.solids)} % solids by mass")
              for (key, share), (_, coating) in zip(shares.items(), coatings, strict=True)])  # fmt: skip
        soft(f"  {'; '.join(found.inputs)}")
        soft(f"  {ASK_LOCALLY}")


def _percent(text: str) -> Fraction:
    from sprayout_core.errors import SprayoutError

    if text.strip() in ("0", "0%"):
        return Fraction(0)
    found = percent_span(text, "a share")
    if found.low != found.high:
        raise SprayoutError(f"{text!r} is a range", "Give one figure from the data sheet.")
    return found.low


def _both(value: Fraction, pound: Fraction) -> str:
    return f"{rounded(value)} g/l ({rounded(value / pound, 2)} lb/US gal)"


def _coating(material: Any, key: str, said: dict[str, dict[str, Fraction]], exempt_density: Fraction | None) -> Coating:
    from sprayout_core.documents import Material
    from sprayout_core.errors import SprayoutError
    from sprayout_core.mix import Coating, density

    if not isinstance(material, Material):
        raise SprayoutError(f"…{key[-6:]} is not here", "Sync, or take a packet that has it.")
    return Coating(
        density(material), _solids(material, said["solids"]), said["water"].get(key, Fraction(0)),
        said["exempt"].get(key, Fraction(0)), exempt_density,
    )  # fmt: skip


def _solids(material: Material, said: dict[str, Fraction]) -> Fraction:
    from sprayout_core.errors import SprayoutError
    from sprayout_core.ratio import exact

    if material.id in said:
        return said[material.id]
    if material.mass_solids_percent is not None:
        return exact(material.mass_solids_percent) / 100
    if material.role == "reducer":
        return Fraction(0)
    raise SprayoutError(
        f"the solids by mass of {material.name} are not recorded", f'Give them: --solids "{material.name}=30".'
    )
