"""Git over HTTP: git's own http-backend, with request and answer passed through as they come, never held."""

from __future__ import annotations

import asyncio
import os
import re
from collections import Counter
from collections.abc import Awaitable, Callable, MutableMapping
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from sprayout_library.hub.accounts import Visitor
from sprayout_library.hub.children import ended, git_program, put_hooks, settings_of_transfers, started
from sprayout_library.hub.errors import BusyHubError, TooLargeError
from sprayout_library.hub.house import Hub

__all__ = ["SERVICES", "Bridge", "ClientGone", "Transfer"]

Receive = Callable[[], Awaitable[MutableMapping[str, Any]]]
Send = Callable[[MutableMapping[str, Any]], Awaitable[None]]

#: Git's two services. A reader may begin a push: the gatekeeper refuses it by name, so that their sync still takes in.
SERVICES = ("git-upload-pack", "git-receive-pack")

_PIECE = 65_536
_LARGEST_HEAD = 16_384
_LARGEST_QUESTION = 32_000_000
_HEADER = re.compile(rb"([A-Za-z][A-Za-z-]{0,40}): ?([ -~]{0,400})\r?\n")
_PROTOCOL = re.compile(r"version=\d")


class ClientGone(Exception):
    """The client went away in the middle; what it began is undone."""


@dataclass(frozen=True, slots=True)
class Transfer:
    """One request of git's.

    path     what stands behind the library's name: info/refs or the name of a service
    service  git-upload-pack or git-receive-pack
    headers  of the request, in small letters
    """

    library: str
    path: str
    service: str
    method: str
    headers: dict[str, str]
    visitor: Visitor
    copy: str = ""

    @property
    def pushing(self) -> bool:
        """Whether this is the one request that sends something."""
        return self.method == "POST" and self.service == "git-receive-pack"


@dataclass(slots=True)
class Bridge:
    """The transfers of one hub; `running` is how many there are at this moment."""

    hub: Hub
    turns: asyncio.Semaphore = field(init=False)
    running: int = 0
    _pushing: Counter[str] = field(default_factory=Counter)

    def __post_init__(self) -> None:
        """Write the hook that guards every push."""
        self.turns = asyncio.Semaphore(self.hub.settings.bounds.git_processes)
        put_hooks(self.hub.folder / "hooks")

    async def pass_on(
        self, asked: Transfer, receive: Receive, send: Send, landed: Callable[[], Awaitable[None]]
    ) -> int:
        """Answer one request and return its status.

        landed   awaited after a push, before the answer is complete: who pushed finds the hub up to date
        raises   BusyHubError, TooLargeError (nothing was answered yet), ClientGone
        """
        bounds = self.hub.settings.bounds
        try:
            await asyncio.wait_for(self.turns.acquire(), bounds.waiting_seconds)
        except TimeoutError:
            raise BusyHubError("the hub has its hands full", "It goes out next time.") from None
        self.running += 1
        try:
            async with asyncio.timeout(bounds.transfer_seconds):
                return await self._run(asked, receive, send, landed)
        except TimeoutError:
            raise ClientGone from None
        finally:
            self.running -= 1
            self.turns.release()

    async def _run(self, asked: Transfer, receive: Receive, send: Send, landed: Callable[[], Awaitable[None]]) -> int:
        if asked.pushing and not os.access(self.hub.folder / "hooks" / "pre-receive", os.X_OK):
            raise BusyHubError("the gatekeeper is gone: nothing is let in", "Start the hub again.")
        self._pushing[asked.library] += asked.pushing
        process = await started("http-backend", environment=self._environment(asked), folder=self.hub.folder)
        told = asyncio.Event()
        feeding = asyncio.create_task(self._feed(asked, process, receive, told))
        answering = asyncio.create_task(_answer(process, send, told, landed if asked.pushing else None))
        try:
            done, _ = await asyncio.wait({feeding, answering}, return_when=asyncio.FIRST_COMPLETED)
            if feeding in done and (error := feeding.exception()) is not None:
                raise error
            return await answering
        finally:
            for task in (feeding, answering):
                task.cancel()
                with suppress(asyncio.CancelledError, ClientGone, TooLargeError, OSError):
                    await task
            await asyncio.shield(self._ended(asked, process))

    async def _ended(self, asked: Transfer, process: asyncio.subprocess.Process) -> None:
        """End a transfer; what a stopped push could not clear away itself goes once no other push is running."""
        await ended(process)
        self._pushing[asked.library] -= asked.pushing
        if asked.pushing and not self._pushing[asked.library]:
            self.hub.swept(asked.library)

    async def _feed(
        self, asked: Transfer, process: asyncio.subprocess.Process, receive: Receive, told: asyncio.Event
    ) -> None:
        """Hand the request to git piece by piece, then watch whether the client stays until everything is told."""
        bounds = self.hub.settings.bounds
        pipe = process.stdin
        assert pipe is not None
        sends = asked.pushing and asked.visitor.may(asked.library, "contributor")
        most = bounds.push_bytes if sends else _LARGEST_QUESTION
        taken, whole = 0, False
        while True:
            if whole:
                message = await receive()
            else:
                try:
                    message = await asyncio.wait_for(receive(), bounds.stalled_seconds)
                except TimeoutError:
                    raise ClientGone from None
            if message["type"] != "http.request":
                if told.is_set():
                    return
                raise ClientGone
            if whole:
                continue
            body = message.get("body", b"")
            taken += len(body)
            if taken > most:
                raise TooLargeError(f"more than {most // 1_000_000} MB", "Nothing was taken: send it in parts.")
            with suppress(BrokenPipeError, ConnectionResetError):  # git read enough: its answer says why
                pipe.write(body)
                await pipe.drain()
            if not message.get("more_body", False):
                whole = True
                pipe.close()

    def _environment(self, asked: Transfer) -> dict[str, str]:
        """Return every variable git gets; nothing is inherited."""
        from sprayout_library.machine import HOME_VARIABLE, home

        hub, headers = self.hub, asked.headers
        question = f"service={asked.service}" if asked.path == "info/refs" else ""
        protocol = headers.get("git-protocol", "")
        kept = {
            "GIT_PROJECT_ROOT": str(hub.folder / "libraries"),
            "GIT_HTTP_EXPORT_ALL": "1",
            "PATH_INFO": f"/{asked.library}/{asked.path}",
            "REQUEST_METHOD": asked.method,
            "QUERY_STRING": question,
            "CONTENT_TYPE": headers.get("content-type", "")[:200],
            "HTTP_CONTENT_ENCODING": headers.get("content-encoding", "")[:40],
            "REMOTE_USER": asked.visitor.name,
            "REMOTE_ADDR": "",
            "GIT_CONFIG_NOSYSTEM": "1",
            "GIT_CONFIG_GLOBAL": os.devnull,
            "GIT_ATTR_NOSYSTEM": "1",
            "GIT_TERMINAL_PROMPT": "0",
            "GIT_NO_REPLACE_OBJECTS": "1",
            "GIT_COMMITTER_NAME": "sprayout",
            "GIT_COMMITTER_EMAIL": "hub@sprayout.invalid",
            "HOME": str(hub.folder / "hooks"),
            "PATH": _program_folders(git_program()),
            "LC_ALL": "C",
            "PYDANTIC_DISABLE_PLUGINS": "__all__",
            HOME_VARIABLE: str(home()),
            "SPRAYOUT_HUB": str(hub.folder),
            "SPRAYOUT_HUB_NAME": asked.visitor.name,
            "SPRAYOUT_HUB_OWNER": asked.visitor.owner,
            "SPRAYOUT_HUB_ROLE": asked.visitor.role(asked.library),
            "SPRAYOUT_HUB_COPY": asked.copy,
        }
        if _PROTOCOL.fullmatch(protocol):
            kept["GIT_PROTOCOL"] = protocol
        if (length := headers.get("content-length", "")).isascii() and length.isdecimal():
            kept["CONTENT_LENGTH"] = length
        if not kept["HTTP_CONTENT_ENCODING"]:
            del kept["HTTP_CONTENT_ENCODING"]
        return kept | _of_system() | settings_of_transfers(hub.folder / "hooks", hub.settings.bounds.push_bytes)


