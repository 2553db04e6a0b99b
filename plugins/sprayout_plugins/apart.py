"""Asking a plugin in a bounded process of its own: it may raise, hang, flood memory or answer
nonsense, and only its answer is lost.
"""

from __future__ import annotations

import contextlib
import json
import os
import queue
import shutil
import signal
import subprocess
import sys
import tempfile
import threading
import weakref
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import IO, Any

from sprayout_core.errors import Fault, FaultsError, SprayoutError
from sprayout_core.tables import RowLeftOut, Source, TableReading, from_tree, tree

__all__ = ["BOUNDS", "DESCRIBE", "ApartError", "Bounds", "ask", "describe"]

DESCRIBE = ""
"""The question that is no hook: which contract does the plugin speak, and which hooks does it answer?"""


@dataclass(frozen=True, slots=True)
class Bounds:
    """What a plugin in a process of its own may use.

    seconds       how long it may stay silent, from one line of its answer to the next
    memory_bytes  address space of its process (where the system can bound it; Windows cannot)
    line_bytes    length of one line of its answer
    """

    seconds: float = 30.0
    memory_bytes: int = 1 << 30
    line_bytes: int = 1 << 22


BOUNDS = Bounds()


class ApartError(SprayoutError):
    """A plugin's process broke its bounds, ended early or answered what is no table value."""


def ask(module: str, hook: str, question: Mapping[str, object], bounds: Bounds = BOUNDS) -> object:
    """Ask a plugin's module one hook in a process of its own.

    module    what its entry point names
    hook      the hook's name
    question  its arguments; a Source is handed over as a private copy that ends with the answer
    returns   the answer, for a stream an iterator that is read from the process as it is taken; None
              where the plugin has no such hook or says 'not mine'

    Raises what the plugin refused on purpose as FaultsError, everything else as ApartError.
    """
    conversation = _Conversation(module, hook, question, bounds)
    first = conversation.hear()
    if "stream" in first:
        return _readings(conversation)
    conversation.end()
    return None if "none" in first else from_tree(first.get("value"))


def describe(module: str, bounds: Bounds = BOUNDS) -> tuple[str, tuple[str, ...]]:
    """Load a plugin's module in a process of its own and return its contract and the hooks it answers."""
    conversation = _Conversation(module, DESCRIBE, {}, bounds)
    heard = conversation.hear()
    conversation.end()
    if not isinstance(heard.get("contract"), str) or not isinstance(heard.get("hooks"), list):
        raise ApartError("its process said what is no answer")
    return heard["contract"], tuple(map(str, heard["hooks"]))


def _readings(conversation: _Conversation) -> Iterator[TableReading | RowLeftOut]:
    try:
        while "end" not in (heard := conversation.hear()):
            found = from_tree(heard.get("value"))
            if not isinstance(found, TableReading | RowLeftOut):
                raise ApartError("it read something that is neither a reading nor a line left out")
            yield found
    finally:
        conversation.end()


class _Conversation:
    """One process, asked one question, heard line by line within its bounds."""

    def __init__(self, module: str, hook: str, question: Mapping[str, object], bounds: Bounds) -> None:
        self._bounds = bounds
        folder = tempfile.TemporaryDirectory(prefix="sprayout-")
        asked = {
            "module": module,
            "hook": hook,
            "memory_bytes": bounds.memory_bytes,
            "question": {name: _handed_over(value, Path(folder.name)) for name, value in question.items()},
        }
        process = subprocess.Popen(
            [sys.executable, "-m", "sprayout_plugins.apart_child"],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            env=_surroundings(),
            start_new_session=True,
        )
        assert process.stdin is not None
        assert process.stdout is not None
        self._process = process
        self._lines: queue.Queue[bytes] = queue.Queue(maxsize=64)
        self._stop = threading.Event()
        # However the answer is left - taken whole, dropped half way, never touched - process and copy go.
        self.end = weakref.finalize(self, _end, process, folder, self._stop)
        threading.Thread(
            target=_listen, args=(process.stdout, self._lines, bounds.line_bytes, self._stop), daemon=True
        ).start()
        threading.Thread(target=_tell, args=(process.stdin, json.dumps(asked).encode()), daemon=True).start()

    def hear(self) -> dict[str, Any]:
        """Return the next thing the process says, or raise what it refused or how it broke its bounds."""
        try:
            line = self._lines.get(timeout=self._bounds.seconds)
        except queue.Empty:
            self.end()
            raise ApartError(f"silent for {self._bounds.seconds:g} s, so its process was ended") from None
        if not line.endswith(b"\n"):
            self.end()
            if len(line) >= self._bounds.line_bytes:
                raise ApartError(f"one answer is longer than {self._bounds.line_bytes} bytes")
            raise ApartError("its process ended without finishing its answer (out of memory, or it crashed)")
        try:
            heard = json.loads(line)
        except ValueError:
            heard = None
        if not isinstance(heard, dict):
            self.end()
            raise ApartError("its process said what is no answer")
        if "refused" in heard:
            self.end()
            raise FaultsError(Fault(*map(str, fault)) for fault in heard["refused"])
        if "failed" in heard:
            self.end()
            raise ApartError(str(heard["failed"])[:500])
        return heard


def _handed_over(value: object, folder: Path) -> object:
    if isinstance(value, Source):
        copy = folder / "source"
        with value.open() as stream, copy.open("wb") as kept:
            shutil.copyfileobj(stream, kept)
        return {"source": {"name": value.name, "size": value.size, "digest": value.digest, "file": str(copy)}}
    if isinstance(value, list | tuple) and all(isinstance(item, list) for item in value):
        return {"plain": [list(item) for item in value]}
    if isinstance(value, list | tuple):
        return {"values": [tree(item) for item in value]}
    return {"plain": value if isinstance(value, str) else dict(value) if isinstance(value, Mapping) else None}


def _surroundings() -> dict[str, str]:
    kept = {name: os.environ[name] for name in ("PATH", "SYSTEMROOT", "TEMP", "TMPDIR") if name in os.environ}
    return kept | {"PYTHONPATH": os.pathsep.join(entry for entry in sys.path if entry)}


def _tell(stdin: IO[bytes], asked: bytes) -> None:
    try:
        with stdin:
            stdin.write(asked)
    except OSError:
        return  # the process has gone; what it said, or did not, tells why


def _listen(stdout: IO[bytes], lines: queue.Queue[bytes], limit: int, stop: threading.Event) -> None:
    while not stop.is_set():
        try:
            line = stdout.readline(limit)
        except (OSError, ValueError):
            line = b""
        while not stop.is_set():
            try:
                lines.put(line, timeout=0.2)
            except queue.Full:
                continue
            break
        if not line.endswith(b"\n"):
            return


def _end(process: subprocess.Popen[bytes], folder: tempfile.TemporaryDirectory[str], stop: threading.Event) -> None:
    stop.set()
    # Guarded spot: only POSIX can end what the plugin itself started along with it.
    if os.name == "posix":
        with contextlib.suppress(ProcessLookupError):
            os.killpg(process.pid, signal.SIGKILL)
    else:
        process.kill()
    process.wait()
    if process.stdout is not None:
        process.stdout.close()
    folder.cleanup()
