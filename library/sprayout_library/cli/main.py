"""The entry point: finds the command asked for, runs it, and tells what went wrong in plain words."""

from __future__ import annotations

import gc
import importlib
import os
import sys
from typing import Any

import click

from sprayout_core.errors import SprayoutError
from sprayout_library.cli.commands import COMMANDS, DOORS, TOPICS
from sprayout_library.cli.told import PartlyDone, tell_faults

__all__ = ["DONE", "FAULT_OF_OURS", "PARTLY", "REFUSED", "WRONG_USE", "main", "sprayout"]

#: Exit statuses by kind.
DONE, REFUSED, WRONG_USE, PARTLY, FAULT_OF_OURS = 0, 1, 2, 3, 4


class Doors(click.Group):
    """A group that knows its commands by name and loads one only when it is asked for."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Return the names of all commands."""
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Return the command of a name, loading its file."""
        entry = COMMANDS.get(cmd_name)
        if entry is None:
            return None
        module = importlib.import_module(f"sprayout_library.cli.{entry.module}")
        command: click.Command = module.command
        return command

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """Return the command asked for, or refuse with the names that look like it."""
        name = args[0]
        if name not in COMMANDS and not name.startswith("-"):
            import difflib

            near = difflib.get_close_matches(name, COMMANDS, n=2)
            hint = f" Did you mean {' or '.join(near)}?" if near else ""
            raise click.UsageError(f"there is no command {name!r}.{hint} See `sprayout --help`.", ctx)
        return super().resolve_command(ctx, args)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Tell the five doors first; the rest is under `sprayout help TOPIC`."""
        for door in DOORS:
            rows = [(name, entry.words) for name, entry in COMMANDS.items() if entry.place == door]
            if rows:
                with formatter.section(door):
                    formatter.write_dl(rows)
        with formatter.section("More: sprayout help TOPIC"):
            formatter.write_dl(list(TOPICS.items()))


@click.group(cls=Doors, invoke_without_command=True, context_settings={"help_option_names": ["-h", "--help"]})
@click.option("--library", metavar="FOLDER", envvar="SPRAYOUT_LIBRARY", help="Which library; else the one in use.")
@click.option("--by", metavar="NAME", envvar="SPRAYOUT_BY", help="Who is working; a handle is enough.")
@click.version_option(package_name="sprayout", prog_name="sprayout")
@click.pass_context
def sprayout(ctx: click.Context, library: str | None, by: str | None) -> None:
    """Recipes for custom colour: mix, pour, spray, look, share.

    Without a command: what is on the bench, and what to type next.
    """
    from sprayout_library.cli.desk import Desk

    ctx.obj = Desk(library, by)
    if ctx.invoked_subcommand is None:
        from sprayout_library.cli.today import tell_today

        tell_today(ctx.obj)


def main(arguments: list[str] | None = None) -> None:
    """Run one command and leave with the status of its kind."""
    # The document models use no plugin of pydantic's, and looking for some takes longer than most commands.
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")
    # Loading modules makes many objects that all stay; looking for garbage among them is a tenth of a short command.
    gc.set_threshold(50_000, 20, 50)
    sys.exit(run(sys.argv[1:] if arguments is None else arguments))


def run(arguments: list[str]) -> int:
    """Run one command and return its exit status; every error is told in plain words."""
    try:
        sprayout.main(args=arguments, prog_name="sprayout", standalone_mode=False)
    except click.exceptions.Exit as leaving:
        return int(leaving.exit_code)
    except click.UsageError as error:
        error.show()
        return WRONG_USE
    except click.ClickException as error:
        error.show()
        return REFUSED
    except (click.Abort, KeyboardInterrupt):
        click.echo("Stopped; nothing more was changed.", err=True)
        return REFUSED
    except PartlyDone as done:
        tell_faults(done)
        return PARTLY
    except SprayoutError as error:
        tell_faults(error)
        return REFUSED
    except BrokenPipeError:
        # Whoever read our output had enough; point stdout elsewhere so that closing it raises nothing more.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return DONE
    except Exception as error:  # the rim: a painter is never shown a traceback  # noqa: BLE001
        return _fault_of_ours(error)
    return DONE


def _fault_of_ours(error: Exception) -> int:
    if os.environ.get("SPRAYOUT_TRACE"):
        raise error
    told: Any = f"{type(error).__name__}: {error}"
    click.echo(f"A fault in sprayout itself, not in what you typed: {told[:300]}", err=True)
    click.echo("What was saved before stands. Set SPRAYOUT_TRACE=1 to see where it happened.", err=True)
    return FAULT_OF_OURS