def _program_folders(git: str) -> str:
    folders = [str(Path(git).parent), "/usr/bin", "/bin"]
    return os.pathsep.join(dict.fromkeys(folders))


def _of_system() -> dict[str, str]:
    """Return what Windows needs to start any program at all; elsewhere nothing."""
    return {name: os.environ[name] for name in ("SYSTEMROOT", "TEMP", "COMSPEC") if name in os.environ}


async def _answer(
    process: asyncio.subprocess.Process, send: Send, told: asyncio.Event, landed: Callable[[], Awaitable[None]] | None
) -> int:
    """Pass on what git says, header first; return the status."""
    pipe = process.stdout
    assert pipe is not None
    status, headers = await _head(pipe)
    await send({"type": "http.response.start", "status": status, "headers": headers})
    while piece := await pipe.read(_PIECE):
        await send({"type": "http.response.body", "body": piece, "more_body": True})
    await process.wait()
    if landed is not None and status == 200:
        await landed()
    told.set()
    await send({"type": "http.response.body", "body": b"", "more_body": False})
    return status


async def _head(pipe: asyncio.StreamReader) -> tuple[int, list[tuple[bytes, bytes]]]:
    status, taken = 200, 0
    headers: list[tuple[bytes, bytes]] = [(b"x-content-type-options", b"nosniff")]
    while True:
        line = await pipe.readline()
        taken += len(line)
        if line in {b"\r\n", b"\n"}:
            return status, headers
        hit = _HEADER.fullmatch(line)
        if hit is None or taken > _LARGEST_HEAD:
            return 500, [(b"content-length", b"0")]
        if hit[1].lower() == b"status":
            status = int(hit[2][:3]) if hit[2][:3].isdigit() else 500
        elif hit[1].lower() in {b"content-type", b"cache-control", b"expires", b"pragma"}:
            headers.append((hit[1].lower(), hit[2]))
