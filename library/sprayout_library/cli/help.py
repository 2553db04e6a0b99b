"""sprayout help: the doors, or one topic."""

from __future__ import annotations

import click

from sprayout_library.cli.commands import COMMANDS, DOORS, TOPICS
from sprayout_library.cli.told import heading, rows, say


@click.command("help")
@click.argument("topic", required=False)
@click.pass_context
def command(ctx: click.Context, topic: str | None) -> None:
    """Tell the commands of one TOPIC: bench, measure, share, admin; or one command's help."""
    from sprayout_core.errors import SprayoutError

    if topic is None:
        assert ctx.parent is not None
        click.echo(ctx.parent.get_help())
        return
    if topic in COMMANDS:
        from sprayout_library.cli.main import sprayout

        assert ctx.parent is not None
        asked = sprayout.get_command(ctx.parent, topic)
        assert asked is not None
        with click.Context(asked, info_name=topic, parent=ctx.parent) as inner:
            click.echo(asked.get_help(inner))
        return
    place = next((name for name in (*TOPICS, *DOORS) if name.lower() == topic.lower()), None)
    if place is None:
        raise SprayoutError(f"no help about {topic!r}", f"Topics: {', '.join((*TOPICS, *DOORS))}; or a command's name.")
    heading(TOPICS.get(place, place))
    rows([(name, entry.words) for name, entry in COMMANDS.items() if entry.place == place])
    say()
