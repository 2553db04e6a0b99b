"""The one place that starts git: fixed words, no foreign settings, bounded in time, everything closed."""

from __future__ import annotations

import os
import re
import shutil
import signal
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from functools import cache
from pathlib import Path
from typing import IO

from sprayout_library.store.errors import FullDiskError, GitError, GitTimeoutError, ReadOnlyError

__all__ = ["OLDEST", "Git", "environment", "git_version"]

OLDEST = (2, 39, 4)
"""The oldest git this library works with: older ones have known holes when cloning untrusted folders."""

QUICK = 60.0
"""Seconds a local call may take before it is stopped."""

# Settings for every call. They arrive through the environment and so win over the files of a repository.
_SETTINGS = (
    ("core.hooksPath", os.devnull),
    ("core.fsmonitor", "false"),
    ("core.fsync", "all"),
    ("core.logAllRefUpdates", "always"),
    ("core.bigFileThreshold", "2m"),
    ("core.alternateRefsCommand", "true"),
    ("core.quotePath", "false"),
    ("protocol.allow", "never"),
    ("safe.bareRepository", "explicit"),
    ("gc.auto", "0"),
    ("maintenance.auto", "false"),
    ("commit.gpgSign", "false"),
    ("push.gpgSign", "false"),
    ("credential.helper", ""),
    ("http.followRedirects", "initial"),
    ("submodule.recurse", "false"),
    ("fetch.fsckObjects", "true"),
    ("transfer.credentialsInUrl", "die"),
    ("advice.detachedHead", "false"),
    ("color.ui", "false"),
)

_NEW_GROUP: int = getattr(subprocess, "CREATE_NEW_PROCESS_GROUP", 0)  # exists on Windows only

_WRITING = re.compile(
    r"(?i)(?:could not|couldn't|unable to|failed to|cannot|can't) (?:write|create|open|update|append|close)"
)
_ROOM = 262_144
_BUFFER = 131_072
"""Bytes read from a child at once: twice what a pipe holds, so that many small objects come with one call."""

_SECRET = re.compile(r"(?i)\b([a-z][a-z0-9+.-]*://)[^/@\s]+@|(authorization:\s*)\S+\s*\S*")


def environment(extra: Mapping[str, str] | None = None, settings: Sequence[tuple[str, str]] = ()) -> dict[str, str]:
    """Return the environment every git process gets: nothing of the user's git settings is left in it."""
    kept = {
        name: value
        for name, value in os.environ.items()
        if not name.upper().startswith("GIT_") and name.upper() not in {"SSH_ASKPASS", "LC_ALL", "LANGUAGE"}
    }
    kept |= {
        "GIT_CONFIG_NOSYSTEM": "1",
        "GIT_CONFIG_GLOBAL": os.devnull,
        "GIT_ATTR_NOSYSTEM": "1",
        "GIT_TERMINAL_PROMPT": "0",
        "GIT_OPTIONAL_LOCKS": "0",
        "GIT_NO_REPLACE_OBJECTS": "1",
        "GIT_SSH_COMMAND": "ssh -oBatchMode=yes -oConnectTimeout=20",
        "GIT_COMMITTER_NAME": "sprayout",
        "GIT_COMMITTER_EMAIL": "library@sprayout.invalid",
        "GIT_AUTHOR_NAME": "sprayout",
        "GIT_AUTHOR_EMAIL": "library@sprayout.invalid",
        "LC_ALL": "C",
        # glibc: memory for compressing stays with git instead of being fetched anew for each object
        "MALLOC_MMAP_THRESHOLD_": "4194304",
        "MALLOC_TRIM_THRESHOLD_": "16777216",
    }
    pairs = (*_SETTINGS, *settings)
    kept["GIT_CONFIG_COUNT"] = str(len(pairs))
    for place, (key, value) in enumerate(pairs):
        kept[f"GIT_CONFIG_KEY_{place}"] = key
        kept[f"GIT_CONFIG_VALUE_{place}"] = value
    kept.update(extra or {})
    return kept


@cache
def _program() -> str:
    """Return the full path of git, so that no git lying in the current folder is ever started."""
    for folder in os.environ.get("PATH", os.defpath).split(os.pathsep):
        if not Path(folder).is_absolute():
            continue
        found = shutil.which("git", path=folder)
        if found is not None and Path(found).parent == Path(folder):
            return found
    raise GitError("git was not found", "Install git 2.39.4 or newer and try again.")


@cache
def git_version() -> tuple[int, ...]:
    """Return git's version as numbers, and refuse one that is too old to be safe."""
    said = subprocess.run(
        [_program(), "version"], capture_output=True, check=True, timeout=QUICK, env=environment()
    ).stdout.decode("ascii", "replace")
    numbers = re.search(r"(\d+)\.(\d+)(?:\.(\d+))?", said)
    version = tuple(int(part or 0) for part in numbers.groups()) if numbers else (0,)
    if version < OLDEST:
        asked = ".".join(map(str, OLDEST))
        raise GitError(f"git {'.'.join(map(str, version))} is too old", f"Install git {asked} or newer.")
    return version


def stop(process: subprocess.Popen[bytes]) -> None:
    """End a child and everything it started, and close its pipes."""
    if process.poll() is None:
        _signal_group(process)
        try:
            process.wait(timeout=5)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait(timeout=5)
    for pipe in (process.stdin, process.stdout, process.stderr):
        if pipe is not None:
            try:
                pipe.close()
            except OSError:  # unsent input to a child that is gone
                continue


def _signal_group(process: subprocess.Popen[bytes]) -> None:
    if sys.platform == "win32":
        process.terminate()
        return
    try:
        os.killpg(process.pid, signal.SIGTERM)
    except ProcessLookupError:
        return


