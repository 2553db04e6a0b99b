"""Children of the hub: started with nothing inherited, in a group of their own, ended with everything they started."""

from __future__ import annotations

import asyncio
import os
import shutil
import signal
import subprocess
import sys
from contextlib import suppress
from functools import cache
from pathlib import Path

from sprayout_library.hub.errors import HubError

__all__ = ["ended", "git_program", "put_hooks", "settings_of_transfers", "started"]

_PATIENCE = 10.0
_NEW_GROUP: int = getattr(subprocess, "CREATE_NEW_PROCESS_GROUP", 0)  # exists on Windows only

_SETTINGS = (
    ("http.receivepack", "true"),
    ("http.uploadpack", "true"),
    ("receive.denyNonFastForwards", "true"),
    ("receive.denyDeletes", "true"),
    ("receive.fsckObjects", "true"),
    ("receive.fsck.badFilemode", "error"),
    ("receive.unpackLimit", "1"),  # what arrives stays one pack: no process holds it in memory
    ("receive.autogc", "false"),
    ("receive.hideRefs", "refs/heads/main"),  # the hub's own word, made by folding
    ("receive.hideRefs", "refs/sprayout"),
    ("receive.advertiseAtomic", "true"),
    ("receive.advertisePushOptions", "false"),
    ("transfer.hideRefs", "refs/sprayout"),
    ("uploadpack.allowFilter", "false"),
    ("core.alternateRefsCommand", "true"),
    ("core.bigFileThreshold", "2m"),
    ("core.fsync", "all"),
    ("core.fsmonitor", "false"),
    ("core.logAllRefUpdates", "always"),
    ("gc.auto", "0"),
    ("maintenance.auto", "false"),
    ("pack.threads", "1"),
    ("pack.windowMemory", "64m"),
    ("protocol.allow", "never"),
    ("color.ui", "false"),
)


@cache
def git_program() -> str:
    """Return the full path of git. Raises HubError where there is none."""
    found = shutil.which("git")
    if found is None:
        raise HubError("git was not found", "Install git 2.39.4 or newer.")
    return str(Path(found).resolve())


def settings_of_transfers(hooks: Path, most: int) -> dict[str, str]:
    """Return git's settings for a transfer, as variables: they win over the files of a repository."""
    pairs = (*_SETTINGS, ("core.hooksPath", str(hooks)), ("receive.maxInputSize", str(most)))
    found = {"GIT_CONFIG_COUNT": str(len(pairs))}
    for place, (key, value) in enumerate(pairs):
        found[f"GIT_CONFIG_KEY_{place}"] = key
        found[f"GIT_CONFIG_VALUE_{place}"] = value
    return found


def put_hooks(hooks: Path) -> None:
    """Write the one hook there is, outside every library: it asks the gatekeeper in a Python of its own."""
    from sprayout_library.machine import write_whole

    hooks.mkdir(exist_ok=True)
    python = sys.executable.replace("'", "'\\''")
    for old in hooks.iterdir():
        old.unlink()
    hook = hooks / "pre-receive"
    write_whole(hook, f"#!/bin/sh\nexec '{python}' -I -m sprayout_library.hub.gatekeeper\n".encode())
    hook.chmod(0o755)


async def started(*words: str, environment: dict[str, str], folder: Path) -> asyncio.subprocess.Process:
    """Start git in a process group of its own, with pipes."""
    return await asyncio.create_subprocess_exec(
        git_program(), *words,
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL,
        env=environment, cwd=folder, limit=65_536,
        start_new_session=sys.platform != "win32", creationflags=_NEW_GROUP,
    )  # fmt: skip


async def ended(process: asyncio.subprocess.Process) -> None:
    """End a child and everything in its group: asked first, then without asking; returns when all of it is gone."""
    if process.stdin is not None:
        process.stdin.close()
    for number in (signal.SIGTERM, getattr(signal, "SIGKILL", signal.SIGTERM)):
        _signal(process, number)
        with suppress(TimeoutError):
            async with asyncio.timeout(_PATIENCE):
                await process.wait()
                while _is_left(process):
                    await asyncio.sleep(0.01)
                return


def _is_left(process: asyncio.subprocess.Process) -> bool:
    """Say whether anything of the group still runs, after its first member is gone."""
    if sys.platform == "win32":
        return False
    try:
        os.killpg(process.pid, 0)
    except (ProcessLookupError, PermissionError):
        return False
    return True


def _signal(process: asyncio.subprocess.Process, number: int) -> None:
    if sys.platform == "win32":
        if process.returncode is None:
            process.terminate()
        return
    with suppress(ProcessLookupError):
        os.killpg(process.pid, number)
