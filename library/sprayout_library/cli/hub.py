"""sprayout hub: one service through which several shops share; serving it and keeping it."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from sprayout_library.cli.told import counted, rows, say, soft

if TYPE_CHECKING:
    from sprayout_library.hub import Hub

_AT = click.option(
    "--hub",
    "folder",
    type=click.Path(path_type=Path),
    envvar="SPRAYOUT_HUB_FOLDER",
    default=Path("hub"),
    show_default=True,
    help="The hub's folder.",
)


def _opened(folder: Path) -> Hub:
    from sprayout_library.hub import Hub

    return Hub.open(folder)


@click.group("hub")
def command() -> None:
    """Keep a hub: make it, serve it, let people in, back it up.

    \b
    sprayout hub create hub --library co-op
    sprayout hub people --add ada --role contributor --shop Kelpworks
    sprayout hub token --for ada
    sprayout hub serve
    """


@command.command("create")
@click.argument("folder", type=click.Path(path_type=Path))
@click.option("--name", default="Hub", show_default=True, help="What it is called on its pages.")
@click.option("--address", default="", help="Where others reach it, such as https://paint.example.")
@click.option("--library", "libraries", multiple=True, help="A library to begin with, or several.")
def create(folder: Path, name: str, address: str, libraries: tuple[str, ...]) -> None:
    """Make a new hub in FOLDER."""
    from sprayout_library.hub import Hub, HubError, Settings, library_name

    for library in libraries:
        library_name(library)
    try:
        settings = Settings(name, address)
    except ValueError as error:
        raise HubError(str(error), "Give another one.") from None
    hub = Hub.create(folder, settings)
    for library in libraries:
        hub.add_library(library)
    say(f"{name}: a new hub in {folder}, {counted(len(libraries), 'library', 'libraries')}.")
    soft(f"Next: sprayout hub people --hub {folder} --add NAME --role keeper")


@command.command("library")
@_AT
@click.option("--add", "name", metavar="NAME", help="Begin a new, empty library; shops join it.")
def library(folder: Path, name: str | None) -> None:
    """Tell which libraries a hub has, or begin one."""
    hub = _opened(folder)
    if name:
        hub.add_library(name)
        say(f"{name}: begun.")
        soft(f"Shops join it: sprayout join {hub.settings.address or 'http://127.0.0.1:8042'}/{name} FOLDER")
        return
    for found in hub.libraries():
        say(found)


@command.command("people")
@_AT
@click.option("--add", metavar="NAME", help="Let somebody in, or change what they may do; a handle is enough.")
@click.option("--role", type=click.Choice(["reader", "contributor", "keeper"]), help="What they may do.")
@click.option("--library", default="*", show_default=True, help="In which library; * is all of them.")
@click.option("--shop", default="", help="The shop they are of; copies belong to it.")
@click.option("--withdraw", metavar="NAME", help="Let somebody in no more; what they sent stays.")
@click.option("--release", metavar="LIBRARY/COPY", help="Let a copy be nobody's again.")
@click.option("--copies", "what", flag_value="copies", help="Tell which copies are whose.")
def people(
    folder: Path, add: str | None, role: str | None, library: str, shop: str, withdraw: str | None, release: str | None,
    what: str | None,
) -> None:  # fmt: skip
    """Tell who may come in and what they may do; let somebody in or out."""
    from sprayout_library.hub import HubError

    hub = _opened(folder)
    if sum(one is not None for one in (add, withdraw, release, what)) > 1:
        raise HubError("two things at once", "Give one of --add, --withdraw, --release, --copies.")
    if add is not None:
        if role is None:
            raise HubError("as what?", "Give --role: reader, contributor or keeper.")
        if library != "*":
            hub.library(library)
        person = hub.accounts.add(add, role, library, shop)
        say(f"{person.name}: {role} in {'every library' if library == '*' else library}.")
        soft(f"Next: sprayout hub token --hub {folder} --for {person.name}")
    elif withdraw is not None:
        hub.accounts.withdraw(withdraw)
        say(f"{withdraw}: no longer let in. What they sent stays.")
    elif release is not None:
        place, _, copy = release.partition("/")
        hub.accounts.release(place, copy)
        say(f"{release}: nobody's; whoever sends it next owns it.")
    elif what is not None:
        rows(sorted(hub.accounts.copies().items()))
    else:
        rows(
            [
                (one.name, one.shop, ", ".join(f"{role} in {place}" for place, role in sorted(one.roles.items())),
                 "withdrawn" if one.withdrawn else "")
                for one in hub.accounts.people()
            ]
        )  # fmt: skip


@command.command("token")
@_AT
@click.option("--for", "person", metavar="NAME", help="Make a token for somebody; it is shown once.")
@click.option("--label", default="", help="What it is for: booth tablet, office.")
@click.option("--days", type=click.IntRange(0, 3650), default=0, help="After which it ends; 0 for never.")
@click.option("--withdraw", metavar="ID", help="End a token.")
@click.option("--keep", metavar="ADDRESS", help="On a shop's machine: keep the token for a library's address.")
def token(folder: Path, person: str | None, label: str, days: int, withdraw: str | None, keep: str | None) -> None:
    """Make a token, end one, tell which there are; or keep the one you were given.

    A token is a secret like a key to the shop. The hub keeps no copy of it, so nobody can show it twice.
    """
    if keep is not None:
        _keep(keep)
        return
    hub = _opened(folder)
    if person is not None:
        made, secret = hub.accounts.issue(person, label, days)
        say(f"Token {made.id} for {person}; it is shown this once:")
        say(secret, bold=True)
        soft("There: sprayout hub token --keep ADDRESS, then sprayout join ADDRESS FOLDER")
    elif withdraw is not None:
        hub.accounts.withdraw_token(withdraw)
        say(f"{withdraw}: ended, and every sign-in made with it.")
    else:
        tokens = hub.accounts.tokens()
        if not tokens:
            say("No token yet.")
            soft("Make one for somebody: sprayout hub token --for NAME")
        rows(
            [
                (one.id, one.person, one.label, f"made {one.made[:10]}", f"used {one.used}" if one.used else "not used",
                 "withdrawn" if one.withdrawn else f"until {one.until[:10]}" if one.until else "")
                for one in tokens
            ]
        )  # fmt: skip


def _keep(address: str) -> None:
    from sprayout_core.errors import SprayoutError
    from sprayout_library.machine import tokens
    from sprayout_library.sync import remote_at

    remote = remote_at("hub", address)
    if remote.kind not in {"http", "https"}:
        raise SprayoutError("only hubs have tokens", "Give the address of a library at a hub.")
    terminal = sys.stdin.isatty()
    secret = (str(click.prompt("Token", hide_input=True)) if terminal else sys.stdin.readline(500)).strip()
    if not secret.startswith("spray-"):
        raise SprayoutError("that is no token of a hub", "It begins with spray-.")
    tokens().put(remote.address, secret)
    say("Kept on this machine, readable by you alone.")


@command.command("serve")
@_AT
@click.option("--host", default="127.0.0.1", show_default=True, help="This machine alone, unless you say otherwise.")
@click.option("--port", type=click.IntRange(0, 65535), default=8042, show_default=True, help="0 takes a free one.")
@click.option("--plain", "way", flag_value="plain", help="Beyond this machine without TLS: everything can be read.")
def serve(folder: Path, host: str, port: int, way: str | None) -> None:
    """Serve a hub until stopped with Ctrl-C."""
    from sprayout_library.hub import HubError
    from sprayout_library.hub.serving import is_loopback, warnings_for
    from sprayout_library.hub.serving import serve as run

    hub = _opened(folder)
    for warning in warnings_for(hub, host):
        click.echo(click.style(warning, fg="red", bold=True), err=True)
    if not is_loopback(host) and not hub.settings.secure and way is None:
        raise HubError("beyond this machine without TLS", "Set an https address (docs/hub.md), or give --plain.")
    shown = f"[{host}]" if ":" in host else host

    def ready(chosen: int) -> None:
        say(f"{hub.settings.name}: http://{shown}:{chosen}/")
        for name in hub.libraries():
            soft(f"  sprayout join {hub.settings.address or f'http://{shown}:{chosen}'}/{name} FOLDER")

    run(hub, host, port, ready)


@command.command("backup")
@_AT
@click.argument("file", type=click.Path(path_type=Path))
def backup(folder: Path, file: Path) -> None:
    """Write all of a hub into FILE while it serves, and prove it: it is brought back in a corner and compared."""
    from sprayout_library.hub.backup import back_up

    proof = back_up(_opened(folder), file)
    say(f"{file}: backed up.", bold=True)
    for line in proof.words:
        say(f"  {line}")
    soft("Keep it elsewhere; only you should be able to read it.")


@command.command("restore")
@click.argument("file", type=click.Path(path_type=Path, exists=True, dir_okay=False))
@click.argument("folder", type=click.Path(path_type=Path))
def restore_(file: Path, folder: Path) -> None:
    """Bring a hub back from FILE into FOLDER, which does not exist yet, with the same proof."""
    from sprayout_library.hub.backup import restore

    proof = restore(file, folder)
    say(f"{folder}: the hub of {proof.made}.", bold=True)
    for line in proof.words:
        say(f"  {line}")
    soft(f"Next: sprayout hub serve --hub {folder}")
