"""sprayout agree: how two shops' readings of the same panels agree."""

from __future__ import annotations

import click

from sprayout_library.cli.desk import Desk
from sprayout_library.cli.told import json_out, rows, say


@click.command("agree")
@click.argument("ours")
@click.argument("theirs")
@click.option("--json", "form", flag_value="json", help="As JSON.")
@click.pass_obj
def command(desk: Desk, /, ours: str, theirs: str, form: str | None) -> None:
    """Compare the readings of two shops, OURS and THEIRS, on panels that both have measured.

    Bias is what an offset would remove; spread is what is left.
    """
    from sprayout_library.record.shared_panels import agreements

    with desk.store() as store:
        names = desk.names(store)
        first, second = (names.find(text, "shop") for text in (ours, theirs))
        found = agreements(store, first.id, second.id)
        if form == "json":
            json_out([one.data(names.label) for one in found])
            return
        for one in found:
            say(f"{second.name} against {first.name}, {one.said}: {one.agreement.count} panels", bold=True)
            bias = "  ".join(
                f"{name} {value:+.2f}" for name, value in zip(("dL*", "da*", "db*"), one.agreement.bias, strict=True)
            )
            rows(
                [
                    ("bias", bias, f"{one.agreement.bias_size:.2f}", str(one.agreement.direction)),
                    ("spread left", f"{one.agreement.spread:.2f}", "", ""),
                    (
                        "mean, largest difference",
                        f"{one.agreement.mean:.2f}, {one.agreement.largest:.2f}",
                        "",
                        f"largest on {names.label(one.panels[one.agreement.worst])}",
                    ),
                ]
            )
            if one.agreement.bias_chance is not None:
                say(f"  an offset this large by chance: {one.agreement.bias_chance * 100:.1f} %")
            else:
                say("  five shared panels or more would say whether the offset is real")