def plain(text: str) -> str:
    """Return git's words with anything that looks like a credential taken out."""
    return _SECRET.sub(lambda hit: f"{hit[1] or hit[2]}***@" if hit[1] else f"{hit[2]}***", text).strip()


class Git:
    """One repository folder and the calls made to it; every call names the folder explicitly."""

    def __init__(
        self,
        folder: Path,
        *,
        objects: Path | None = None,
        alternate: Path | None = None,
        settings: Sequence[tuple[str, str]] = (),
    ) -> None:
        self.folder = folder
        self._extra: dict[str, str] = {}
        if objects is not None:
            self._extra["GIT_OBJECT_DIRECTORY"] = str(objects)
        if alternate is not None:
            self._extra["GIT_ALTERNATE_OBJECT_DIRECTORIES"] = str(alternate)
        self._settings = tuple(settings)

    def run(
        self,
        *words: str,
        given: bytes | IO[bytes] | None = None,
        protocols: str = "",
        settings: Sequence[tuple[str, str]] = (),
        seconds: float = QUICK,
        watch: Callable[[], None] | None = None,
    ) -> bytes:
        """Run one git command and return what it wrote.

        words      the command and its arguments; never text a user typed unless it passed a grammar
        given      bytes, or an open file, for its standard input
        protocols  transports this call may use, joined by ":"; none by default
        watch      asked several times a second while waiting; may raise to stop the call
        raises     GitError (with git's own words in `detail`), GitTimeoutError, FullDiskError, ReadOnlyError
        """
        with (
            tempfile.TemporaryFile() as said,
            self.started(*words, given=given, protocols=protocols, settings=settings, said=said) as process,
        ):
            output = _waited(process, given if isinstance(given, bytes) else None, seconds, watch, words)
            if process.returncode:
                said.seek(0)
                detail = said.read(20_000).decode("utf-8", "replace")
                if _WRITING.search(detail) and shutil.disk_usage(self.folder).free < _ROOM:
                    detail += "\nNo space left on device"  # git does not always say why it could not write
                raise failure(words, process.returncode, detail, output[:20_000].decode("utf-8", "replace"))
        return output

    def text(self, *words: str, seconds: float = QUICK) -> str:
        """Run one git command and return its text without the final newline."""
        return self.run(*words, seconds=seconds).decode("utf-8").rstrip("\n")

    @contextmanager
    def started(
        self,
        *words: str,
        given: bytes | IO[bytes] | None = None,
        protocols: str = "",
        settings: Sequence[tuple[str, str]] = (),
        said: IO[bytes] | None = None,
    ) -> Iterator[subprocess.Popen[bytes]]:
        """Start one git command; whatever happens inside, it and its children are gone at the end."""
        process = self.start(*words, given=given, protocols=protocols, settings=settings, said=said)
        try:
            yield process
        finally:
            stop(process)

    def start(
        self,
        *words: str,
        given: bytes | IO[bytes] | None = None,
        protocols: str = "",
        settings: Sequence[tuple[str, str]] = (),
        said: IO[bytes] | None = None,
        into: IO[bytes] | None = None,
    ) -> subprocess.Popen[bytes]:
        """Start one git command; the caller has to `stop` it.

        `given` as bytes only opens a pipe for it; `into` is an open file for what it writes, a pipe otherwise.
        Raises GitError where git is missing or too old: whoever reads by the index alone never asks.
        """
        git_version()
        extra = dict(self._extra)
        if protocols:
            extra["GIT_ALLOW_PROTOCOL"] = protocols
        stdin: int | IO[bytes] = subprocess.DEVNULL
        if isinstance(given, bytes):
            stdin = subprocess.PIPE
        elif given is not None:
            stdin = given
        return subprocess.Popen(
            [_program(), f"--git-dir={self.folder}", *words],
            stdin=stdin,
            stdout=subprocess.PIPE if into is None else into,
            stderr=said if said is not None else subprocess.DEVNULL,
            bufsize=_BUFFER,
            env=environment(extra, (*self._settings, *settings)),
            cwd=self.folder,
            start_new_session=sys.platform != "win32",  # a group of its own, so that all of it can be stopped
            creationflags=_NEW_GROUP,
        )


def _waited(
    process: subprocess.Popen[bytes],
    given: bytes | None,
    seconds: float,
    watch: Callable[[], None] | None,
    words: Sequence[str],
) -> bytes:
    """Return the output of a child, stopping it when its time is up or the watcher objects."""
    left, step = seconds, seconds if watch is None else 0.2
    while True:
        try:
            output, _ = process.communicate(given, timeout=min(step, left))
        except subprocess.TimeoutExpired:
            given, left = None, left - step
            if watch is not None:
                watch()
            if left <= 0:
                raise GitTimeoutError(
                    f"git {words[0]} did not finish within {seconds:g} seconds and was stopped",
                    "Nothing was changed. Check the other side and try again.",
                ) from None
        else:
            return output


def failure(words: Sequence[str], status: int, said: str, output: str = "") -> GitError | FullDiskError | ReadOnlyError:
    """Return the error that tells a shop what git said."""
    detail = plain(said)
    if "No space left on device" in detail or "Disk quota exceeded" in detail:
        return FullDiskError("the disk is full", "Nothing was changed. Make room and try again.")
    if "Read-only file system" in detail or "insufficient permission for adding" in detail:
        return ReadOnlyError("the library's folder may not be written", "Check the folder's permissions.")
    last = next((line for line in reversed(detail.splitlines()) if line.startswith(("fatal:", "error:"))), detail)
    last = last.removeprefix("fatal: ").removeprefix("error: ")
    return GitError(
        f"git {words[0]} failed: {last[:300] or 'without a word'}",
        detail=detail,
        output=plain(output),
        status=status,
    )
